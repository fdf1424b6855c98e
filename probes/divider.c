/* R2 is small beside the input, so that the input's impedance, which nobody knows well, hardly
 * matters; R1 follows from the ratio that brings the largest expected peak to 70 % of full scale.
 * R1 is made of several parts so that neither heat nor volts of one part come near its rating,
 * and so that one part that fails does not put everything on the input.
 *
 * The clamps stand across R2. A silicon diode takes i = Is exp(v / (n Vt)); N of them in series
 * share v. Their current through the divider's resistance must stay below 0.1 % of v at the
 * rated peak, also in a warm room; the smallest such N is taken. The linear limit is where a
 * colder reckoning would be too kind: the same warm diode at 0.1 %. */
#include "probes/divider.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <stdio.h>

const char *const SW_INPUT_NAMES[] = {"line", "headset", "usb", NULL};

/* Full scale (V peak) and impedance of usual inputs at their lowest gain, with standard
 * uncertainties (common practice, no source). A line's nominal level is -10 dBV = 0.316 V rms;
 * full scale stands some 10 dB above. */
typedef struct input_row {
    double full_scale_v;
    double full_scale_u;
    double impedance_ohm;
    double impedance_u;
} input_row;
static const input_row INPUTS[] = {
    {1.4, 0.4, 20e3, 8e3},
    {0.1, 0.05, 2e3, 0.6e3},
    {0.5, 0.25, 5e3, 2e3},
};

static const double UNKNOWN_VOLTS = 400;
static const double CREST = 1.6; /* peak over rms of a peaky back-EMF (common practice) */
static const double WANTED_LEVEL = 0.7;
static const double LEAST_RATIO = 2;
static const double BOTTOM_SHARE = 20; /* input impedance over R2 */
static const double PART_V = 200;      /* a small resistor stands 250 V (common practice) */
static const double PART_W = SW_DIVIDER_RATING_W / 2;
static const double SPLIT_V = 50; /* above it one failed part must not pass it all */
static const double LARGEST_PART_OHM = 1e6;
/* Far below the input's own low cut, so that the two look like one (a second one near the first
 * bends the decay that calibration reads). */
static const double OWN_LOW_CUT_HZ = 0.1;
static const double USUAL_COIL_OHM = 10;
static const double TAKEN = 1e-3;
/* A small-signal silicon diode at 27 degC; warm rooms leak four times as much (from memory). */
static const double DIODE_IS_A = 2.5e-9;
static const double DIODE_N = 1.75;
static const double THERMAL_V = 0.025865;
static const double WARM = 4;
static const double BARE_DRY_V = 25;  /* AC, IEC 60364-4-41, 414.4.5 */
static const double COUNTED_U = 0.05; /* of a stated input impedance */
enum { PARTS_LIMIT = 8, DIODES_LIMIT = 12 };

const char *sw_divider_warning_name(sw_divider_warning warning) {
    static const char *const NAMES[] = {
        "mains_adapter",  "one_hand",     "open_circuit_volts", "microphone_bias",
        "not_calibrated", "hand_reading", "volts_unknown",      "loading",
        "low_cut",        "quiet"};
    _Static_assert(sizeof NAMES / sizeof *NAMES == SW_DIVIDER_WARNINGS, "a name each");
    return NAMES[warning];
}

double sw_divider_corner_hz(double ohm, double microfarad) {
    return 1 / (2 * M_PI * ohm * microfarad * 1e-6);
}

static double parallel(double a, double b) {
    return a * b / (a + b);
}

static double top_ohm(const sw_divider *divider) {
    return divider->parts * divider->part_ohm;
}

/* What the clamps' share of the current finds: both resistors and the input side by side. */
static double node_ohm(const sw_divider *divider) {
    return parallel(top_ohm(divider), parallel(divider->bottom_ohm, divider->impedance.value));
}

/* Share of v that n warm diodes in series take through the node's resistance. */
static double clamp_share(const sw_divider *divider, int diodes, double v) {
    double amps = WARM * DIODE_IS_A * expm1(v / (diodes * DIODE_N * THERMAL_V));
    return amps * node_ohm(divider) / v;
}

