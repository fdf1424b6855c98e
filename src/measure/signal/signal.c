/* Values between samples are taken with a Kaiser-windowed sine cardinal (J. F. Kaiser, 1974; beta
 * 8 gives a stop band below -80 dB). Its length is counted in zero crossings of the cutoff, so
 * that a low cutoff averages many samples: reading a wave at 64 points a cycle through a cutoff of
 * 32 cycles^-1 uses every sample of the record once, whatever the speed, and no sample's
 * information is lost to decimation.
 */
#include "src/measure/signal/signal.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_sf_bessel.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>

enum { STEPS = 256, TABLE = SW_KERNEL_REACH * STEPS };

static const double kaiser_beta = 8.0;
static const double highest_cutoff = 0.47; /* of the rate */

struct sw_kernel {
    double value[TABLE + 2];
};

sw_status sw_kernel_new(sw_kernel **kernel, sw_error *error) {
    *kernel = malloc(sizeof **kernel);
    if (*kernel == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for an interpolation table");
    double top = gsl_sf_bessel_I0(kaiser_beta);
    for (int i = 0; i <= TABLE + 1; i++) {
        double x = (double)i / STEPS;
        double edge = fmin(1.0, x / SW_KERNEL_REACH);
        double window = gsl_sf_bessel_I0(kaiser_beta * sqrt(1.0 - edge * edge)) / top;
        double cardinal = i == 0 ? 1.0 : sin(M_PI * x) / (M_PI * x);
        (*kernel)->value[i] = i >= TABLE ? 0.0 : cardinal * window;
    }
    return SW_OK;
}

void sw_kernel_free(sw_kernel *kernel) {
    free(kernel);
}

/* Kernel at x table steps from its middle. */
static double kernel_at(const sw_kernel *kernel, double x) {
    size_t cell = (size_t)x;
    if (cell >= TABLE)
        return 0.0;
    double part = x - (double)cell;
    return kernel->value[cell] + part * (kernel->value[cell + 1] - kernel->value[cell]);
}

double sw_signal_at(const sw_signal *signal, const sw_kernel *kernel, double time_s,
                    double cutoff_hz) {
    double position = time_s * signal->rate_hz;
    double cut = fmin(cutoff_hz / signal->rate_hz, highest_cutoff);
    double crossings = 2.0 * cut; /* zero crossings of the kernel a sample */
    double reach = SW_KERNEL_REACH / crossings;
    double first = fmax(0.0, ceil(position - reach));
    double last = fmin((double)signal->count - 1.0, floor(position + reach));
    if (first > last)
        return 0.0;
    double sum = 0.0;
    size_t end = (size_t)last;
    for (size_t n = (size_t)first; n <= end; n++) {
        double x = fabs((double)n - position) * crossings * STEPS;
        sum += kernel_at(kernel, x) * signal->value[n];
    }
    return sum * crossings;
}

sw_status sw_signal_new(double rate_hz, size_t count, sw_signal *signal, sw_error *error) {
    *signal = (sw_signal){.rate_hz = rate_hz, .count = count};
    if (count < SIZE_MAX / sizeof(double))
        signal->value = calloc(count > 0 ? count : 1, sizeof(double));
    if (signal->value == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for %zu samples", count);
    return SW_OK;
}

void sw_signal_free(sw_signal *signal) {
    free(signal->value);
    *signal = (sw_signal){0};
}

enum { HALF_TAPS = 2 * SW_KERNEL_REACH + 2 };

/* Taps of the halving filter: cutoff 0.225 of the rate, unit gain at zero. */
static size_t halving_taps(const sw_kernel *kernel, double *tap) {
    const double crossings = 2.0 * 0.225;
    double sum = 0.0;
    for (size_t i = 0; i < HALF_TAPS; i++) {
        double x = (double)i * crossings * STEPS;
        tap[i] = kernel_at(kernel, x);
        sum += i == 0 ? tap[i] : 2.0 * tap[i];
    }
    for (size_t i = 0; i < HALF_TAPS; i++)
        tap[i] /= sum;
    return HALF_TAPS;
}

sw_status sw_signal_halve(const sw_signal *signal, const sw_kernel *kernel, sw_signal *half,
                          sw_error *error) {
    double tap[HALF_TAPS];
    size_t taps = halving_taps(kernel, tap);
    sw_status status = sw_signal_new(signal->rate_hz / 2.0, (signal->count + 1) / 2, half, error);
    if (status != SW_OK)
        return status;
    for (size_t m = 0; m < half->count; m++) {
        size_t centre = 2 * m;
        double sum = tap[0] * signal->value[centre];
        for (size_t i = 1; i < taps; i++) {
            double before = centre >= i ? signal->value[centre - i] : 0.0;
            double after = centre + i < signal->count ? signal->value[centre + i] : 0.0;
            sum += tap[i] * (before + after);
        }
        half->value[m] = sum;
    }
    return SW_OK;
}

void sw_signal_move_low_cut(sw_signal *signal, double from_hz, double to_hz) {
    /* H(s) = (s + w_from) / (s + w_to) by the bilinear transform. */
    double from = M_PI * from_hz / signal->rate_hz;
    double to = M_PI * to_hz / signal->rate_hz;
    double b0 = (1.0 + from) / (1.0 + to);
    double b1 = (from - 1.0) / (1.0 + to);
    double a1 = (to - 1.0) / (1.0 + to);
    double x1 = 0.0;
    double y1 = 0.0;
    for (size_t i = 0; i < signal->count; i++) {
        double x = signal->value[i];
        double y = b0 * x + b1 * x1 - a1 * y1;
        x1 = x;
        y1 = y;
        signal->value[i] = y;
    }
}

double sw_signal_centre(sw_signal *signal) {
    double sum = 0.0;
    for (size_t i = 0; i < signal->count; i++)
        sum += signal->value[i];
    double mean = signal->count > 0 ? sum / (double)signal->count : 0.0;
    for (size_t i = 0; i < signal->count; i++)
        signal->value[i] -= mean;
    return mean;
}

double sw_signal_rms(const sw_signal *signal) {
    double sum = 0.0;
    for (size_t i = 0; i < signal->count; i++)
        sum += signal->value[i] * signal->value[i];
    return signal->count > 0 ? sqrt(sum / (double)signal->count) : 0.0;
}
