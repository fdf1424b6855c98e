/* Which family a motor belongs to: posterior over the rows of reference/families.json.
 *
 * Bayes with independent evidence. Prior: how often one meets the family. Likelihoods:
 *   phases      must fit; a misread record is allowed one in a hundred
 *   pole pairs  the listed counts share most of the weight, the rest thins out as 1/p; the
 *               record's own candidates are summed over with their probabilities, and hertz are
 *               turned into rpm by each of them
 *   volts       rms line to line at 1000 rpm, log-normal over the family's range
 *   watts       V^2 / 4R at 1000 rpm, log-normal: independent of the turns of the winding, so a
 *               measure of the machine's size
 *   distortion  of the wave, log-normal
 * A range holds nine in ten, and a tenth of each likelihood is spread over e^12, so that no
 * single figure excludes a family. "Something else" competes with wide ranges of its own; it
 * keeps the answer from being surer than the table can be.
 */
#include "src/measure/family.h"

#include "shared/constants.h"
#include "shared/table.h"
#include "shared/text.h"
#include "src/measure/sensor.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double OTHER_SHARE = 0.15;    /* of the prior: families that no table lists */
static const double WRONG_PHASES = 0.01;   /* a record whose phases were misread */
static const double LISTED_SHARE = 0.95;   /* of the weight of pole counts */
static const double SPREAD_SHARE = 0.1;    /* of each log-normal */
static const double SPREAD_LOG_WIDTH = 12; /* e^12: from 0.1 W to 16 kW */
static const double LOW_SHARE = 0.7; /* of the range's lower end: one in twenty is below that */
/* Times beyond the table's ranges, within which nine motors in ten lie: judged, no source. */
static const double UNHEARD_OF = 3;
static const double SUREST = 0.95;
static const double LEAST_TRUST = 0.35; /* with a single measured value, 0.5 */
static const double TRUST_A_PIECE = 0.15;
static const double ROWS_DOUBT = 1.5; /* as if so many rows were missing */
static const double RANGE_K = 1.645;  /* nine in ten of a normal distribution */

enum { MOST_POLE_PAIRS = 60 };

typedef struct evidence {
    double volts; /* at 1000 rpm; NaN = not known */
    double volts_per_hertz;
    double ohm;
    double distortion;
    int phases;
    const sw_pole_pairs *poles;
    sw_motor_kind kind;
} evidence;

typedef struct expectation {
    double volts[2];
    double watts[2];
    double distortion[2];
    int phases; /* 0 = any */
    int pole_pairs[16];
    size_t pole_counts;
} expectation;

static const expectation SOMETHING_ELSE = {
    .volts = {0.5, 500}, .watts = {0.05, 20000}, .distortion = {0.003, 0.4}};

static double log_normal(double value, const double range[2]) {
    double middle = log(range[0] * range[1]) / 2;
    double sigma = log(range[1] / range[0]) / (2 * RANGE_K);
    double z = (log(value) - middle) / sigma;
    double density = exp(-z * z / 2) / (sigma * sqrt(2 * M_PI));
    return (1 - SPREAD_SHARE) * density + SPREAD_SHARE / SPREAD_LOG_WIDTH;
}

static double count_share(const expectation *row, int pole_pairs) {
    static const double HARMONIC_60 = 4.68; /* sum of 1/p for p = 1 .. 60 */
    double thin = 1 / (HARMONIC_60 * pole_pairs);
    if (row->pole_counts == 0)
        return thin;
    double share = (1 - LISTED_SHARE) * thin;
    for (size_t i = 0; i < row->pole_counts; i++)
        if (row->pole_pairs[i] == pole_pairs)
            share += LISTED_SHARE / (double)row->pole_counts;
    return share;
}

/* Volts and watts at 1000 rpm if the machine had so many pole pairs. */
static double size_likelihood(const expectation *row, const evidence *seen, int pole_pairs) {
    double volts = seen->volts > 0 ? seen->volts : seen->volts_per_hertz * pole_pairs * 1000 / 60;
    double product = 1;
    if (volts > 0)
        product *= log_normal(volts, row->volts);
    if (volts > 0 && seen->ohm > 0)
        product *= log_normal(volts * volts / (4 * seen->ohm), row->watts);
    return product;
}