static sw_status choose_resistors(const sw_preferred *series, sw_divider *divider,
                                  sw_error *error) {
    double full_scale = divider->full_scale.value;
    double ratio = fmax(LEAST_RATIO, divider->peak_v / (WANTED_LEVEL * full_scale));
    divider->bottom_ohm = sw_preferred_below(series, divider->impedance.value / BOTTOM_SHARE);
    double top = (ratio - 1) * parallel(divider->bottom_ohm, divider->impedance.value);
    double least = divider->volts > SPLIT_V ? 2 : 1;
    int parts = (int)fmax(least, ceil(divider->peak_v / PART_V));
    for (; parts <= PARTS_LIMIT; parts++) {
        double part = sw_preferred_above(series, top / parts);
        double part_w = gsl_pow_2(divider->volts / (parts * part)) * part;
        divider->parts = parts;
        divider->part_ohm = part;
        divider->part_w = part_w;
        if (part_w <= PART_W && part <= LARGEST_PART_OHM)
            return SW_OK;
    }
    return sw_fail(error, SW_VALUE,
                   "no divider of small resistors does %g V into a full scale of %g V; "
                   "expected less voltage, or a line input",
                   divider->volts, full_scale);
}

static sw_status choose_clamps(sw_divider *divider, sw_error *error) {
    double peak = divider->peak_v / divider->ratio.value;
    divider->diodes = 1;
    while (divider->diodes < DIODES_LIMIT && clamp_share(divider, divider->diodes, peak) > TAKEN)
        divider->diodes++;
    divider->clamp_share = clamp_share(divider, divider->diodes, peak);
    if (divider->clamp_share > TAKEN)
        return sw_fail(error, SW_VALUE,
                       "%d clamp diodes in series would not do for %.3g V at the input; expected "
                       "a full scale below it",
                       DIODES_LIMIT, peak);
    divider->clamp_v = 0.7 * divider->diodes;
    double low = peak;
    double high = divider->clamp_v * 2;
    for (int i = 0; i < 60; i++) {
        double middle = (low + high) / 2;
        if (clamp_share(divider, divider->diodes, middle) > TAKEN)
            high = middle;
        else
            low = middle;
    }
    divider->linear_limit = fmin(1, low / divider->full_scale.value);
    return SW_OK;
}

/* Rectangular tolerances; parts of one batch go together, so R1 counts as one. */
static void reckon_ratio(sw_divider *divider) {
    double bottom = parallel(divider->bottom_ohm, divider->impedance.value);
    double ratio = 1 + top_ohm(divider) / bottom;
    double each = divider->tolerance / sqrt(3);
    double input_share = bottom / divider->impedance.value;
    double input_u = input_share * divider->impedance.u / divider->impedance.value;
    double bottom_u = (1 - input_share) * each;
    double u = (ratio - 1) * hypot(hypot(each, bottom_u), input_u);
    divider->ratio = sw_quantity_of(ratio, u, "1");
    divider->level = divider->peak_v / ratio / divider->full_scale.value;
    divider->load_ohm = top_ohm(divider) + bottom;
    divider->loading = divider->coil_ohm / (divider->coil_ohm + divider->load_ohm);
    divider->bottom_w = gsl_pow_2(divider->volts / ratio) / divider->bottom_ohm;
    divider->part_v = divider->peak_v / divider->parts;
}

/* A line input has its own capacitor and no bias: none is added unless one is asked for. */
static void choose_capacitor(const sw_preferred *series, const sw_divider_request *request,
                             sw_divider *divider) {
    double ohm = divider->impedance.value + node_ohm(divider);
    double least_uf = 1e6 / (2 * M_PI * ohm * OWN_LOW_CUT_HZ);
    divider->capacitor_uf = request->capacitor_uf;
    if (isnan(request->capacitor_uf))
        divider->capacitor_uf =
            request->input == SW_INPUT_LINE ? 0 : sw_preferred_above(series, least_uf);
    divider->own_low_cut_hz =
        divider->capacitor_uf > 0 ? sw_divider_corner_hz(ohm, divider->capacitor_uf) : 0;
}

