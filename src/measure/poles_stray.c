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
#include "src/measure/poles_parts.h"

#include <gsl/gsl_fft_real.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double PI = 3.14159265358979323846;
static const double WORTH_LEAST = 4.0;      /* beyond the price */
static const double PLACE_U_LEAST = 0.04;   /* of 1 / rows: speed changes smear a line */
static const double MAGNET_SHARE = 0.45;    /* of lines that stand out */
static const double SPINDLE_SHARE = 0.2;

typedef struct sw_line_search {
    size_t padded;  /* power of two >= 4 rows */
    double *padding;
    double *worth;  /* padded / 2 */
    double *price;  /* padded / 2 */
    double *power;  /* padded / 2: sum of z */
} sw_line_search;

static double mean_square(const sw_pattern_block *block, size_t feature) {
    double sum = 0.0;
    for (size_t i = 0; i < block->rows; i++)
        sum += block->series[i * block->features + feature] *
               block->series[i * block->features + feature];
    return sum / (double)block->rows;
}

static void add_feature(sw_line_search *search, const sw_pattern_block *block, size_t feature) {
    double variance = mean_square(block, feature);
    memset(search->padding, 0, search->padded * sizeof(double));
    for (size_t i = 0; i < block->rows; i++)
        search->padding[i] = block->series[i * block->features + feature];
    gsl_fft_real_radix2_transform(search->padding, 1, search->padded);
    for (size_t k = 1; k < search->padded / 2 && variance > 0.0; k++) {
        double real = search->padding[k];
        double imaginary = search->padding[search->padded - k];
        double half_z =
            (real * real + imaginary * imaginary) / (variance * (double)block->rows);
        double gain = fmax(0.0, half_z - log(1.0 + half_z) - 1.0);
        search->worth[k] += gain;
        search->power[k] += gain > 0.0 ? 2.0 * half_z : 0.0;
        search->price[k] += half_z - gain; /* where nothing is gained, the fit gains nothing */
    }
}

/* Take the line out of every series of a block, and keep its columns. */
static void take_line(sw_pattern_block *block, size_t line, double frequency) {
    size_t columns = 2 * SW_STRAY_LIMIT;
    double length = 0.0;
    for (size_t i = 0; i < block->rows; i++)
        length += block->scale[i] * block->scale[i] / 2.0;
    for (size_t i = 0; i < block->rows; i++) {
        double angle = 2.0 * PI * fmod(frequency * (double)i, 1.0);
        block->stray[i * columns + 2 * line] = block->scale[i] * cos(angle) / sqrt(length);
        block->stray[i * columns + 2 * line + 1] = block->scale[i] * sin(angle) / sqrt(length);
    }
}

static void subtract_line(sw_pattern_block *block, size_t line) {
    size_t columns = 2 * SW_STRAY_LIMIT;
    for (size_t f = 0; f < block->features; f++) {
        for (size_t side = 0; side < 2; side++) {
            double sum = 0.0;
            for (size_t i = 0; i < block->rows; i++)
                sum += block->stray[i * columns + 2 * line + side] *
                       block->series[i * block->features + f];
            for (size_t i = 0; i < block->rows; i++)
                block->series[i * block->features + f] -=
                    sum * block->stray[i * columns + 2 * line + side];
        }
    }
}

/* Add the most worthwhile line, refined by a parabola; false when there is none. */
static bool add_line(const sw_line_search *search, size_t rows, sw_stray_lines *lines) {
    size_t best = 0;
    for (size_t k = 1; k + 1 < search->padded / 2; k++) {
        if (best == 0 || search->worth[k] > search->worth[best])
            best = k;
    }
    if (best == 0 || search->worth[best] < log((double)rows / 2.0) + WORTH_LEAST)
        return false;
    double left = search->worth[best - 1];
    double right = search->worth[best + 1];
    double bend = left - 2.0 * search->worth[best] + right;
    double shift = bend < 0.0 ? 0.5 * (left - right) / bend : 0.0;
    double place_u = hypot(sqrt(6.0 / search->power[best]) / PI, PLACE_U_LEAST);
    lines->frequency[lines->count] =
        ((double)best + fmax(-0.5, fmin(0.5, shift))) / (double)search->padded;
    lines->frequency_u[lines->count] = place_u / (double)rows;
    lines->price[lines->count] = search->price[best];
    return true;
}

