#include "src/match/compare/compare.h"

#include <gsl/gsl_fit.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>

static const double BIN_M_S = 0.5;
enum { SPEED_BINS = 12 };

/* Slip beyond creep that is no error of reading (common practice, no source). */
static const double SLIP_MATTERS = 0.04;

/* What a lost phase leaves: one of three pairs of wires while the current comes in pulses, a third;
 * about 0.55 when it flows without a pause. */
static const double PHASE_LOW = 0.28;
static const double PHASE_HIGH = 0.58;

/* How much lower the strong half's share lies when a resistance eats it. */
static const double FALLING_SHARE = 0.85;

/* Volts that stand so much higher under load are no battery's own (common practice, no source). */
static const double LIFT_MATTERS = 0.15;

/* So little of the prediction no rotor makes that turns at all: a tenth less wind is a quarter less
 * power, half the Cp is half of it (common practice, no source). */
static const double FAR_LESS = 0.2;

/* At a known rotor speed neither wind nor Cp matter: the electrical side is good to some 8 %. */
static const double MACHINE_U = 0.08;

/* Readings of rotor speed. */
static const double SPEED_U = 0.01;

const char *sw_compare_cause_name(sw_compare_cause cause) {
    static const char *const NAMES[SW_CAUSE_COUNT] = {
        "none",       "better", "slip",    "late_cut_in", "phase_lost",
        "resistance", "rotor",  "machine", "far_less",    "nothing"};
    return NAMES[cause];
}

/* On the straight line between neighbours, in the first interval of x that holds `at` (a rotor's
 * speed may fall with more wind: GSL's tables want x to rise). */
static double between(const double *x, const double *y, size_t points, double at) {
    for (size_t i = 1; i < points; i++)
        if (at >= x[i - 1] && at <= x[i] && x[i] > x[i - 1])
            return y[i - 1] + (y[i] - y[i - 1]) * (at - x[i - 1]) / (x[i] - x[i - 1]);
    return NAN;
}

/* Linear between points of rising at[]; NaN outside. */
static double predicted_at(const sw_prediction *it, bool wind, double at) {
    return between(wind ? it->wind_m_s : it->rotor_rpm, it->watts, it->points, at);
}

/* Rotor speed that is predicted at a wind; NaN outside. */
static double speed_at(const sw_prediction *it, double wind_m_s) {
    return between(it->wind_m_s, it->rotor_rpm, it->points, wind_m_s);
}

/* v (rho / rho_0)^(1/3): the wind that carries as much power at the prediction's density. */
static double corrected(double wind_m_s, double density, double reference) {
    bool known = isfinite(density) && isfinite(reference);
    return known ? wind_m_s * cbrt(density / reference) : wind_m_s;
}

static double place_of(const sw_log *log, size_t i, const sw_prediction *it, double density) {
    const sw_log_row *row = &log->row[i];
    return log->wind ? corrected(row->wind_m_s, density, it->density) : row->rotor_rpm;
}

static double bin_width(const sw_log *log) {
    double top_rpm = 0;
    for (size_t i = 0; i < log->rows; i++)
        top_rpm = fmax(top_rpm, log->row[i].rotor_rpm);
    return log->wind ? BIN_M_S : fmax(top_rpm / SPEED_BINS, 1e-3);
}

static void fill_bin(const sw_log *log, const sw_prediction *it, double density, double centre,
                     double width, sw_compare_bin *bin) {
    double sum = 0;
    double square = 0;
    double place = 0;
    *bin = (sw_compare_bin){.u_watts = NAN, .predicted = NAN};
    for (size_t i = 0; i < log->rows; i++) {
        double at = place_of(log, i, it, density);
        if (!(at >= centre - width / 2 && at < centre + width / 2))
            continue;
        bin->rows++;
        place += at;
        sum += log->row[i].watts;
        square += log->row[i].watts * log->row[i].watts;
    }
    double count = (double)bin->rows;
    if (bin->rows == 0)
        return;
    bin->at = place / count;
    bin->watts = sum / count;
    if (bin->rows > 1) /* s / sqrt(n) */
        bin->u_watts =
            sqrt(fmax(square - count * bin->watts * bin->watts, 0) / (count - 1) / count);
    bin->predicted = predicted_at(it, log->wind, bin->at);
}

static void fill_bins(const sw_log *log, const sw_prediction *it, double density,
                      sw_comparison *out) {
    double width = bin_width(log);
    for (size_t i = 0; i < SW_COMPARE_BIN_LIMIT; i++) {
        sw_compare_bin bin;
        fill_bin(log, it, density, (double)i * width, width, &bin);
        if (bin.rows > 0)
            out->bin[out->bins++] = bin;
    }
}

