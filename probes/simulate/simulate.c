/* The generator: step the spindle, look up the EMF, pass it through the front end. */
#include "probes/simulate/simulate.h"

#include "probes/simulate/draw.h"
#include "probes/simulate/front.h"
#include "probes/simulate/loaded.h"
#include "probes/simulate/machine.h"
#include "probes/simulate/spindle.h"
#include "probes/simulate/tach.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <stdlib.h>

struct sw_sim {
    sw_sim_spec spec; /* volts_per_unit filled in */
    sw_sim_machine machine;
    sw_sim_truth truth;
    sw_spindle spindle;
    sw_front front;
    gsl_rng *spin_random;
    gsl_rng *noise_random;
    gsl_rng *tach_random;
    double step_s;
    size_t frames;
    size_t done;
    double start_rad; /* shaft angle at the first frame */
    double hold_s;    /* time and angle gathered over the hold */
    double hold_rad;
};

static const double MOST_FRAMES = 2e9;
static const double TACH_LEVEL = 0.5; /* of full scale */
static const double SETTLE = 8; /* time constants of the low cut before a record that starts at
                                   speed */

static sw_status check_range(const char *what, double value, double low, double high,
                             sw_error *error) {
    if (value >= low && value <= high)
        return SW_OK;
    return sw_fail(error, SW_VALUE, "%s: found %g, expected %g to %g", what, value, low, high);
}

static sw_status check_spec(const sw_sim_spec *spec, sw_error *error) {
    const struct {
        const char *what;
        double value;
        double low;
        double high;
    } ranges[] = {
        {"pole_pairs", spec->motor.pole_pairs, 1, 200},
        {"phases", spec->motor.phases, 1, SW_SIM_PHASE_LIMIT},
        {"seconds", spec->spin.seconds, 1e-3, 1e5},
        {"speed", spec->spin.speed_rpm, 0, 1e5},
        {"inertia", spec->motor.inertia_kgm2, 1e-9, 1e3},
        {"rate", spec->front.rate_hz, 100, 1e8},
        {"clock_error", spec->front.clock_error, -0.1, 0.1},
        {"channels", spec->front.channels, 1, SW_SIM_PHASE_LIMIT},
        {"bits", spec->front.bits, 0, 32},
        {"tach_marks", spec->front.tach_marks, 0, 1000},
        {"weak_magnet", spec->motor.weak_magnet, 0, 2.0 * spec->motor.pole_pairs},
        {"volts_per_unit", spec->front.volts_per_unit, 0, 1e6},
        {"frames", spec->spin.seconds * spec->front.rate_hz, 1, MOST_FRAMES},
    };
    sw_status status = SW_OK;
    for (size_t i = 0; status == SW_OK && i < sizeof ranges / sizeof *ranges; i++)
        status = check_range(ranges[i].what, ranges[i].value, ranges[i].low, ranges[i].high, error);
    return status == SW_OK ? sw_sim_check_load(spec, error) : status;
}

/* Full scale that puts the highest point at the held speed at `level`. */
static void choose_scale(sw_sim *sim) {
    sw_sim_front *front = &sim->spec.front;
    if (front->volts_per_unit > 0)
        return;
    double top = sim->machine.peak * sim->spec.spin.speed_rpm * 2 * M_PI / 60;
    double level = front->level > 0 ? front->level : 0.5;
    front->volts_per_unit = top > 0 ? top * sw_front_load_gain(&sim->spec) / level : 1;
}

static void truth_start(sw_sim *sim) {
    sw_sim_truth *truth = &sim->truth;
    const sw_sim_spin *spin = &sim->spec.spin;
    truth->spec = sim->spec;
    truth->hold_from_s = sw_spindle_hold_from(spin);
    truth->coast_from_s = spin->coast == SW_SIM_COAST_NO ? NAN : spin->release_s;
    truth->hold_to_s =
        spin->coast == SW_SIM_COAST_NO ? spin->seconds : fmin(spin->release_s, spin->seconds);
    if (truth->hold_from_s >= truth->hold_to_s) {
        truth->hold_from_s = NAN;
        truth->hold_to_s = NAN;
    }
    truth->hold_speed_rpm = NAN;
    truth->track_step_s = fmax(0.05, spin->seconds / (SW_SIM_TRACK_ROOM - 1));
    sim->start_rad = sim->spindle.angle_rad;
}

/* Brushes take their drop as soon as a current flows. */
static double past_brushes(const sw_sim_spec *spec, double volts) {
    if (spec->motor.kind != SW_SIM_BRUSHED || spec->front.load_ohm <= 0)
        return volts;
    return copysign(fmax(0, fabs(volts) - spec->motor.brush_drop_v), volts);
}

