#include "src/match/compare.h"

#include "shared/json_read.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double BIN_M_S = 0.5;
enum { SPEED_BINS = 12 };

/* Slip beyond creep that is no error of reading; shares that a lost phase leaves (one of three
 * windings, or one of six diodes): common practice, no source. */
static const double SLIP_MATTERS = 0.04;
static const double PHASE_LOW = 0.4;
static const double PHASE_HIGH = 0.72;

/* How much lower the strong half's share lies when a resistance eats it. */
static const double FALLING_SHARE = 0.85;

const char *sw_compare_cause_name(sw_compare_cause cause) {
    static const char *const NAMES[SW_CAUSE_COUNT] = {
        "none", "better", "slip", "late_cut_in", "phase_lost", "resistance", "rotor", "machine"};
    return NAMES[cause];
}

static sw_status read_list(const sw_node *curve, const char *key, double *out, size_t *count,
                           sw_error *error) {
    double *list = NULL;
    size_t found = 0;
    sw_status status = sw_node_need(curve, key, "[0, 12.5, 40]", error);
    if (status == SW_OK)
        status = sw_node_numbers(curve, key, &list, &found, error);
    if (status != SW_OK)
        return status;
    bool fits = found >= 2 && found <= SW_COMPARE_POINT_LIMIT;
    bool same = *count == 0 || found == *count;
    for (size_t i = 0; fits && i < found; i++)
        out[i] = list[i];
    free(list);
    if (!fits)
        return sw_node_fail(curve, key, error, SW_VALUE, "found %zu values, expected 2 to %d",
                            found, SW_COMPARE_POINT_LIMIT);
    if (!same)
        return sw_node_fail(curve, key, error, SW_MISMATCH,
                            "found %zu values, expected %zu, one for each wind speed", found,
                            *count);
    *count = found;
    return SW_OK;
}

static sw_status read_recommended(const sw_node *top, sw_prediction *it, sw_error *error) {
    sw_node recommended = {0};
    sw_node drive = {0};
    sw_quantity energy = sw_quantity_unknown();
    double ratio = NAN;
    double creep = 0;
    sw_status status = sw_node_object(top, "recommended", &recommended, error);
    if (status != SW_OK || recommended.json == NULL)
        return status;
    status = sw_node_quantity(&recommended, "annual_energy", "kWh", &energy, error);
    if (status == SW_OK)
        status = sw_node_object(&recommended, "drive", &drive, error);
    if (status == SW_OK && drive.json != NULL) {
        status = sw_node_number(&drive, "ratio", 1e-3, 1e4, &ratio, error);
        if (status == SW_OK)
            status = sw_node_number(&drive, "creep", 0, 1, &creep, error);
    }
    it->ratio = ratio * (1 - creep);
    if (energy.value > 0 && energy.u > 0)
        it->u_relative = energy.u / energy.value;
    return status;
}

static sw_status read_prediction(const sw_node *top, sw_prediction *it, sw_error *error) {
    sw_node curve = {0};
    sw_quantity density = sw_quantity_unknown();
    sw_status status = sw_node_expect_document(top, "match", error);
    if (status == SW_OK)
        status = sw_node_object(top, "power_curve", &curve, error);
    if (status == SW_OK && curve.json == NULL)
        return sw_node_fail(top, "power_curve", error, SW_MISSING_KEY,
                            "this match predicts nothing, so there is nothing to compare with");
    if (status == SW_OK)
        status = read_list(&curve, "wind", it->wind_m_s, &it->points, error);
    if (status == SW_OK)
        status = read_list(&curve, "rotor_speed", it->rotor_rpm, &it->points, error);
    if (status == SW_OK)
        status = read_list(&curve, "dc_power", it->watts, &it->points, error);
    if (status == SW_OK)
        status = read_recommended(top, it, error);
    if (status == SW_OK)
        status = sw_node_quantity(top, "air_density", "kg/m3", &density, error);
    it->density = density.value;
    if (status == SW_OK)
        status = sw_node_number(top, "pole_pairs", 1, 1000, &it->pole_pairs, error);
    return status;
}

