/* Flatten the noise floor of a series.
 *
 * The floor is a running low quantile of the tapered periodogram: lines, even a dozen of them, do
 * not lift it, while the hump of a hand's wobble and the slope of crossing noise do. The series
 * is divided by the floor's square root in the frequency domain (no phase shift). A pattern that
 * repeats every P rows still does so afterwards, and a line stays a line. Short series are left
 * as they are: their periodogram has too few points for a median.
 */
#include "src/measure/poles/poles_parts.h"

#include "shared/constants.h"

#include <gsl/gsl_fft_halfcomplex.h>
#include <gsl/gsl_fft_real.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { REACH_LEAST = 5 };

static const double FLOOR_QUANTILE = 0.4;

typedef struct sw_whitener {
    size_t rows;
    gsl_fft_real_wavetable *forward;
    gsl_fft_halfcomplex_wavetable *back;
    gsl_fft_real_workspace *work;
    double *data;  /* rows */
    double *power; /* rows / 2 + 1 */
    double *floor; /* rows / 2 + 1 */
    double *window;
} sw_whitener;

static void whitener_free(sw_whitener *whitener) {
    gsl_fft_real_wavetable_free(whitener->forward);
    gsl_fft_halfcomplex_wavetable_free(whitener->back);
    gsl_fft_real_workspace_free(whitener->work);
    free(whitener->data);
    free(whitener->power);
    free(whitener->floor);
    free(whitener->window);
}

static bool whitener_new(sw_whitener *whitener, size_t rows) {
    *whitener = (sw_whitener){
        .rows = rows,
        .forward = gsl_fft_real_wavetable_alloc(rows),
        .back = gsl_fft_halfcomplex_wavetable_alloc(rows),
        .work = gsl_fft_real_workspace_alloc(rows),
        .data = calloc(rows, sizeof(double)),
        .power = calloc(rows / 2 + 1, sizeof(double)),
        .floor = calloc(rows / 2 + 1, sizeof(double)),
        .window = calloc(rows / 2 + 1, sizeof(double)),
    };
    return whitener->forward && whitener->back && whitener->work && whitener->data &&
           whitener->power && whitener->floor && whitener->window;
}

/* Power at bin k of a GSL half-complex array. */
static double bin_power(const double *data, size_t rows, size_t k) {
    if (k == 0)
        return data[0] * data[0];
    double real = data[2 * k - 1];
    double imaginary = 2 * k < rows ? data[2 * k] : 0.0;
    return real * real + imaginary * imaginary;
}

static void fill_power(sw_whitener *whitener, const double *series, size_t stride) {
    size_t rows = whitener->rows;
    for (size_t i = 0; i < rows; i++) {
        /* a Hann taper keeps a strong line from lifting the floor far around it */
        double taper = 1.0 - cos(2.0 * M_PI * ((double)i + 0.5) / (double)rows);
        whitener->data[i] = taper * series[i * stride];
    }
    gsl_fft_real_transform(whitener->data, 1, rows, whitener->forward, whitener->work);
    for (size_t k = 0; k <= rows / 2; k++)
        whitener->power[k] = bin_power(whitener->data, rows, k);
}

/* Bins to each side that are looked at: near zero frequency the floor may be steep, but a tapered
 * line is four bins wide, and two of them must not be half of what is looked at. */
static size_t reach(size_t k, size_t bins) {
    size_t most = bins / 12 > REACH_LEAST ? bins / 12 : REACH_LEAST;
    size_t wanted = 2 * k / 5;
    wanted = wanted < REACH_LEAST ? REACH_LEAST : wanted;
    return wanted < most ? wanted : most;
}

static double quantile_around(sw_whitener *whitener, size_t k, size_t half) {
    size_t bins = whitener->rows / 2 + 1;
    size_t low = k > half ? k - half : 1;
    size_t high = k + half < bins ? k + half : bins - 1;
    memcpy(whitener->window, whitener->power + low, (high - low + 1) * sizeof(double));
    gsl_sort(whitener->window, 1, high - low + 1);
    return gsl_stats_quantile_from_sorted_data(whitener->window, 1, high - low + 1, FLOOR_QUANTILE);
}

/* Low quantile of the power around each bin; neighbours share it where it changes slowly. */
static void fill_quantile(sw_whitener *whitener, double *quantile) {
    size_t bins = whitener->rows / 2 + 1;
    for (size_t k = 0; k < bins;) {
        size_t half = reach(k, bins);
        size_t shared = half / 6 + 1;
        double value = quantile_around(whitener, k + shared / 2 < bins ? k + shared / 2 : k, half);
        for (size_t j = 0; j < shared && k < bins; j++)
            quantile[k++] = value;
    }
}

/* The quantile's steps would tilt lines: its logarithm is averaged over the same reach. */
static void fill_floor(sw_whitener *whitener) {
    size_t bins = whitener->rows / 2 + 1;
    double *quantile = whitener->power; /* no longer needed */
    fill_quantile(whitener, whitener->floor);
    memcpy(quantile, whitener->floor, bins * sizeof *quantile);
    for (size_t k = 0; k < bins; k++) {
        size_t half = reach(k, bins) / 2;
        double sum = 0.0;
        size_t count = 0;
        for (size_t j = k > half ? k - half : 0; j <= k + half && j < bins; j++) {
            sum += log(fmax(quantile[j], 1e-300));
            count++;
        }
        whitener->floor[k] = exp(sum / (double)count);
    }
}

static void divide(sw_whitener *whitener, double *series, size_t stride) {
    size_t rows = whitener->rows;
    double least = 0.0;
    for (size_t k = 0; k <= rows / 2; k++)
        least = fmax(least, whitener->floor[k]);
    least *= 1e-8;
    for (size_t i = 0; i < rows; i++)
        whitener->data[i] = series[i * stride];
    gsl_fft_real_transform(whitener->data, 1, rows, whitener->forward, whitener->work);
    for (size_t i = 0; i < rows; i++)
        whitener->data[i] /= sqrt(fmax(whitener->floor[(i + 1) / 2], least));
    gsl_fft_halfcomplex_inverse(whitener->data, 1, rows, whitener->back, whitener->work);
    for (size_t i = 0; i < rows; i++)
        series[i * stride] = whitener->data[i];
}

sw_status sw_poles_whiten(double *series, size_t rows, size_t stride, sw_error *error) {
    if (rows < SW_SHORT_ROWS)
        return SW_OK;
    sw_whitener whitener;
    if (!whitener_new(&whitener, rows)) {
        whitener_free(&whitener);
        return sw_fail(error, SW_MEMORY, "out of memory");
    }
    fill_power(&whitener, series, stride);
    fill_floor(&whitener);
    if (whitener.floor[rows / 4] > 0.0)
        divide(&whitener, series, stride);
    whitener_free(&whitener);
    return SW_OK;
}
