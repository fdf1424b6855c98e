/* The battery is a voltage without resistance behind it, so the front end is that of the motor
 * with the winding taken out. A contact that closes or opens bounces up to five times, some tenths
 * of a millisecond each. Touches are drawn one by one as the record goes on. */
#include "probes/simulate/taps.h"

#include "probes/simulate/draw.h"
#include "probes/simulate/front.h"
#include "probes/simulate/simulate.h"

#include <math.h>

enum { CHANGES = 24, MOST_BOUNCES = 5 };

static const double BEFORE_S = 0.6;
static const double AFTER_S = 1.0;
static const double GAP_S[2] = {0.4, 0.9};
static const double TOUCH_S[2] = {0.35, 0.7};
static const double BOUNCE_S[2] = {0.05e-3, 0.7e-3};

/* One touch: the moments at which the contact changes, closed after the first. */
typedef struct touch {
    size_t count;
    double time_s[CHANGES];
} touch;

static double between(gsl_rng *random, const double limits[2]) {
    return sw_draw_between(random, limits[0], limits[1]);
}

/* An odd number of changes: after them the contact is the other way. */
static double change_over(touch *one, double time_s, gsl_rng *random) {
    unsigned long bounces = gsl_rng_uniform_int(random, MOST_BOUNCES + 1);
    one->time_s[one->count++] = time_s;
    for (unsigned long i = 0; i < 2 * bounces; i++) {
        time_s += between(random, BOUNCE_S);
        one->time_s[one->count++] = time_s;
    }
    return time_s;
}

static touch draw_touch(double time_s, gsl_rng *random) {
    touch one = {.count = 0};
    double closed_s = change_over(&one, time_s + between(random, GAP_S), random);
    change_over(&one, closed_s + between(random, TOUCH_S), random);
    return one;
}

static size_t touches_of(const sw_sim_batteries *batteries) {
    return batteries->count * 2 * SW_SIM_TOUCHES_EACH_WAY;
}

/* The nth touch's volts: five one way, five the other, battery by battery. */
static double volts_of(const sw_sim_batteries *batteries, size_t n) {
    double volts = batteries->volts[n / (2 * (size_t)SW_SIM_TOUCHES_EACH_WAY)];
    return n / SW_SIM_TOUCHES_EACH_WAY % 2 == 0 ? volts : -volts;
}

static double longest_s(const sw_sim_batteries *batteries) {
    double bounces_s = 2 * 2 * MOST_BOUNCES * BOUNCE_S[1];
    return BEFORE_S + (double)touches_of(batteries) * (GAP_S[1] + TOUCH_S[1] + bounces_s) + AFTER_S;
}

static void record(const sw_sim_batteries *batteries, sw_front *front, gsl_rng *random,
                   sw_waveform *waveform) {
    touch one = draw_touch(BEFORE_S, random);
    size_t number = 0;
    size_t passed = 0; /* changes of this touch: odd = closed */
    size_t i = 0;
    for (; i < waveform->frames; i++) {
        double time_s = (double)i * front->step_s;
        while (passed < one.count && time_s >= one.time_s[passed])
            passed++;
        double volts = passed % 2 == 1 ? volts_of(batteries, number) : 0;
        sw_front_sample(front, time_s, &volts, &waveform->channel[0].samples[i]);
        if (passed < one.count)
            continue;
        if (number + 1 < touches_of(batteries)) {
            one = draw_touch(time_s, random);
            number++;
            passed = 0;
        } else if (time_s >= one.time_s[one.count - 1] + AFTER_S)
            break;
    }
    waveform->frames = i;
}

/* The scale that the simulated motor would be recorded with. */
static sw_status scale_of(const sw_sim_spec *spec, double *volts_per_unit, sw_error *error) {
    sw_sim *sim = NULL;
    sw_status status = sw_sim_new(spec, &sim, error);
    if (status == SW_OK)
        *volts_per_unit = sw_sim_truth_of(sim)->spec.front.volts_per_unit;
    sw_sim_free(sim);
    return status;
}

sw_status sw_sim_taps(const sw_sim_spec *spec, const sw_sim_batteries *batteries,
                      sw_waveform *waveform, sw_sim_front *front, sw_error *error) {
    sw_sim_spec bare = *spec;
    *waveform = (sw_waveform){0};
    if (spec->front.scope)
        return sw_fail(error, SW_UNSUPPORTED,
                       "this motor is recorded with a scope, which needs no battery: its volts "
                       "stand as they are");
    sw_status status = scale_of(spec, &bare.front.volts_per_unit, error);
    if (status != SW_OK)
        return status;
    bare.motor.resistance_ohm = 0;
    bare.motor.inductance_h = 0;
    bare.front.channels = 1;
    bare.front.load_ohm = 0;
    bare.front.tach_marks = 0;
    *front = bare.front;
    size_t frames = (size_t)(longest_s(batteries) * bare.front.rate_hz);
    gsl_rng *noise = sw_draw_new(spec->seed, SW_SIM_STREAM_NOISE);
    gsl_rng *hand = sw_draw_new(spec->seed, SW_SIM_STREAM_TAPS);
    if (noise == NULL || hand == NULL)
        status = sw_fail(error, SW_MEMORY, "not enough memory for the simulation");
    else
        status = sw_waveform_new(1, frames, bare.front.rate_hz, waveform, error);
    if (status == SW_OK) {
        sw_front state;
        sw_front_start(&state, &bare, noise);
        waveform->coupling = bare.front.low_cut_hz > 0 ? SW_COUPLING_AC : SW_COUPLING_DC;
        record(batteries, &state, hand, waveform);
    }
    gsl_rng_free(noise);
    gsl_rng_free(hand);
    return status;
}

static double drawn(gsl_rng *random, sw_quantity stated, double low, double high) {
    double u = isfinite(stated.u) ? stated.u : 0;
    return fmin(fmax(stated.value + sw_draw_normal(random, u), low), high);
}

/* A usual sound card, its low cut in the middle of those that are drawn. */
void sw_sim_use_sound_input(sw_sim_front *front) {
    if (!front->scope)
        return;
    front->scope = false;
    front->bits = 16;
    front->rate_hz = 48000;
    front->noise = 3e-4;
    front->offset = 0;
    front->low_cut_hz = 3;
}

void sw_sim_wire_as(const sw_profile *profile, sw_sim_spec *spec) {
    sw_sim_front *front = &spec->front;
    gsl_rng *random = sw_draw_new(spec->seed, SW_SIM_STREAM_PROFILE);
    sw_sim_use_sound_input(front);
    front->linear_limit = profile->linear_limit < 1 ? profile->linear_limit : 0;
    front->volts_per_unit = profile->volts_per_unit.value;
    front->low_cut_hz = profile->low_cut_hz.value;
    front->clock_error = profile->clock_error.value;
    if (random == NULL)
        return;
    double volts = profile->volts_per_unit.value;
    front->volts_per_unit = drawn(random, profile->volts_per_unit, 0.6 * volts, 1.5 * volts);
    front->low_cut_hz =
        drawn(random, profile->low_cut_hz, 0.5 * front->low_cut_hz, 2 * profile->low_cut_hz.value);
    front->clock_error = drawn(random, profile->clock_error, -0.01, 0.01);
    gsl_rng_free(random);
}