static void read_volts(const sw_sim *sim, double *volts) {
    double sign = sim->spec.spin.backwards ? -1 : 1;
    for (size_t c = 0; c < sim->machine.channels; c++) {
        double emf = sw_machine_value(&sim->machine, c, sign * sim->spindle.angle_rad) * sign *
                     sim->spindle.speed;
        volts[c] = past_brushes(&sim->spec, emf);
    }
}

/* A record that starts at speed starts with a settled low cut. */
static void settle(sw_sim *sim) {
    const sw_sim_spec *spec = &sim->spec;
    if (spec->spin.ramp_rpm_per_s > 0 || spec->front.low_cut_hz <= 0)
        return;
    double before_s = SETTLE / (2 * M_PI * spec->front.low_cut_hz);
    size_t frames = (size_t)(before_s / sim->step_s);
    double volts[SW_SIM_PHASE_LIMIT];
    double samples[SW_SIM_PHASE_LIMIT];
    for (size_t i = 0; i < frames; i++) {
        double time_s = -sim->step_s * (double)(frames - i);
        read_volts(sim, volts);
        sw_front_sample(&sim->front, time_s, volts, samples);
        sw_spindle_step(&sim->spindle, time_s, sim->step_s);
    }
    sim->front.clipped = 0;
    sim->front.clamped = 0;
    sim->front.samples = 0;
}