sw_status sw_prediction_read(const char *path, const sw_units *units, sw_prediction *prediction,
                             sw_error *error) {
    cJSON *root = NULL;
    *prediction = (sw_prediction){
        .u_relative = 0.2, .density = NAN, .ratio = NAN, .pole_pairs = NAN}; /* u as of Cp */
    sw_status status = sw_json_read(path, &root, error);
    if (status == SW_OK) {
        sw_node top = sw_node_top(root, path, units);
        status = read_prediction(&top, prediction, error);
    }
    cJSON_Delete(root);
    return status;
}

/* Linear between points of rising at[]; NaN outside. */
static double predicted_at(const sw_prediction *it, bool wind, double at) {
    const double *x = wind ? it->wind_m_s : it->rotor_rpm;
    for (size_t i = 1; i < it->points; i++)
        if (at >= x[i - 1] && at <= x[i] && x[i] > x[i - 1])
            return it->watts[i - 1] +
                   (it->watts[i] - it->watts[i - 1]) * (at - x[i - 1]) / (x[i] - x[i - 1]);
    return NAN;
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

/* Median of 1 - n_generator / (n_rotor ratio), n_generator = 60 f / p. */
static int rising(const void *a, const void *b) {
    double x = *(const double *)a;
    double y = *(const double *)b;
    return (x > y) - (x < y);
}

static double slip_of(const sw_log *log, double ratio, double pole_pairs) {
    size_t count = 0;
    double *slip = calloc(log->rows, sizeof *slip);
    for (size_t i = 0; slip != NULL && i < log->rows; i++) {
        const sw_log_row *row = &log->row[i];
        double value = 1 - 60 * row->hertz / pole_pairs / (row->rotor_rpm * ratio);
        if (isfinite(value) && row->hertz > 0)
            slip[count++] = value;
    }
    if (count > 0)
        qsort(slip, count, sizeof *slip, rising);
    double middle = count > 0 ? slip[count / 2] : NAN;
    free(slip);
    return middle;
}

/* Nothing in the lower bins that predict something, the upper half about right. */
static bool cuts_in_late(const sw_comparison *it) {
    size_t half = it->bins / 2;
    double low = share_of(it, 0, half);
    double high = share_of(it, half, it->bins);
    return low < 0.3 && high > 1 - it->u_share && high > 0.75;
}

static sw_compare_cause cause_of(const sw_comparison *it) {
    double half_low = share_of(it, 0, it->bins / 2);
    double half_high = share_of(it, it->bins / 2, it->bins);
    if (it->slip > SLIP_MATTERS)
        return SW_CAUSE_SLIP;
    if (cuts_in_late(it))
        return SW_CAUSE_CUT_IN;
    if (!isfinite(it->share) || fabs(it->share - 1) <= 2 * it->u_share)
        return SW_CAUSE_NONE;
    if (it->share > 1)
        return SW_CAUSE_BETTER;
    if (it->wind)
        return SW_CAUSE_ROTOR;
    if (half_high < FALLING_SHARE * half_low)
        return SW_CAUSE_CABLE;
    return it->share > PHASE_LOW && it->share < PHASE_HIGH ? SW_CAUSE_PHASE : SW_CAUSE_MACHINE;
}

/* At a known rotor speed neither wind nor Cp matter: the electrical side is good to some 8 %. */
static const double MACHINE_U = 0.08;

sw_status sw_compare(const sw_log *log, const sw_prediction *prediction, double density,
                     double pole_pairs, sw_comparison *comparison, sw_error *error) {
    double poles = isfinite(pole_pairs) ? pole_pairs : prediction->pole_pairs;
    *comparison = (sw_comparison){.wind = log->wind};
    fill_bins(log, prediction, density, comparison);
    if (comparison->bins == 0)
        return sw_fail(error, SW_VALUE, "the log has no row in a range that can be binned");
    comparison->share = share_of(comparison, 0, comparison->bins);
    comparison->u_share =
        hypot(log->wind ? prediction->u_relative : MACHINE_U, scatter_of(comparison));
    comparison->slip = slip_of(log, prediction->ratio, poles);
    comparison->cause = cause_of(comparison);
    return SW_OK;
}