/* Measured over predicted of the bins in [from, to) that predict something. */
static double share_of(const sw_comparison *it, size_t from, size_t to) {
    double measured = 0;
    double predicted = 0;
    for (size_t i = from; i < to; i++)
        if (it->bin[i].predicted > 0) {
            measured += it->bin[i].watts;
            predicted += it->bin[i].predicted;
        }
    return predicted > 0 ? measured / predicted : NAN;
}

static double scatter_of(const sw_comparison *it) {
    double square = 0;
    double predicted = 0;
    for (size_t i = 0; i < it->bins; i++)
        if (it->bin[i].predicted > 0) {
            predicted += it->bin[i].predicted;
            square += isfinite(it->bin[i].u_watts) ? it->bin[i].u_watts * it->bin[i].u_watts : 0;
        }
    return predicted > 0 ? sqrt(square) / predicted : NAN;
}

/* Median of 1 - n_generator / (n_rotor ratio), n_generator = 60 f / p; NaN without such rows. */
static double slip_of(const sw_log *log, double ratio, double pole_pairs, double *room) {
    size_t count = 0;
    for (size_t i = 0; i < log->rows; i++) {
        const sw_log_row *row = &log->row[i];
        double value = 1 - 60 * row->hertz / pole_pairs / (row->rotor_rpm * ratio);
        if (isfinite(value) && row->hertz > 0)
            room[count++] = value;
    }
    return count > 0 ? gsl_stats_median(room, 1, count) : NAN;
}

/* Nothing in the lowest third of the bins that predict something, the highest third about right. */
static bool cuts_in_late(const sw_comparison *it) {
    size_t first = 0;
    size_t last = it->bins;
    while (first < last && !(it->bin[first].predicted > 0))
        first++;
    while (last > first && !(it->bin[last - 1].predicted > 0))
        last--;
    size_t third = (last - first) / 3;
    if (last - first < 3)
        third = 1;
    double low = share_of(it, first, first + third);
    double high = share_of(it, last - third, last);
    return last - first >= 2 && low < 0.3 && high > 0.7;
}

/* Is less missing in the light half than in the strong one? Only the current makes that. */
static bool falls(const sw_comparison *it) {
    double low = share_of(it, 0, it->bins / 2);
    double high = share_of(it, it->bins / 2, it->bins);
    return high < FALLING_SHARE * low;
}

/* How much higher the logged volts stand at the largest current than without one, as a part of
 * them: a straight line through volts over amps. A battery's own resistance makes a few parts in a
 * hundred; more is resistance between the meter and the battery. */
static double volts_lift(const sw_log *log, double *room) {
    double *amps = room;
    double *volts = room + log->rows;
    size_t count = 0;
    for (size_t i = 0; i < log->rows; i++)
        if (isfinite(log->row[i].volts) && isfinite(log->row[i].amps)) {
            amps[count] = log->row[i].amps;
            volts[count++] = log->row[i].volts;
        }
    double least_a = 0;
    double most_a = 0;
    if (count > 0)
        gsl_stats_minmax(&least_a, &most_a, amps, 1, count);
    if (count < 3 || !(most_a > least_a))
        return 0;
    double rest_v;
    double slope;
    double unused[4];
    gsl_fit_linear(amps, 1, volts, 1, count, &rest_v, &slope, &unused[0], &unused[1], &unused[2],
                   &unused[3]);
    return rest_v > 0 ? slope * most_a / rest_v : 0;
}

/* The same at the rotor's speeds: rows of less than half the largest prediction, and the rest. */
static double rise_at_speed(const sw_log *log, const sw_prediction *it) {
    double measured[2] = {0};
    double predicted[2] = {0};
    double most = 0;
    for (size_t i = 0; i < log->rows; i++)
        most = fmax(most, predicted_at(it, false, log->row[i].rotor_rpm));
    for (size_t i = 0; i < log->rows; i++) {
        double at_speed = predicted_at(it, false, log->row[i].rotor_rpm);
        if (!(at_speed > 0))
            continue;
        measured[at_speed > 0.5 * most] += log->row[i].watts;
        predicted[at_speed > 0.5 * most] += at_speed;
    }
    return measured[1] * predicted[0] / (measured[0] * predicted[1]);
}

