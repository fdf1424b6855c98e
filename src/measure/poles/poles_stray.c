/* Lines that stand out of the noise: the shaft's own, and some that have nothing to do with the
 * shaft turn (teeth and bearings of the drill's gears, mains hum at a steady speed).
 *
 * The strongest lines common to all series are found one by one in zero-padded periodograms, each
 * fitted and taken out before the next is looked for. z is the power of a line in a series over
 * the noise (chi-squared with 2 degrees of freedom when there is none). A line of free amplitude
 * explains z/2 and costs about log(1 + z/2) in each series (a normal prior on the amplitude, its
 * variance fitted). Lines that do not explain log(rows) more than that are none: so much a free
 * frequency costs.
 *
 * What a line says about p is its frequency alone. A stray may have any; a line of the magnets is
 * a multiple of t/p, a line of the spindle is 1/p or 2/p. A frequency is known to
 * sqrt(6 / sum of z) / (pi rows) (Rife & Boorstyn 1974), so a strong line in the right place says
 * much, and one that misses by a little says that it is a stray.
 */
#include "src/measure/poles/poles_parts.h"

#include "shared/constants.h"

#include <gsl/gsl_fft_real.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double WORTH_LEAST = 4.0;    /* beyond the price */
static const double PLACE_U_LEAST = 0.04; /* of 1 / rows: speed changes smear a line */
/* Of the lines that stand out; nobody knows how many of them are strays. */
enum { SHARES = 4 };
static const double MAGNET_SHARE[SHARES] = {0.02, 0.1, 0.3, 0.6};
static const double SPINDLE_SHARE[SHARES] = {0.01, 0.05, 0.15, 0.3};

enum {
    LINES_A_PASS = 4,
    PASS_SPACING = 12, /* in 1 / rows */
    LINE_FREEDOM = 6,  /* degrees of freedom that a line takes with its skirts */
    ROWS_A_LINE = 24
};

typedef struct sw_line_search {
    size_t padded; /* power of two >= 3 rows */
    double *padding;
    double *worth; /* padded / 2 + 1 */
    double *price; /* padded / 2 + 1 */
    double *power; /* padded / 2 + 1: sum of z */
} sw_line_search;

/* Variance of what is left after `lines` lines. */
static double variance_left(const sw_pattern_block *block, size_t feature, size_t lines) {
    double sum = 0.0;
    for (size_t i = 0; i < block->rows; i++)
        sum +=
            block->rest[i * block->features + feature] * block->rest[i * block->features + feature];
    return sum / (double)(block->rows - LINE_FREEDOM * lines);
}

static void add_feature(sw_line_search *search, const sw_pattern_block *block, size_t feature,
                        size_t lines) {
    double variance = variance_left(block, feature, lines);
    memset(search->padding, 0, search->padded * sizeof(double));
    for (size_t i = 0; i < block->rows; i++)
        search->padding[i] = block->rest[i * block->features + feature];
    gsl_fft_real_radix2_transform(search->padding, 1, search->padded);
    for (size_t k = 1; k <= search->padded / 2 && variance > 0.0; k++) {
        double real = search->padding[k];
        double imaginary = 2 * k < search->padded ? search->padding[search->padded - k] : 0.0;
        double half_z = (real * real + imaginary * imaginary) / (variance * (double)block->rows);
        double gain = fmax(0.0, half_z - log(1.0 + half_z) - 1.0);
        search->worth[k] += gain;
        search->power[k] += gain > 0.0 ? 2.0 * half_z : 0.0;
        search->price[k] += half_z - gain; /* where nothing is gained, the fit gains nothing */
    }
}

/* A line that alternates from cycle to cycle has no sine. */
static bool alternates(double frequency) {
    return frequency >= 0.5;
}

/* Cosine and sine of a line, one row after the other. */
typedef struct sw_turning {
    double c, s;           /* of the row */
    double step_c, step_s; /* of one row's turn */
} sw_turning;

static sw_turning turning_of(double frequency) {
    return (sw_turning){1.0, 0.0, cos(2.0 * M_PI * frequency), sin(2.0 * M_PI * frequency)};
}

