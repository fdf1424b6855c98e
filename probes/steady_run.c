#include "probes/steady_run.h"

#include <fftw3.h>
#include <gsl/gsl_math.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

static const double WINDOW_S = 0.5;
static const double LEAST_HZ = 3;
static const double HIGHEST_HZ = 3000;
static const double FREQUENCY_SPREAD = 0.015;
static const double SIZE_SPREAD = 0.04;
static const double LEAST_RMS = 1e-5;
enum { LEAST_WINDOWS = 2 };

typedef struct window {
    double frequency_hz;
    double rms;
} window;

typedef struct spectrum {
    size_t length;
    double rate_hz;
    double *in;
    fftw_complex *out;
    fftw_plan plan;
} spectrum;

static double power(const spectrum *s, size_t bin) {
    return s->out[bin][0] * s->out[bin][0] + s->out[bin][1] * s->out[bin][1];
}

/* The largest line of a Hann window, its place by a parabola through the logarithms. */
static double line_hz(const spectrum *s) {
    double bin_hz = s->rate_hz / (double)s->length;
    size_t best = 0;
    size_t last = (size_t)fmin(HIGHEST_HZ / bin_hz, (double)s->length / 2 - 2);
    for (size_t b = (size_t)ceil(LEAST_HZ / bin_hz); b <= last; b++)
        if (best == 0 || power(s, b) > power(s, best))
            best = b;
    if (best == 0 || !(power(s, best) > 0))
        return NAN;
    double left = log(power(s, best - 1) + 1e-300);
    double right = log(power(s, best + 1) + 1e-300);
    double bend = left - 2 * log(power(s, best)) + right;
    return ((double)best + (bend < 0 ? (left - right) / (2 * bend) : 0)) * bin_hz;
}

static window look(spectrum *s, const double *samples) {
    double sum = 0;
    double squares = 0;
    for (size_t i = 0; i < s->length; i++) {
        sum += samples[i];
        squares += samples[i] * samples[i];
    }
    double mean = sum / (double)s->length;
    for (size_t i = 0; i < s->length; i++)
        s->in[i] =
            (samples[i] - mean) * (1 - cos(2 * M_PI * ((double)i + 0.5) / (double)s->length));
    fftw_execute(s->plan);
    double variance = squares / (double)s->length - mean * mean;
    return (window){line_hz(s), sqrt(fmax(variance, 0))};
}

/* Does the window fit to the first of the run? */
static bool alike(const window *a, const window *b) {
    return fabs(a->frequency_hz / b->frequency_hz - 1) < FREQUENCY_SPREAD &&
           fabs(a->rms / b->rms - 1) < SIZE_SPREAD && a->rms > LEAST_RMS;
}

static void longest(const window *list, size_t count, size_t *first, size_t *length) {
    *length = 0;
    for (size_t i = 0; i < count; i++) {
        size_t j = i;
        while (j < count && alike(&list[j], &list[i]))
            j++;
        if (j - i > *length) {
            *first = i;
            *length = j - i;
        }
    }
}

static void choose(const window *list, size_t count, size_t window_frames, sw_steady_run *run) {
    size_t first = 0;
    size_t length = 0;
    longest(list, count, &first, &length);
    double sum = 0;
    for (size_t i = first; i < first + length; i++)
        sum += list[i].frequency_hz;
    *run = (sw_steady_run){first * window_frames, (first + length) * window_frames,
                           length > 0 ? sum / (double)length : NAN};
}

static sw_status scan(const double *samples, size_t count, spectrum *s, sw_steady_run *run,
                      sw_error *error) {
    size_t windows = count / s->length;
    window *list = calloc(windows + 1, sizeof *list);
    if (list == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory");
    for (size_t i = 0; i < windows; i++)
        list[i] = look(s, samples + i * s->length);
    choose(list, windows, s->length, run);
    free(list);
    if (run->end - run->begin < LEAST_WINDOWS * s->length)
        return sw_fail(error, SW_TOO_SHORT,
                       "found no steady stretch of a second; hold the speed (or the reference) "
                       "steady, or say where it is with --from and --to");
    return SW_OK;
}

sw_status sw_steady_run_find(const double *samples, size_t count, double rate_hz,
                             sw_steady_run *run, sw_error *error) {
    spectrum s = {.length = (size_t)(WINDOW_S * rate_hz), .rate_hz = rate_hz};
    *run = (sw_steady_run){0, 0, NAN};
    if (s.length < 64 || count < s.length)
        return sw_fail(error, SW_TOO_SHORT,
                       "%.3g s at %.4g samples a second, expected a second "
                       "or more at 200 or more",
                       (double)count / rate_hz, rate_hz);
    s.in = fftw_alloc_real(s.length);
    s.out = fftw_alloc_complex(s.length / 2 + 1);
    if (s.in != NULL && s.out != NULL)
        s.plan = fftw_plan_dft_r2c_1d((int)s.length, s.in, s.out, FFTW_ESTIMATE);
    sw_status status = s.plan == NULL ? sw_fail(error, SW_MEMORY, "not enough memory")
                                      : scan(samples, count, &s, run, error);
    fftw_destroy_plan(s.plan);
    fftw_free(s.in);
    fftw_free(s.out);
    return status;
}