/* The capacitor's low cut and the input's own: well above both, where |H|^2 = 1 - (f1^2 +
 * f2^2)/f^2, they add as squares. */
static void make_profile(const sw_divider_request *request, sw_divider *divider) {
    sw_profile profile = sw_profile_uncalibrated();
    double value = divider->ratio.value * divider->full_scale.value;
    double u = value * hypot(divider->ratio.u / divider->ratio.value,
                             divider->full_scale.u / divider->full_scale.value);
    profile.volts_per_unit = sw_quantity_of(value, u, "V");
    profile.low_cut_hz.value = hypot(profile.low_cut_hz.value, divider->own_low_cut_hz);
    profile.low_cut_hz.u = hypot(profile.low_cut_hz.u, 0.3 * divider->own_low_cut_hz);
    profile.linear_limit = divider->linear_limit;
    snprintf(profile.device, sizeof profile.device, "%s input with a divider",
             SW_INPUT_NAMES[request->input]);
    divider->profile = profile;
}

static void warn(const sw_divider_request *request, sw_divider *divider) {
    bool *warning = divider->warning;
    warning[SW_DIVIDER_MAINS_ADAPTER] = true;
    warning[SW_DIVIDER_ONE_HAND] = true;
    warning[SW_DIVIDER_OPEN_VOLTS] = divider->volts > BARE_DRY_V;
    warning[SW_DIVIDER_MICROPHONE_BIAS] = request->input != SW_INPUT_LINE;
    warning[SW_DIVIDER_NOT_CALIBRATED] = true;
    warning[SW_DIVIDER_HAND_READING] = request->from_hand;
    warning[SW_DIVIDER_UNKNOWN_VOLTS] = !sw_quantity_known(request->volts);
    warning[SW_DIVIDER_LOADING] = divider->loading > TAKEN;
    warning[SW_DIVIDER_LOW_CUT] = divider->own_low_cut_hz > 0.5;
    warning[SW_DIVIDER_QUIET] = divider->level < 0.2;
}

static sw_quantity stated(sw_quantity given, double relative_u, double usual, double usual_u,
                          const char *unit) {
    if (!sw_quantity_known(given))
        return sw_quantity_of(usual, usual_u, unit);
    return sw_quantity_of(given.value, sw_quantity_u_or(given, relative_u), unit);
}

sw_status sw_divider_design(const char *reference_dir, const sw_divider_request *request,
                            sw_divider *divider, sw_error *error) {
    sw_preferred resistors;
    sw_preferred capacitors;
    const input_row *row = &INPUTS[request->input];
    bool known = sw_quantity_known(request->volts);
    *divider = (sw_divider){
        .volts = known ? request->volts.value : UNKNOWN_VOLTS,
        .coil_ohm = isnan(request->coil_ohm) ? USUAL_COIL_OHM : request->coil_ohm,
        .impedance =
            stated(request->impedance, COUNTED_U, row->impedance_ohm, row->impedance_u, "ohm"),
        .full_scale =
            stated(request->full_scale, COUNTED_U, row->full_scale_v, row->full_scale_u, "V"),
    };
    divider->peak_v = CREST * divider->volts;
    sw_status status = sw_preferred_read(reference_dir, "E24", &resistors, error);
    if (status == SW_OK)
        status = sw_preferred_read(reference_dir, "E6", &capacitors, error);
    if (status == SW_OK)
        status = choose_resistors(&resistors, divider, error);
    if (status != SW_OK)
        return status;
    divider->tolerance = isnan(request->tolerance) ? resistors.tolerance : request->tolerance;
    reckon_ratio(divider);
    status = choose_clamps(divider, error);
    if (status != SW_OK)
        return status;
    choose_capacitor(&capacitors, request, divider);
    make_profile(request, divider);
    warn(request, divider);
    return SW_OK;
}