static void turn(sw_turning *turning) {
    double c = turning->c * turning->step_c - turning->s * turning->step_s;
    turning->s = turning->c * turning->step_s + turning->s * turning->step_c;
    turning->c = c;
}

/* Take a line out of every series of a block: least squares on its cosine and sine. */
static void subtract_line(const sw_pattern_block *block, double frequency) {
    double cc = 0.0;
    double cs = 0.0;
    double ss = 0.0;
    double a[SW_PATTERN_FEATURE_LIMIT] = {0};
    double b[SW_PATTERN_FEATURE_LIMIT] = {0};
    sw_turning turning = turning_of(frequency);
    for (size_t i = 0; i < block->rows; i++, turn(&turning)) {
        double c = block->scale[i] * turning.c;
        double s = block->scale[i] * turning.s;
        cc += c * c;
        cs += c * s;
        ss += s * s;
        for (size_t f = 0; f < block->features; f++) {
            a[f] += c * block->rest[i * block->features + f];
            b[f] += s * block->rest[i * block->features + f];
        }
    }
    double determinant = cc * ss - cs * cs;
    for (size_t f = 0; f < block->features; f++) {
        double yc = a[f];
        double ys = b[f];
        a[f] = alternates(frequency) ? yc / cc : (ss * yc - cs * ys) / determinant;
        b[f] = alternates(frequency) ? 0.0 : (cc * ys - cs * yc) / determinant;
    }
    turning = turning_of(frequency);
    for (size_t i = 0; i < block->rows; i++, turn(&turning)) {
        double c = block->scale[i] * turning.c;
        double s = block->scale[i] * turning.s;
        for (size_t f = 0; f < block->features; f++)
            block->rest[i * block->features + f] -= a[f] * c + b[f] * s;
    }
}

/* Take a line out with its skirts: it may be stronger while the drill drives than after. */
static void subtract_skirts(const sw_pattern_block *block, double frequency) {
    static const double offset[] = {0.0, -0.7, 0.7, 0.0, -1.4, 1.4, 0.0};
    for (size_t i = 0; i < sizeof offset / sizeof *offset; i++) {
        double beside = frequency + offset[i] / (double)block->rows;
        if (beside > 0.0)
            subtract_line(block, beside > 0.5 ? 1.0 - beside : beside);
    }
}

/* Is a bin within the width of a line that was found before, or near one of this pass (whose
 * skirts are still there)? */
static bool is_taken(const sw_line_search *search, size_t bin, size_t rows,
                     const sw_stray_lines *lines, size_t before) {
    double frequency = (double)bin / (double)search->padded;
    for (size_t i = 0; i < lines->count; i++) {
        double width = i < before ? 2.0 : PASS_SPACING;
        if (fabs(frequency - lines->frequency[i]) < width / (double)rows)
            return true;
    }
    return false;
}

/* Top of the parabola through three neighbours, in bins from the middle one. */
static double top_of(const double *three) {
    double bend = three[0] - 2.0 * three[1] + three[2];
    double shift = bend < 0.0 ? 0.5 * (three[0] - three[2]) / bend : 0.0;
    return fmax(-0.5, fmin(0.5, shift));
}

/* Add the most worthwhile line; false when there is none. */
static bool add_line(const sw_line_search *search, size_t rows, sw_stray_lines *lines,
                     size_t before) {
    size_t last = search->padded / 2;
    size_t best = 0;
    for (size_t k = 1; k <= last; k++) {
        if ((best == 0 || search->worth[k] > search->worth[best]) &&
            !is_taken(search, k, rows, lines, before))
            best = k;
    }
    if (best == 0 || search->worth[best] < log((double)rows / 2.0) + WORTH_LEAST)
        return false;
    double shift = best < last ? top_of(search->worth + best - 1) : 0.0;
    double frequency = ((double)best + shift) / (double)search->padded;
    /* a line this close to 1/2 and its mirror image are one */
    if (frequency > 0.5 - 0.4 / (double)rows)
        frequency = 0.5;
    double place_u = hypot(sqrt(6.0 / search->power[best]) / M_PI, PLACE_U_LEAST);
    lines->frequency[lines->count] = frequency;
    lines->frequency_u[lines->count] = place_u / (double)rows;
    lines->price[lines->count] = search->price[best];
    return true;
}