/* Pole pairs and size together: hertz turn into rpm by the pole pairs that are assumed. */
static double poles_and_size(const expectation *row, const evidence *seen) {
    const sw_pole_pairs *poles = seen->poles;
    double sum = 0;
    if (seen->kind == SW_BRUSHED)
        return size_likelihood(row, seen, 0);
    for (size_t i = 0; i < poles->candidates; i++) {
        int pole_pairs = poles->candidate[i].pole_pairs;
        sum += poles->candidate[i].probability * count_share(row, pole_pairs) *
               size_likelihood(row, seen, pole_pairs);
    }
    if (poles->candidates == 0 && poles->value > 0)
        sum = count_share(row, poles->value) * size_likelihood(row, seen, poles->value);
    if (poles->candidates > 0 || poles->value > 0)
        return sum;
    /* No word on the pole pairs: any that the family has. */
    for (int p = 1; p <= MOST_POLE_PAIRS; p++)
        sum += count_share(row, p) * size_likelihood(row, seen, p);
    return sum;
}

static double phases_likelihood(const expectation *row, int phases) {
    if (phases == 0)
        return 1;
    if (row->phases == 0)
        return 1.0 / 3;
    return row->phases == phases ? 1 : WRONG_PHASES;
}

static double likelihood(const expectation *row, const evidence *seen) {
    double product = phases_likelihood(row, seen->phases);
    product *= poles_and_size(row, seen);
    if (seen->distortion > 0 && seen->kind == SW_MAGNET_AC)
        product *= log_normal(seen->distortion, row->distortion);
    return product;
}

static evidence evidence_of(const sw_motor *motor) {
    evidence seen = {.volts = 1000 * motor->voltage_constant.value,
                     .volts_per_hertz = motor->volts_per_hertz.value,
                     .ohm = motor->winding_resistance.value,
                     .distortion = motor->distortion.value,
                     .phases = motor->phases,
                     .poles = &motor->pole_pairs,
                     .kind = motor->kind};
    if (motor->kind == SW_BRUSHED)
        seen.phases = 0;
    return seen;
}

/* A sensor's coil says nothing of the machine that it watches, and of a coil that may be one
 * nothing is said before its ohms are known. */
static bool withheld(const sw_motor *motor) {
    return sw_motor_warned(motor, SW_WARN_SENSOR_COIL) || sw_sensor_possible(motor);
}

const char *sw_family_reason(const sw_motor *motor) {
    if (sw_motor_warned(motor, SW_WARN_SENSOR_COIL))
        return "the coil of a speed sensor says nothing of the machine: record its winding";
    if (sw_sensor_possible(motor))
        return "needs the ohms between the two wires: it may be a sensor's coil";
    return "needs a voltage for each turn, or the pole pairs";
}

/* Phases alone are no evidence worth a guess. */
static bool enough(const evidence *seen) {
    return seen->kind != SW_NO_GENERATOR &&
           (seen->volts > 0 || seen->volts_per_hertz > 0 || seen->poles->value > 0);
}

static sw_status read_range(const sw_node *row, const char *key, double range[2], sw_error *error) {
    double *values = NULL;
    size_t count = 0;
    sw_status status = sw_node_numbers(row, key, &values, &count, error);
    if (status == SW_OK && values != NULL) {
        if (count != 2 || !(values[0] > 0) || !(values[1] > values[0]))
            status = sw_node_fail(row, key, error, SW_VALUE, "expected [low, high] above 0");
        else
            memcpy(range, values, 2 * sizeof *range);
    }
    free(values);
    return status;
}

static sw_status read_counts(const sw_node *row, expectation *expected, sw_error *error) {
    double *values = NULL;
    size_t count = 0;
    sw_status status = sw_node_numbers(row, "pole_pairs", &values, &count, error);
    size_t limit = sizeof expected->pole_pairs / sizeof *expected->pole_pairs;
    if (status == SW_OK && count > limit)
        status = sw_node_fail(row, "pole_pairs", error, SW_VALUE,
                              "found %zu entries, expected at most %zu", count, limit);
    for (size_t i = 0; status == SW_OK && i < count; i++) {
        expected->pole_pairs[i] = (int)values[i];
        expected->pole_counts = i + 1;
    }
    free(values);
    return status;
}