/* Rows beside what is predicted at the rotor's own speed: then wind and rotor play no part. */
static void compare_at_speed(const sw_log *log, const sw_prediction *it, double density,
                             sw_comparison *out) {
    out->rise_at_speed = rise_at_speed(log, it);
    double measured = 0;
    double predicted = 0;
    double quicker = 0;
    double speed = 0;
    double speed_predicted = 0;
    for (size_t i = 0; i < log->rows && log->wind; i++) {
        const sw_log_row *row = &log->row[i];
        double at_speed = predicted_at(it, false, row->rotor_rpm);
        double should = speed_at(it, place_of(log, i, it, density));
        if (at_speed > 0) {
            measured += row->watts;
            predicted += at_speed;
            quicker += predicted_at(it, false, row->rotor_rpm * (1 + SPEED_U));
        }
        if (should > 0 && isfinite(row->rotor_rpm)) {
            speed += row->rotor_rpm;
            speed_predicted += should;
        }
    }
    out->share_at_speed = predicted > 0 ? measured / predicted : NAN;
    /* on a battery's steep curve a little speed is much power */
    double steep = predicted > 0 && isfinite(quicker) ? fabs(quicker / predicted - 1) : 0;
    out->u_at_speed = hypot(MACHINE_U, steep);
    out->speed_share = speed_predicted > 0 ? speed / speed_predicted : NAN;
}

/* Less on the machine's side: which part of it? A lost phase leaves a third to a half, a resistance
 * takes part of everything, behind an inductance the more the stronger the current. */
static sw_compare_cause machine_cause(const sw_comparison *it, double share) {
    bool falling = isfinite(it->rise_at_speed) ? it->rise_at_speed < FALLING_SHARE : falls(it);
    if (falling || it->volts_lift > LIFT_MATTERS)
        return SW_CAUSE_CABLE;
    if (isnan(share) || share < PHASE_LOW)
        return SW_CAUSE_MACHINE;
    return share < PHASE_HIGH ? SW_CAUSE_PHASE : SW_CAUSE_CABLE;
}

/* A share cannot fall below nothing: a prediction good to u is good to a factor of exp(2 u) either
 * way at k = 2, which for a small u is the usual 1 +- 2 u. */
double sw_compare_share_low(const sw_comparison *comparison) {
    return exp(-2 * comparison->u_share);
}

static sw_compare_cause cause_of(const sw_comparison *it) {
    bool both = isfinite(it->share_at_speed);
    bool short_at_speed = both && it->share_at_speed < 1 - 2 * it->u_at_speed;
    if (it->share <= 0)
        return SW_CAUSE_NOTHING;
    if (it->slip > SLIP_MATTERS)
        return SW_CAUSE_SLIP;
    if (cuts_in_late(it))
        return SW_CAUSE_CUT_IN;
    if (short_at_speed)
        return machine_cause(it, it->share_at_speed);
    double low = sw_compare_share_low(it);
    if (!isfinite(it->share) || (it->share >= low && it->share <= 1 / low))
        return SW_CAUSE_NONE;
    if (it->share > 1)
        return SW_CAUSE_BETTER;
    if (it->wind && !both && it->share < FAR_LESS)
        return SW_CAUSE_FAR_LESS;
    if (it->wind && (both || !falls(it)))
        return SW_CAUSE_ROTOR;
    return machine_cause(it, it->wind ? NAN : it->share);
}

/* A Beaufort number judged by eye is good to half a number, a row by itself; the eye's own bent is
 * about a quarter of one. v = 0.836 B^1.5, P about v^3: dP/P = 4.5 dB/B. */
static double beaufort_u(const sw_log *log) {
    double sum = 0;
    if (!log->beaufort)
        return 0;
    for (size_t i = 0; i < log->rows; i++)
        sum += pow(log->row[i].wind_m_s / 0.836, 2.0 / 3.0);
    double rows = (double)log->rows;
    return 4.5 * hypot(0.29 / sqrt(rows), 0.25) / fmax(sum / rows, 1);
}

sw_status sw_compare(const sw_log *log, const sw_prediction *prediction, double density,
                     double pole_pairs, sw_comparison *comparison, sw_error *error) {
    double poles = isfinite(pole_pairs) ? pole_pairs : prediction->pole_pairs;
    *comparison = (sw_comparison){.wind = log->wind};
    fill_bins(log, prediction, density, comparison);
    if (comparison->bins == 0)
        return sw_fail(error, SW_VALUE, "the log has no row in a range that can be binned");
    double *room = calloc(2 * log->rows, sizeof *room);
    if (room == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for %zu rows", log->rows);
    comparison->share = share_of(comparison, 0, comparison->bins);
    comparison->beaufort = log->beaufort;
    comparison->u_share =
        hypot(hypot(log->wind ? prediction->u_relative : MACHINE_U, scatter_of(comparison)),
              beaufort_u(log));
    compare_at_speed(log, prediction, density, comparison);
    comparison->volts_lift = volts_lift(log, room);
    comparison->slip = slip_of(log, prediction->ratio, poles, room);
    comparison->cause = cause_of(comparison);
    free(room);
    return SW_OK;
}