static void fill_search(sw_line_search *search, const sw_pattern_block *blocks, size_t count,
                        size_t lines) {
    size_t bytes = (search->padded / 2 + 1) * sizeof(double);
    memset(search->worth, 0, bytes);
    memset(search->price, 0, bytes);
    memset(search->power, 0, bytes);
    for (size_t b = 0; b < count; b++) {
        for (size_t f = 0; f < blocks[b].features; f++)
            add_feature(search, &blocks[b], f, lines);
    }
}

static void find_lines(sw_line_search *search, const sw_pattern_block *blocks, size_t count,
                       sw_stray_lines *lines) {
    size_t most = blocks[0].rows / ROWS_A_LINE;
    size_t before = SW_STRAY_LIMIT;
    most = most < SW_STRAY_LIMIT ? most : SW_STRAY_LIMIT;
    lines->count = 0;
    while (before != lines->count && lines->count < most) {
        before = lines->count;
        fill_search(search, blocks, count, lines->count);
        while (lines->count < most && lines->count < before + LINES_A_PASS &&
               add_line(search, blocks[0].rows, lines, before)) {
            for (size_t b = 0; b < count; b++)
                subtract_skirts(&blocks[b], lines->frequency[lines->count]);
            lines->count++;
        }
    }
}

sw_status sw_poles_strays(const sw_pattern_block *blocks, size_t count, sw_stray_lines *lines,
                          sw_error *error) {
    sw_line_search search = {.padded = 64};
    while (search.padded < 3 * blocks[0].rows)
        search.padded *= 2;
    search.padding = calloc(search.padded, sizeof(double));
    search.worth = calloc(search.padded / 2 + 1, sizeof(double));
    search.price = calloc(search.padded / 2 + 1, sizeof(double));
    search.power = calloc(search.padded / 2 + 1, sizeof(double));
    bool ready = search.padding && search.worth && search.price && search.power;
    for (size_t b = 0; b < count; b++)
        memcpy(blocks[b].rest, blocks[b].series,
               blocks[b].rows * blocks[b].features * sizeof(double));
    if (ready && blocks[0].rows >= SW_SHORT_ROWS)
        find_lines(&search, blocks, count, lines);
    free(search.padding);
    free(search.worth);
    free(search.price);
    free(search.power);
    return ready ? SW_OK : sw_fail(error, SW_MEMORY, "out of memory");
}

/* Density at a line's frequency of lines m/period, m in 1 .. orders, relative to a frequency that
 * may lie anywhere in (0, 1/2). */
static double density(double frequency, double u, int period, int orders) {
    int order = (int)lround(frequency * period);
    if (order < 1 || order > orders)
        return 0.0;
    double deviation = (frequency - (double)order / period) / u;
    return 0.5 / orders * exp(-0.5 * deviation * deviation) / (u * sqrt(2.0 * M_PI));
}

/* How likely the lines' frequencies are when such shares of them are the magnets' and the
 * spindle's. */
static double match(double (*relative)[2], size_t count, double magnets, double spindle) {
    double sum = 0.0;
    for (size_t i = 0; i < count; i++)
        sum += log(1.0 - magnets - spindle + magnets * relative[i][0] + spindle * relative[i][1]);
    return sum;
}

double sw_poles_lines_score(const sw_stray_lines *lines, int p, int t) {
    double relative[SW_STRAY_LIMIT][2];
    double sum = -INFINITY;
    double prices = 0.0;
    int period = p / t;
    for (size_t i = 0; i < lines->count; i++) {
        double frequency = lines->frequency[i];
        double u = lines->frequency_u[i];
        prices += lines->price[i];
        relative[i][0] = density(frequency, u, period, period / 2);
        relative[i][1] = p > 1 ? density(frequency, u, p, p < 4 ? 1 : 2) : 0.0;
    }
    for (size_t m = 0; m < SHARES; m++) {
        for (size_t s = 0; s < SHARES; s++) {
            double one = match(relative, lines->count, period > 1 ? MAGNET_SHARE[m] : 0.0,
                               p > 1 ? SPINDLE_SHARE[s] : 0.0);
            sum = sw_poles_log_sum(sum, one - 2.0 * log(SHARES));
        }
    }
    return sum - prices;
}