static sw_status read_text(const sw_node *row, const char *key, char *out, size_t room,
                           sw_error *error) {
    const char *text = "";
    sw_status status = sw_node_text(row, key, &text, error);
    sw_text_copy(text, out, room);
    return status;
}

static sw_status read_words(const sw_node *row, sw_family *family, sw_error *error) {
    sw_status status = read_text(row, "name", family->name, sizeof family->name, error);
    if (status == SW_OK)
        status = read_text(row, "called", family->called, sizeof family->called, error);
    if (status == SW_OK)
        status = read_text(row, "good", family->good, sizeof family->good, error);
    if (status == SW_OK)
        status = read_text(row, "bad", family->bad, sizeof family->bad, error);
    if (status == SW_OK)
        status = read_text(row, "judged", family->judged, sizeof family->judged, error);
    return status;
}

/* The range of machines with just these phases and poles. */
static void widen_usual(const expectation *row, const evidence *seen, sw_family_guess *guess) {
    bool poles = false;
    for (size_t i = 0; i < row->pole_counts; i++)
        poles = poles || row->pole_pairs[i] == seen->poles->value;
    if (seen->kind != SW_MAGNET_AC || row->phases == 0 || row->phases != seen->phases || !poles)
        return;
    bool first = !(guess->usual[0] > 0);
    guess->usual[0] = first ? row->watts[0] : fmin(guess->usual[0], row->watts[0]);
    guess->usual[1] = fmax(guess->usual[1], row->watts[1]);
}

/* Of every machine of the motor's kind. */
static void widen_volts(const expectation *row, sw_family_guess *guess) {
    double *range = guess->volts_of_kind;
    range[0] = range[0] > 0 ? fmin(range[0], row->volts[0]) : row->volts[0];
    range[1] = fmax(range[1], row->volts[1]);
}

static void judge_watts(const evidence *seen, sw_family_guess *guess) {
    guess->watts = NAN;
    if (seen->volts > 0 && seen->ohm > 0)
        guess->watts = seen->volts * seen->volts / (4 * seen->ohm);
    guess->low = guess->usual[0] > 0 && guess->watts < LOW_SHARE * guess->usual[0];
}

/* A row weighed; probability holds prior times likelihood, 0 for a row of another kind. */
static sw_status weigh_row(const sw_node *row, const evidence *seen, sw_family *family,
                           double *prior, sw_family_guess *guess, sw_error *error) {
    static const char *const KINDS[] = {"magnet-ac", "brushed", "none", NULL};
    expectation expected = SOMETHING_ELSE;
    int kind = 0;
    *prior = 0;
    family->probability = 0;
    sw_status status = sw_node_need(row, "kind", "\"magnet-ac\"", error);
    if (status == SW_OK)
        status = sw_node_word(row, "kind", KINDS, &kind, error);
    if (status != SW_OK || kind != (int)seen->kind)
        return status;
    status = read_words(row, family, error);
    if (status == SW_OK)
        status = sw_node_number(row, "prior", 0, 1000, prior, error);
    if (status == SW_OK)
        status = sw_node_integer(row, "phases", 1, 3, &expected.phases, error);
    if (status == SW_OK)
        status = read_range(row, "volts", expected.volts, error);
    if (status == SW_OK)
        status = read_range(row, "watts", expected.watts, error);
    if (status == SW_OK)
        status = read_range(row, "distortion", expected.distortion, error);
    if (status == SW_OK)
        status = read_counts(row, &expected, error);
    family->probability = *prior * likelihood(&expected, seen);
    if (status == SW_OK)
        widen_usual(&expected, seen, guess);
    if (status == SW_OK && *prior > 0)
        widen_volts(&expected, guess);
    return status;
}

