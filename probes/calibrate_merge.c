/* What a calibration found, put into a profile and held against common sense. */
#include "probes/calibrate.h"

#include <math.h>

/* Crystals are within 100 parts in a million; more is a wrong frequency (common practice). */
static const double CLOCK_LIMIT = 300e-6;
static const double SMALL_STEP = 0.02; /* of full scale */
static const double FULL_SCALE = 0.995;
static const double SIGMAS = 3;

const char *sw_calibration_doubt_name(sw_calibration_doubt doubt) {
    static const char *const NAMES[] = {
        "clipped",         "clamp_conducting",   "one_sided",        "unequal_polarities",
        "not_linear",      "small_steps",        "low_cut_doubtful", "two_low_cuts",
        "low_cut_assumed", "clock_not_compared", "clock_far",        "changed",
        "meter_assumed"};
    _Static_assert(sizeof NAMES / sizeof *NAMES == SW_CALIBRATION_DOUBTS, "a name each");
    return NAMES[doubt];
}

sw_calibration sw_calibration_none(void) {
    return (sw_calibration){
        .volts_per_unit = sw_quantity_unknown(),
        .low_cut_hz = sw_quantity_unknown(),
        .clock_error = sw_quantity_unknown(),
        .polarity = NAN,
        .polarity_u = NAN,
        .linearity = NAN,
        .linearity_u = NAN,
        .frequency_hz = NAN,
        .frequency_u_hz = NAN,
        .distortion = NAN,
        .from_s = NAN,
        .to_s = NAN,
        .before = NAN,
    };
}

size_t sw_calibrate_channel(const sw_waveform *waveform) {
    size_t best = 0;
    double most = -1;
    for (size_t c = 0; c < waveform->channels; c++) {
        double sum = 0;
        double squares = 0;
        for (size_t i = 0; i < waveform->frames; i++) {
            sum += waveform->channel[c].samples[i];
            squares += waveform->channel[c].samples[i] * waveform->channel[c].samples[i];
        }
        double alternating = squares - sum * sum / (double)waveform->frames;
        if (alternating > most) {
            most = alternating;
            best = c;
        }
    }
    return best;
}

static double largest_step(const sw_calibration *calibration) {
    return fmax(calibration->step[0], calibration->step[1]);
}

static bool has_changed(const sw_calibration *calibration, const sw_profile *profile) {
    double before = profile->volts_per_unit.value;
    double u =
        hypot(sw_quantity_u_or(profile->volts_per_unit, 0.01), calibration->volts_per_unit.u);
    return fabs(before - calibration->volts_per_unit.value) > SIGMAS * u;
}

void sw_calibration_merge(sw_calibration *calibration, bool merging, sw_profile *profile) {
    bool *doubt = calibration->doubt;
    bool taps = calibration->used > 0 && isnan(calibration->frequency_hz);
    bool sound = profile->low_cut_hz.value > 0;
    doubt[SW_CALIBRATION_CLIPPED] = sound && calibration->peak >= FULL_SCALE;
    doubt[SW_CALIBRATION_CLAMPED] = sound && taps && profile->linear_limit < 1 &&
                                    largest_step(calibration) > profile->linear_limit;
    doubt[SW_CALIBRATION_SMALL] = sound && taps && largest_step(calibration) < SMALL_STEP;
    if (sw_quantity_known(calibration->low_cut_hz)) {
        doubt[SW_CALIBRATION_LOW_CUT] = calibration->low_cut_hz.value > SW_LOW_CUT_USUAL_HZ;
        profile->low_cut_hz = calibration->low_cut_hz;
    }
    if (sw_quantity_known(calibration->clock_error)) {
        doubt[SW_CALIBRATION_CLOCK_FAR] =
            fabs(calibration->clock_error.value) > CLOCK_LIMIT + 2 * calibration->clock_error.u;
        doubt[SW_CALIBRATION_CLOCK_POOR] =
            !(calibration->clock_error.u < sw_quantity_u_or(profile->clock_error, 0));
        if (!doubt[SW_CALIBRATION_CLOCK_POOR] && !doubt[SW_CALIBRATION_CLOCK_FAR])
            profile->clock_error = calibration->clock_error;
    }
    if (merging && sw_quantity_known(profile->volts_per_unit)) {
        calibration->before = profile->volts_per_unit.value;
        doubt[SW_CALIBRATION_CHANGED] = has_changed(calibration, profile);
    }
    profile->volts_per_unit = calibration->volts_per_unit;
    profile->calibrated = true;
}
