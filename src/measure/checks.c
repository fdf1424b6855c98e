#include "src/measure/analysis.h"
#include "src/measure/constant/budget.h"

#include "probes/profile_doubt.h"

#include <gsl/gsl_math.h>
#include <math.h>

static const double clamp_share = 1e-3;  /* of the samples */
static const double offset_share = 0.05; /* of the amplitude */
static const double hum_share = 0.01;    /* of the amplitude */
static const double mains_off_hz = 0.25; /* how far the mains strays */
static const size_t mains_least_cycles = 50;
static const double mains_spread = 0.008;     /* relative, over a record */
static const double noisy_share = 0.03;       /* noise of one cycle's flux */
static const double level_range = 1.5;        /* speeds over which a level control shows */
static const double level_noise = 4.0;        /* variances: two standard deviations */
static const double drift_share = 0.01;       /* change of flux that matters */
static const double weakest_v_per_hz = 0.009; /* 12 V at 950 Hz; common practice, no source */
static const size_t drift_cycles = 8;         /* a shaft that turns slowly goes on for longer */
static const double abrupt_s = 0.5;           /* a let-go drill stops within this */

static void check_clipping(const sw_analysis *a) {
    double samples = (double)a->waveform->frames * (double)a->waveform->channels;
    if (a->clipped > 0 && a->whole_cycles > 0)
        sw_motor_warn(a->motor, SW_WARN_CLIPPED,
                      "%zu samples (%.2g %%) are at full scale: crests are cut off there. The "
                      "volts are those of the %zu cycles that are whole, of %zu",
                      a->clipped, 100.0 * (double)a->clipped / samples, a->whole_cycles,
                      a->trace[a->lead].cycles.count);
    else if (a->clipped > 0)
        sw_motor_warn(a->motor, SW_WARN_CLIPPED,
                      "%zu samples (%.2g %%) are at full scale: the crests are cut off and the "
                      "volts %s. Turn the input down, use a larger divider, or spin slower",
                      a->clipped, 100.0 * (double)a->clipped / samples,
                      sw_clipped_hard(a) ? "far too low, so none are told: they are higher than "
                                           "anything in this record"
                                         : "too low");
}

static void check_clamps(const sw_analysis *a) {
    double limit = a->request->profile.linear_limit;
    if (!(limit > 0.0 && limit < 1.0) || a->waveform->in_volts)
        return;
    size_t above = 0;
    size_t samples = a->waveform->frames * a->waveform->channels;
    for (size_t c = 0; c < a->waveform->channels; c++) {
        double scale = a->waveform->channel[c].full_scale;
        double most = limit * (scale > 0.0 ? scale : 1.0);
        for (size_t i = 0; i < a->waveform->frames; i++)
            above += fabs(a->waveform->channel[c].samples[i]) > most;
    }
    double share = (double)above / (double)samples;
    if (share > clamp_share)
        sw_motor_warn(a->motor, SW_WARN_CLAMP_CONDUCTING,
                      "%.1f %% of the samples are above %.0f %% of full scale, where the "
                      "protection diodes begin to conduct: %s",
                      100.0 * share, 100.0 * limit,
                      a->whole_cycles > 0 ? "the volts are those of the other cycles"
                                          : "the volts are too low. Spin slower or use a larger "
                                            "divider");
}

static void check_profile(const sw_analysis *a) {
    if (!a->request->profile.calibrated && !a->waveform->in_volts)
        sw_motor_warn(a->motor, SW_WARN_UNCALIBRATED,
                      "the input was never calibrated: hertz, speed and pattern are right, volts "
                      "are not told. See spinworth divider and spinworth calibrate");
}

static void check_probe(const sw_analysis *a) {
    for (int d = 0; d < SW_PROFILE_DOUBTS && !a->waveform->in_volts; d++) {
        char sentence[SW_MOTOR_TEXT_ROOM];
        bool dated = d == SW_PROFILE_OLD || d == SW_PROFILE_AHEAD;
        if (sw_profile_doubt_say(&a->request->profile, (sw_profile_doubt)d, a->request->today,
                                 sentence, sizeof sentence))
            sw_motor_warn(a->motor, dated ? SW_WARN_PROBE_OLD : SW_WARN_PROBE_DOUBTFUL, "%s",
                          sentence);
    }
}

void sw_check_crests(const sw_analysis *analysis) {
    check_clipping(analysis);
    check_clamps(analysis);
}

void sw_check_recording(const sw_analysis *analysis) {
    check_profile(analysis);
    check_probe(analysis);
}