static void find_lines(sw_line_search *search, sw_pattern_block *blocks, size_t count,
                       sw_stray_lines *lines) {
    while (lines->count < SW_STRAY_LIMIT) {
        memset(search->worth, 0, search->padded / 2 * sizeof(double));
        memset(search->price, 0, search->padded / 2 * sizeof(double));
        memset(search->power, 0, search->padded / 2 * sizeof(double));
        for (size_t b = 0; b < count; b++) {
            for (size_t f = 0; f < blocks[b].features; f++)
                add_feature(search, &blocks[b], f);
        }
        if (!add_line(search, blocks[0].rows, lines))
            return;
        for (size_t b = 0; b < count; b++) {
            take_line(&blocks[b], lines->count, lines->frequency[lines->count]);
            subtract_line(&blocks[b], lines->count);
        }
        lines->count++;
    }
}

static double **copy_series(const sw_pattern_block *blocks, size_t count) {
    double **copies = calloc(count, sizeof *copies);
    for (size_t b = 0; copies && b < count; b++) {
        size_t bytes = blocks[b].rows * blocks[b].features * sizeof(double);
        copies[b] = malloc(bytes);
        if (copies[b])
            memcpy(copies[b], blocks[b].series, bytes);
    }
    return copies;
}

/* The search takes lines out of the series: put the series back. */
static sw_status restore_series(double **copies, sw_pattern_block *blocks, size_t count) {
    sw_status status = copies ? SW_OK : SW_MEMORY;
    for (size_t b = 0; copies && b < count; b++) {
        if (copies[b])
            memcpy(blocks[b].series, copies[b],
                   blocks[b].rows * blocks[b].features * sizeof(double));
        else
            status = SW_MEMORY;
        free(copies[b]);
    }
    free(copies);
    return status;
}

sw_status sw_poles_strays(sw_pattern_block *blocks, size_t count, sw_stray_lines *lines,
                          sw_error *error) {
    lines->count = 0;
    sw_line_search search = {.padded = 64};
    while (search.padded < 4 * blocks[0].rows)
        search.padded *= 2;
    search.padding = calloc(search.padded, sizeof(double));
    search.worth = calloc(search.padded / 2, sizeof(double));
    search.price = calloc(search.padded / 2, sizeof(double));
    search.power = calloc(search.padded / 2, sizeof(double));
    double **copies = copy_series(blocks, count);
    bool ready = search.padding && search.worth && search.price && search.power && copies;
    for (size_t b = 0; ready && b < count; b++)
        ready = copies[b] != NULL;
    if (ready)
        find_lines(&search, blocks, count, lines);
    sw_status status = restore_series(copies, blocks, count);
    free(search.padding);
    free(search.worth);
    free(search.price);
    free(search.power);
    return ready && status == SW_OK ? SW_OK : sw_fail(error, SW_MEMORY, "out of memory");
}

/* Density at a line's frequency of lines m/period, m in 1 .. orders, relative to a frequency that
 * may lie anywhere in (0, 1/2). */
static double density(double frequency, double u, int period, int orders) {
    int order = (int)lround(frequency * period);
    if (order < 1 || order > orders)
        return 0.0;
    double deviation = (frequency - (double)order / period) / u;
    return 0.5 / orders * exp(-0.5 * deviation * deviation) / (u * sqrt(2.0 * PI));
}

double sw_poles_line_match(const sw_stray_lines *lines, size_t line, int p, int t) {
    double frequency = lines->frequency[line];
    double u = lines->frequency_u[line];
    int period = p / t;
    double magnets = period > 1 ? MAGNET_SHARE : 0.0;
    double spindle = p > 1 ? SPINDLE_SHARE : 0.0;
    double likely = 1.0 - magnets - spindle;
    if (magnets > 0.0)
        likely += magnets * density(frequency, u, period, period / 2);
    if (spindle > 0.0)
        likely += spindle * density(frequency, u, p, p < 4 ? 1 : 2);
    return log(likely);
}