static int by_probability(const void *left, const void *right) {
    double a = ((const sw_family *)left)->probability;
    double b = ((const sw_family *)right)->probability;
    return (a < b) - (a > b);
}

/* How many independent things were measured that tell families apart. */
static int pieces_of(const evidence *seen) {
    bool poles = seen->poles->value > 0;
    bool brushed = seen->kind == SW_BRUSHED;
    return (seen->volts > 0 || seen->volts_per_hertz > 0) + (seen->ohm > 0) + (poles && !brushed) +
           (seen->phases > 0) + (seen->distortion > 0 && !brushed);
}

/* A short table made by hand, and few measured values, cannot be sure however well one row fits. */
static double trust_of(const evidence *seen, size_t rows) {
    double pieces = fmin(SUREST, LEAST_TRUST + TRUST_A_PIECE * pieces_of(seen));
    return pieces * (double)rows / ((double)rows + ROWS_DOUBT);
}

static void normalise(sw_family_guess *guess, double priors, const evidence *seen) {
    double other = OTHER_SHARE / (1 - OTHER_SHARE) * priors * likelihood(&SOMETHING_ELSE, seen);
    double sum = other;
    for (size_t i = 0; i < guess->count; i++)
        sum += guess->candidate[i].probability;
    for (size_t i = 0; i < guess->count && sum > 0; i++)
        guess->candidate[i].probability /= sum;
    double trust = trust_of(seen, guess->count);
    for (size_t i = 0; i < guess->count; i++)
        guess->candidate[i].probability *= trust;
    guess->other = sum > 0 ? 1 - trust * (1 - other / sum) : 1;
    qsort(guess->candidate, guess->count, sizeof *guess->candidate, by_probability);
}

static sw_status weigh_rows(const sw_node *list, const evidence *seen, sw_family_guess *guess,
                            sw_error *error) {
    double priors = 0;
    size_t rows = sw_node_count(list);
    if (rows > SW_FAMILY_LIMIT)
        return sw_node_fail(list, NULL, error, SW_VALUE, "found %zu rows, expected at most %d",
                            rows, SW_FAMILY_LIMIT);
    for (size_t i = 0; i < rows; i++) {
        sw_node row = sw_node_item(list, i);
        double prior = 0;
        sw_status status =
            weigh_row(&row, seen, &guess->candidate[guess->count], &prior, guess, error);
        if (status != SW_OK)
            return status;
        guess->count += prior > 0;
        priors += prior;
    }
    normalise(guess, priors, seen);
    judge_watts(seen, guess);
    guess->volts = seen->volts > 0 ? seen->volts : 0;
    return SW_OK;
}

sw_status sw_family_guess_at(const char *reference_dir, const sw_motor *motor,
                             sw_family_guess *guess, sw_error *error) {
    evidence seen = evidence_of(motor);
    sw_table table;
    memset(guess, 0, sizeof *guess);
    if (!enough(&seen) || withheld(motor))
        return SW_OK;
    sw_status status = sw_table_open(reference_dir, "families", &table, error);
    if (status != SW_OK)
        return status;
    status = weigh_rows(&table.list, &seen, guess, error);
    sw_table_close(&table);
    return status;
}

void sw_family_check_volts(const sw_family_guess *guess, sw_motor *motor) {
    double low = guess->volts_of_kind[0] / UNHEARD_OF;
    double high = guess->volts_of_kind[1] * UNHEARD_OF;
    sw_motor_unwarn(motor, SW_WARN_VOLTS_IMPLAUSIBLE);
    if (!(guess->volts > 0) || !(low > 0) || (guess->volts >= low && guess->volts <= high))
        return;
    bool much = guess->volts > high;
    char limit[32];
    snprintf(limit, sizeof limit, much ? "more than %.0f" : "less than %.2g", much ? high : low);
    sw_motor_warn(motor, SW_WARN_VOLTS_IMPLAUSIBLE,
                  "%.*f V at 1000 rpm: no %s known here gives %s. Read volts and speed again "
                  "(which range was the meter on? turns a minute or a second?).",
                  much ? 0 : 4, guess->volts, motor->kind == SW_BRUSHED ? "brushed motor" : "motor",
                  limit);
}