bool sw_check_is_mains(const sw_analysis *a) {
    const sw_cycles *cycles = &a->trace[a->lead].cycles;
    /* A motor held for an instant may be as steady; several phases are no house mains. */
    if (cycles->count < mains_least_cycles || a->motor->phases > 1)
        return false;
    double low = INFINITY;
    double high = 0.0;
    const size_t span = 4; /* cycles: single ones are noisy */
    for (size_t i = 0; i + span < cycles->count; i++) {
        double hz = (double)span / (cycles->cycle[i + span].start_s - cycles->cycle[i].start_s);
        low = fmin(low, hz);
        high = fmax(high, hz);
    }
    double mean = a->motor->electrical_frequency.value;
    double mains = fabs(mean - 50.0) < fabs(mean - 60.0) ? 50.0 : 60.0;
    return fabs(mean - mains) < mains_off_hz && high - low < mains_spread * mains;
}

bool sw_check_is_drift(const sw_analysis *a) {
    const sw_trace *lead = &a->trace[a->lead];
    size_t usable = 0;
    for (size_t i = 0; i < lead->cycles.count; i++)
        usable += 1.0 / lead->cycles.cycle[i].length_s >= 0.5 * lead->low_cut_hz;
    return usable < 2 && lead->cycles.count < drift_cycles;
}

static void check_offset(const sw_analysis *a) {
    if (!a->steady_voltages)
        return;
    for (size_t c = 0; c < a->channels; c++) {
        const sw_trace *trace = &a->trace[c];
        double amplitude = M_SQRT2 * sw_signal_rms(&trace->full);
        if (fabs(trace->offset_v) > offset_share * amplitude)
            sw_motor_warn(a->motor, SW_WARN_OFFSET,
                          "channel %zu has an offset of %.3g V (%.0f %% of its amplitude); it is "
                          "taken out",
                          c + 1, trace->offset_v, 100.0 * fabs(trace->offset_v) / amplitude);
    }
}

static void check_hum(const sw_analysis *a, double amplitude) {
    if (a->hum.hz > 0.0 && a->hum.amplitude > hum_share * amplitude)
        sw_motor_warn(a->motor, SW_WARN_MAINS_HUM,
                      "mains hum at %.2f Hz of %.2g %% of the motor's voltage; it is taken out. "
                      "Run a laptop on its battery, twist the leads",
                      a->hum.hz, 100.0 * a->hum.amplitude / amplitude);
}

/* Slope of ln V over ln f, weighted alike: 1 for a motor, 0 behind an automatic level. */
static double level_slope(const sw_cycles *cycles, double lowest_hz) {
    double n = 0.0;
    double x = 0.0;
    double y = 0.0;
    double xx = 0.0;
    double xy = 0.0;
    for (size_t i = 0; i < cycles->count; i++) {
        double hz = 1.0 / cycles->cycle[i].length_s;
        if (cycles->cycle[i].cut || hz < lowest_hz || cycles->cycle[i].flux <= 0.0)
            continue;
        double lf = log(hz);
        double lv = log(cycles->cycle[i].flux * hz);
        n += 1.0;
        x += lf;
        y += lv;
        xx += lf * lf;
        xy += lf * lv;
    }
    double det = n * xx - x * x;
    return det > 1e-6 * n * n ? (n * xy - x * y) / det : 1.0;
}

/* No more than iron without magnets gives: what hum and noise add to so small a voltage goes with
 * no speed. A recorder that levels turns a faint input up, not down, so that
 * faint stays faint. */
static bool is_faint(const sw_analysis *a) {
    const sw_trace *lead = &a->trace[a->lead];
    double per_hertz = a->line_over_lead * lead->constant.peak.value / M_SQRT2;
    return sw_volts_known(a) && per_hertz < weakest_v_per_hz;
}

/* Do noise and hum make the volts leave their place in proportion to the speed? Each cycle's
 * distance from the mean flux against what noise and, at worst, all of the hum can add to it. */
static bool level_by_noise(const sw_analysis *a) {
    const sw_trace *lead = &a->trace[a->lead];
    double k = lead->constant.peak.value; /* V/Hz */
    double excess = 0.0;
    double explained = 0.0;
    for (size_t i = 0; i < lead->cycles.count; i++) {
        const sw_cycle *cycle = &lead->cycles.cycle[i];
        double hz = 1.0 / cycle->length_s;
        if (cycle->cut || hz < 0.5 * lead->low_cut_hz)
            continue;
        excess += pow((cycle->flux - k) * hz, 2.0);
        explained += pow(cycle->flux_u * hz, 2.0) + pow(a->hum.amplitude, 2.0);
    }
    return excess < level_noise * explained;
}

