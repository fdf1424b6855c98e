#include "tests/probes/support_taps.h"

#include "tests/support.h"

#include <gsl/gsl_randist.h>
#include <math.h>

enum { CHANGE_LIMIT = 4000 };

typedef struct level_change {
    double time_s;
    double level; /* units, from here on */
} level_change;

typedef struct tap_plan {
    size_t count;
    level_change change[CHANGE_LIMIT];
    double end_s;
} tap_plan;

tap_scene support_taps_usual(void) {
    return (tap_scene){.rate_hz = 16000,
                       .volts_per_unit = 25,
                       .low_cut_hz = 5,
                       .battery_v = {9.2, 1.56},
                       .batteries = 1,
                       .each_way = 5,
                       .bounces = true,
                       .noise = 3e-4,
                       .hum = 2e-4,
                       .offset = 0.004,
                       .bits = 16};
}

static void add(tap_plan *plan, double time_s, double level) {
    assert_true(plan->count < CHANGE_LIMIT);
    plan->change[plan->count++] = (level_change){time_s, level};
}

/* To `level` with up to six bounces, each some tenths of a millisecond. */
static double contact(tap_plan *plan, double time_s, double from, double level, bool bounces,
                      gsl_rng *random) {
    unsigned long count = bounces ? gsl_rng_uniform_int(random, 7) : 0;
    for (unsigned long i = 0; i < count; i++) {
        add(plan, time_s, level);
        time_s += gsl_ran_flat(random, 0.05e-3, 0.8e-3);
        add(plan, time_s, from);
        time_s += gsl_ran_flat(random, 0.05e-3, 0.8e-3);
    }
    add(plan, time_s, level);
    return time_s;
}

static void touch(tap_plan *plan, double level, bool bounces, gsl_rng *random) {
    double closed =
        contact(plan, plan->end_s + gsl_ran_flat(random, 0.3, 0.8), 0, level, bounces, random);
    plan->end_s =
        contact(plan, closed + gsl_ran_flat(random, 0.25, 0.7), level, 0, bounces, random);
}

static void make_plan(const tap_scene *scene, tap_plan *plan, gsl_rng *random) {
    *plan = (tap_plan){.end_s = 0.3};
    for (int b = 0; b < scene->batteries; b++)
        for (int way = 0; way < 2; way++)
            for (int i = 0; i < scene->each_way; i++) {
                double level = scene->battery_v[b] / scene->volts_per_unit;
                touch(plan, way == 1 && !scene->one_sided ? -level : level, scene->bounces, random);
            }
    plan->end_s += 0.8;
}

/* The low-pass that the low cut takes off, from one moment to the next at a constant level. */
static double follow(double low, double level, double w, double span_s) {
    return level + (low - level) * exp(-w * span_s);
}

/* Mean over the sample that begins at time_s, as the filter of a converter does it: what the low
 * cut lets through is level - low, whose integral is the growth of low over w. */
static double mean_of_sample(const tap_plan *plan, double w, double time_s, double step_s,
                             size_t *next, double *level, double *low) {
    double before = *low;
    double area = 0;
    double now_s = time_s;
    for (; *next < plan->count && plan->change[*next].time_s < time_s + step_s; (*next)++) {
        double span_s = plan->change[*next].time_s - now_s;
        area += *level * span_s;
        *low = follow(*low, *level, w, span_s);
        now_s += span_s;
        *level = plan->change[*next].level;
    }
    area += *level * (time_s + step_s - now_s);
    *low = follow(*low, *level, w, time_s + step_s - now_s);
    return (w > 0 ? (*low - before) / w : area) / step_s;
}

void support_taps_record(const tap_scene *scene, gsl_rng *random, sw_waveform *waveform) {
    static tap_plan plan;
    sw_error error = {0};
    make_plan(scene, &plan, random);
    size_t frames = (size_t)(plan.end_s * scene->rate_hz);
    assert_ok(sw_waveform_new(1, frames, scene->rate_hz, waveform, &error), &error);
    waveform->coupling = scene->low_cut_hz > 0 ? SW_COUPLING_AC : SW_COUPLING_DC;
    double w = 2 * acos(-1) * scene->low_cut_hz;
    double steps = ldexp(1, scene->bits - 1);
    double phase = gsl_ran_flat(random, 0, 6.28);
    double step_s = 1 / scene->rate_hz;
    double low = 0;
    double level = 0;
    size_t next = 0;
    double second_w = 2 * acos(-1) * scene->second_low_cut_hz;
    double second = 0;
    for (size_t i = 0; i < frames; i++) {
        double time_s = (double)i * step_s;
        double y = mean_of_sample(&plan, w, time_s, step_s, &next, &level, &low);
        if (second_w > 0) {
            double before = second;
            second = follow(second, y, second_w, step_s);
            y = (second - before) / (second_w * step_s);
        }
        y -= scene->curve * y * y * y;
        y += scene->offset + gsl_ran_gaussian(random, scene->noise) +
             scene->hum * sin(2 * acos(-1) * 50 * time_s + phase);
        waveform->channel[0].samples[i] = scene->bits > 0 ? rint(y * steps) / steps : y;
    }
}