static sw_status start(sw_sim *sim, sw_error *error) {
    sw_status status = sw_machine_build(&sim->spec, &sim->machine, &sim->truth, error);
    if (status != SW_OK)
        return status;
    sim->spin_random = sw_draw_new(sim->spec.seed, SW_SIM_STREAM_SPIN);
    sim->noise_random = sw_draw_new(sim->spec.seed, SW_SIM_STREAM_NOISE);
    sim->tach_random = sw_draw_new(sim->spec.seed, SW_SIM_STREAM_TACH);
    if (sim->spin_random == NULL || sim->noise_random == NULL || sim->tach_random == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the simulation");
    choose_scale(sim);
    sw_spindle_start(&sim->spindle, &sim->spec, sim->spin_random);
    sw_front_start(&sim->front, &sim->spec, sim->noise_random);
    settle(sim);
    truth_start(sim);
    return SW_OK;
}

sw_status sw_sim_new(const sw_sim_spec *spec, sw_sim **sim, sw_error *error) {
    *sim = NULL;
    sw_status status = check_spec(spec, error);
    if (status != SW_OK)
        return status;
    sw_sim *made = calloc(1, sizeof *made);
    if (made == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the simulation");
    made->spec = *spec;
    made->step_s = 1 / (spec->front.rate_hz * (1 + spec->front.clock_error));
    made->frames = (size_t)llrint(spec->spin.seconds * spec->front.rate_hz);
    status = start(made, error);
    if (status != SW_OK) {
        sw_sim_free(made);
        return status;
    }
    *sim = made;
    return SW_OK;
}

size_t sw_sim_frames(const sw_sim *sim) {
    return sim->frames;
}

static void watch(sw_sim *sim, double time_s) {
    sw_sim_truth *truth = &sim->truth;
    double rpm = sim->spindle.speed * 60 / (2 * M_PI);
    truth->top_speed_rpm = fmax(truth->top_speed_rpm, rpm);
    if (truth->track < SW_SIM_TRACK_ROOM && time_s >= (double)truth->track * truth->track_step_s)
        truth->track_rpm[truth->track++] = rpm;
    truth->turns = fabs(sim->spindle.angle_rad - sim->start_rad) / (2 * M_PI);
    truth->clipped = sim->front.clipped;
    truth->clamped_share = (double)sim->front.clamped / (double)sim->front.samples;
}

static void watch_hold(sw_sim *sim, double time_s, double moved_rad) {
    sw_sim_truth *truth = &sim->truth;
    if (!(time_s >= truth->hold_from_s && time_s < truth->hold_to_s))
        return;
    sim->hold_s += sim->step_s;
    sim->hold_rad += moved_rad;
    truth->hold_speed_rpm = sim->hold_rad / sim->hold_s * 60 / (2 * M_PI);
}

/* The sensor fills half the range, with the motor channels' noise and steps. */
static double tach_sample(sw_sim *sim) {
    const sw_sim_front *front = &sim->spec.front;
    double sign = sim->spec.spin.backwards ? -1 : 1;
    double x = TACH_LEVEL * sw_sim_tach_at(front, sign * sim->spindle.angle_rad);
    x += sw_draw_normal(sim->tach_random, front->noise);
    if (front->bits > 0)
        x = ldexp(rint(ldexp(x, front->bits - 1)), 1 - front->bits);
    return front->scope ? x * front->volts_per_unit : x;
}

size_t sw_sim_read(sw_sim *sim, double *block, size_t frames) {
    size_t got = 0;
    const sw_sim_front *front = &sim->spec.front;
    size_t channels = sw_sim_channels(front);
    double volts[SW_SIM_PHASE_LIMIT];
    for (; got < frames && sim->done < sim->frames; got++, sim->done++) {
        double time_s = sim->step_s * (double)sim->done;
        double before = sim->spindle.angle_rad;
        read_volts(sim, volts);
        sw_front_sample(&sim->front, time_s, volts, block + got * channels);
        if (channels > (size_t)front->channels)
            block[(got + 1) * channels - 1] = tach_sample(sim);
        watch(sim, time_s);
        sw_spindle_step(&sim->spindle, time_s, sim->step_s);
        watch_hold(sim, time_s, sim->spindle.angle_rad - before);
    }
    return got;
}

static double now_s(const sw_sim *sim) {
    return sim->step_s * (double)sim->done;
}

/* The hold ends here; one that had not begun was none. */
static void end_hold(sw_sim_truth *truth, double at_s) {
    truth->hold_to_s = fmin(truth->hold_to_s, at_s);
    if (truth->hold_from_s < truth->hold_to_s)
        return;
    truth->hold_from_s = truth->hold_to_s = truth->hold_speed_rpm = NAN;
}

/* Of two holds the truth tells the last, from when its speed is reached. */
void sw_sim_hold(sw_sim *sim, double speed_rpm) {
    double eased_s = sw_spindle_easing_s(sim->spindle.held_rpm, speed_rpm);
    sim->spec.spin.speed_rpm = speed_rpm;
    sim->truth.hold_from_s = now_s(sim) + eased_s;
    sim->truth.hold_speed_rpm = NAN;
    sim->hold_s = sim->hold_rad = 0;
}

void sw_sim_let_go(sw_sim *sim) {
    sim->spec.spin.release_s = now_s(sim);
    if (sim->spec.spin.coast == SW_SIM_COAST_NO)
        return;
    sim->truth.coast_from_s = now_s(sim);
    end_hold(&sim->truth, now_s(sim));
}

void sw_sim_end(sw_sim *sim) {
    if (sim->truth.coast_from_s >= now_s(sim))
        sim->truth.coast_from_s = NAN;
    end_hold(&sim->truth, now_s(sim));
}

const sw_sim_truth *sw_sim_truth_of(const sw_sim *sim) {
    return &sim->truth;
}

void sw_sim_free(sw_sim *sim) {
    if (sim == NULL)
        return;
    sw_machine_free(&sim->machine);
    gsl_rng_free(sim->spin_random);
    gsl_rng_free(sim->noise_random);
    gsl_rng_free(sim->tach_random);
    free(sim);
}

static void describe(const sw_sim *sim, sw_waveform *waveform) {
    const sw_sim_front *front = &sim->spec.front;
    double unit = front->scope ? front->volts_per_unit : 1;
    waveform->coupling = front->low_cut_hz > 0 ? SW_COUPLING_AC : SW_COUPLING_DC;
    for (size_t c = 0; c < waveform->channels; c++) {
        waveform->channel[c].full_scale = front->bits > 0 ? unit : 0;
        waveform->channel[c].step = front->bits > 0 ? unit * ldexp(1, 1 - front->bits) : 0;
    }
}

static void read_all(sw_sim *sim, sw_waveform *waveform) {
    double frame[SW_SIM_PHASE_LIMIT + 1] = {0};
    for (size_t i = 0; i < waveform->frames; i++) {
        (void)sw_sim_read(sim, frame, 1);
        for (size_t c = 0; c < waveform->channels; c++)
            waveform->channel[c].samples[i] = frame[c];
    }
}

sw_status sw_simulate(const sw_sim_spec *spec, sw_waveform *waveform, sw_sim_truth *truth,
                      sw_error *error) {
    sw_sim *sim = NULL;
    *waveform = (sw_waveform){0};
    sw_status status = sw_sim_new(spec, &sim, error);
    if (status != SW_OK)
        return status;
    status = sw_waveform_new(sw_sim_channels(&spec->front), sim->frames, spec->front.rate_hz,
                             waveform, error);
    if (status == SW_OK) {
        describe(sim, waveform);
        read_all(sim, waveform);
        if (truth != NULL)
            *truth = *sw_sim_truth_of(sim);
    }
    sw_sim_free(sim);
    return status;
}