void sw_check_level(const sw_analysis *a) {
    const sw_trace *lead = &a->trace[a->lead];
    double range = lead->constant.f_high_hz / fmax(lead->constant.f_low_hz, 1e-9);
    if (lead->constant.used < 8 || range < level_range || is_faint(a) || level_by_noise(a))
        return;
    double slope = level_slope(&lead->cycles, 0.5 * lead->low_cut_hz);
    if (slope < 0.6 && !sw_clipped_hard(a))
        sw_motor_warn(a->motor, SW_WARN_AUTOMATIC_LEVEL,
                      "the voltage hardly follows the speed (exponent %.2f, 1 expected) while the "
                      "frequency goes from %.3g to %.3g Hz: the recorder levels the volume by "
                      "itself. Switch that off, or measure the volts with a meter",
                      slope, lead->constant.f_low_hz, lead->constant.f_high_hz);
}

static void check_drift(const sw_analysis *a) {
    const sw_constant *k = &a->trace[a->lead].constant;
    if (k->used < 8 || k->f_high_hz < 1.2 * k->f_low_hz ||
        sw_motor_warned(a->motor, SW_WARN_AUTOMATIC_LEVEL))
        return;
    /* With a guessed low cut every drift is the guess's. */
    if (!sw_volts_known(a))
        return;
    /* A shaft that jerks moves the slow and the fast cycles each their own way. */
    double drift_u = hypot(k->drift_u, 2.0 * sw_budget_jerk_u(a));
    if (fabs(k->drift) < drift_share + 4.0 * drift_u)
        return;
    if (k->drift < 0.0)
        sw_motor_warn(a->motor, SW_WARN_LOADING,
                      "volts per hertz fall by %.1f %% from %.3g to %.3g Hz: the probe loads the "
                      "coil, the input has a low-pass, or the magnets warm up%s",
                      -100.0 * k->drift, k->f_low_hz, k->f_high_hz,
                      a->trace[a->lead].low_cut_hz > 0.0
                          ? "; or the input's low cut is lower than its profile says: calibrate it"
                          : "");
    else
        sw_motor_warn(a->motor, SW_WARN_LOW_CUT_DOUBTFUL,
                      "volts per hertz rise by %.1f %% from %.3g to %.3g Hz: the input's low cut "
                      "is higher than the %.2g Hz of its profile, or a capacitor is on the winding",
                      100.0 * k->drift, k->f_low_hz, k->f_high_hz, a->trace[a->lead].low_cut_hz);
}

static void check_noise(const sw_analysis *a) {
    const sw_cycles *cycles = &a->trace[a->lead].cycles;
    const sw_cycle *middle = &cycles->cycle[(a->stretch.first + a->stretch.last) / 2];
    double share = middle->flux > 0.0 ? middle->flux_u / middle->flux : INFINITY;
    if (share > noisy_share)
        sw_motor_warn(a->motor, SW_WARN_NOISY,
                      "noise is %.0f %% of the voltage in a single cycle: spin faster, turn the "
                      "input up, or use a smaller divider",
                      100.0 * share);
}

/* What little iron keeps of magnetism is no generator, and neither is a motor so weak that 12 V
 * would take a kilohertz. */
static void check_faint(const sw_analysis *a) {
    double per_hertz = a->motor->volts_per_hertz.value;
    double hz = a->motor->electrical_frequency.value;
    if (!sw_volts_known(a) || !(per_hertz < weakest_v_per_hz))
        return;
    a->motor->kind = SW_NO_GENERATOR;
    sw_motor_warn(a->motor, SW_WARN_RESIDUAL_ONLY,
                  "only %.2g V at %.3g Hz, so that a 12 V battery would take %.0f Hz: iron without "
                  "magnets keeps that much magnetism, and a clip that touches nothing picks it up "
                  "too",
                  per_hertz * hz, hz, 12.0 / (M_SQRT2 * per_hertz));
}

/* How fast the motor stops once it is let go: time constant f / -(df/dt) just after the hold. */
static void check_run_down(const sw_analysis *a) {
    const sw_cycles *cycles = &a->trace[a->lead].cycles;
    double hold = a->motor->electrical_frequency.value;
    double from_s = NAN;
    for (size_t i = a->stretch.last; i < cycles->count; i++) {
        double hz = 1.0 / cycles->cycle[i].length_s;
        if (hz > 0.85 * hold)
            from_s = cycles->cycle[i].start_s;
        if (hz > 0.4 * hold)
            continue;
        double took_s = cycles->cycle[i].start_s - from_s;
        if (took_s < abrupt_s)
            sw_motor_warn(a->motor, SW_WARN_DRILL_ATTACHED,
                          "the speed falls from 85 to 40 %% within %.2f s: a drill that is let go "
                          "brakes like that, so its run-down tells nothing about the motor's drag",
                          took_s);
        return;
    }
}

void sw_check_result(const sw_analysis *analysis) {
    const sw_trace *lead = &analysis->trace[analysis->lead];
    double amplitude = lead->constant.peak.value * analysis->motor->electrical_frequency.value;
    check_offset(analysis);
    check_hum(analysis, amplitude);
    check_drift(analysis);
    check_noise(analysis);
    check_faint(analysis);
    check_run_down(analysis);
}
