/* The frames that are due by the system's clock are made when they are asked for; a reader that
 * comes late finds all that were due meanwhile, as if a driver had kept them. */
#include "probes/capture/simulated_motor.h"

#include "probes/simulate/draw.h"
#include "probes/simulate/simulate.h"
#include "probes/simulate/spindle.h"
#include "probes/simulate/tach.h"
#include "shared/platform.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { BLOCK_FRAMES = SW_SIMULATED_LOOK_FRAMES };

static const double SHORTEST_NAP_S = 0.005;
static const double RUN_DOWN_S = 180;     /* a wheel hub takes a minute or two */
static const double LONGEST_HOLD_S = 120; /* beyond what is asked, when nobody lets go */
static const double LEAD_IN_S = 1.5;
static const double PLATE_ERROR = 0.05; /* standard deviation; never beyond 15 % */
static const double LONGEST_RAMP_S = 4;

typedef struct simulated_motor {
    sw_sim *sim;
    size_t channels;
    double rate_hz;
    double pace;
    double start_s;
    int64_t delivered;
    sw_simulated_person person;
    sw_sim_truth *truth; /* NULL = nobody asks */
    double block[BLOCK_FRAMES * (SW_SIM_PHASE_LIMIT + 1)];
} simulated_motor;

static sw_status start(void *state, sw_error *error) {
    (void)error;
    simulated_motor *it = state;
    it->start_s = sw_platform_seconds();
    return SW_OK;
}

/* Frames that may be handed over now. */
static size_t due(const simulated_motor *it, size_t room) {
    double passed_s = it->pace * (sw_platform_seconds() - it->start_s);
    double ready = floor(passed_s * it->rate_hz) - (double)it->delivered;
    return ready < 1 ? 0 : ready < (double)room ? (size_t)ready : room;
}

/* A device's block, or the whole room when there is time for it. */
static size_t wait_for_frames(const simulated_motor *it, double timeout_s, size_t room) {
    double until_s = sw_platform_seconds() + timeout_s;
    size_t wanted = room < BLOCK_FRAMES ? room : BLOCK_FRAMES;
    while (due(it, room) < wanted && sw_platform_seconds() < until_s)
        sw_platform_sleep(SHORTEST_NAP_S);
    return due(it, room);
}

/* Full scale at +-2^31. */
static int32_t as_whole(double sample) {
    double scaled = rint(ldexp(sample, 31));
    return scaled >= INT32_MAX ? INT32_MAX : scaled <= INT32_MIN ? INT32_MIN : (int32_t)scaled;
}

static void look(simulated_motor *it, const int32_t *frames, size_t count) {
    if (it->person.see == NULL)
        return;
    it->person.see(it->person.user, it->delivered - (int64_t)count, frames, count);
    if (it->delivered % SW_SIMULATED_LOOK_FRAMES != 0)
        return;
    sw_simulated_act act = it->person.act(it->person.user);
    if (isfinite(act.speed_rpm))
        sw_sim_hold(it->sim, act.speed_rpm);
    if (act.let_go)
        sw_sim_let_go(it->sim);
}

/* Up to the next look. */
static size_t next_block(const simulated_motor *it, size_t left) {
    size_t block = BLOCK_FRAMES - (size_t)(it->delivered % BLOCK_FRAMES);
    return left < block ? left : block;
}

static sw_status read_frames(void *state, double timeout_s, int32_t *frames, size_t room,
                             sw_capture_news *news, sw_error *error) {
    (void)error;
    simulated_motor *it = state;
    size_t wanted = wait_for_frames(it, timeout_s, room);
    while (news->frames < wanted) {
        int32_t *block = frames + news->frames * it->channels;
        size_t got = sw_sim_read(it->sim, it->block, next_block(it, wanted - news->frames));
        for (size_t i = 0; i < got * it->channels; i++)
            block[i] = as_whole(it->block[i]);
        news->frames += got;
        it->delivered += (int64_t)got;
        look(it, block, got);
        if (got > 0)
            continue;
        sw_capture_note(news, (sw_capture_event){SW_CAPTURE_ENDED, it->delivered, 0, NAN});
        break;
    }
    return SW_OK;
}

static void close_it(void *state) {
    simulated_motor *it = state;
    if (it->truth != NULL && it->sim != NULL) {
        sw_sim_end(it->sim);
        *it->truth = *sw_sim_truth_of(it->sim);
    }
    sw_sim_free(it->sim);
    free(it);
}

static const sw_capture_kind KIND = {"simulated motor", start, read_frames, close_it};

sw_status sw_simulated_motor_open(const sw_sim_spec *spec, double pace,
                                  const sw_simulated_person *person, sw_sim_truth *truth,
                                  sw_capture **capture, sw_error *error) {
    *capture = NULL;
    if (spec->front.scope)
        return sw_fail(error, SW_UNSUPPORTED,
                       "a brushed motor gives steady volts, which a sound input does not pass: "
                       "use a scope (spinworth simulate -o rec.csv)");
    simulated_motor *it = calloc(1, sizeof *it);
    if (it == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for a simulated motor");
    it->channels = sw_sim_channels(&spec->front);
    it->rate_hz = spec->front.rate_hz;
    it->pace = pace;
    it->person = person != NULL ? *person : (sw_simulated_person){0};
    it->truth = truth;
    sw_status status = sw_sim_new(spec, &it->sim, error);
    if (status != SW_OK) {
        close_it(it);
        return status;
    }
    sw_capture_description about = {
        .host = "simulation", .rate_hz = it->rate_hz, .channels = it->channels, .simulated = true};
    snprintf(about.device, sizeof about.device, "simulated %s", spec->motor.family);
    return sw_capture_new(&KIND, it, &about, capture, error);
}

void sw_simulated_motor_be_led(sw_sim_spec *spec, double hold_s, sw_sim_coast coast) {
    sw_sim_spin *spin = &spec->spin;
    spin->lead_in_s = fmax(spin->lead_in_s, LEAD_IN_S);
    spin->coast = coast;
    spin->release_s = sw_spindle_hold_from(spin) + hold_s + LONGEST_HOLD_S;
    spin->seconds = spin->release_s + RUN_DOWN_S;
}

void sw_simulated_motor_spin_at(sw_sim_spec *spec, double about_rpm) {
    gsl_rng *random = sw_draw_new(spec->seed, SW_SIM_STREAM_PERSON);
    double error = random != NULL ? sw_draw_tolerance(random, PLATE_ERROR) : 0;
    gsl_rng_free(random);
    spec->spin.speed_rpm = about_rpm * (1 + error);
    spec->spin.ramp_rpm_per_s =
        fmax(spec->spin.ramp_rpm_per_s, spec->spin.speed_rpm / LONGEST_RAMP_S);
}
