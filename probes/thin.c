/* A linear-phase low-pass of windowed-sinc taps, evaluated only where an output sample is wanted.
 *
 * Kaiser window (Kaiser 1974; Oppenheim & Schafer, Discrete-Time Signal Processing, 3rd ed., eq.
 * 7.75 and 7.76, from memory): for A = 80 dB beta = 0.1102 (A - 8.7), and the length over the
 * transition df (in cycles a sample) is N = (A - 7.95) / (14.36 df). The transition runs from 0.4
 * to 0.5 of the new rate, so df = 0.1 / factor and half the length is 25 * factor.
 *
 * Output m is centred on input m * factor. Both ends are continued by their first and last
 * sample. `line` holds the inputs that future outputs still need.
 */
#include "probes/thin.h"

#include "shared/constants.h"

#include <gsl/gsl_sf_bessel.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { HALF_PER_FACTOR = 25, BLOCK = 4096 };

static const double BETA = 0.1102 * (80 - 8.7);
static const double CUT = 0.45; /* of the new rate */

struct sw_thinner {
    size_t factor;
    size_t half;
    double *taps; /* 2 half + 1 */
    double *line; /* room: 2 half + 1 + BLOCK */
    size_t held;
    size_t to_skip; /* inputs at the front of line before the next output's first tap */
    size_t due;     /* outputs in all: one for each started group of factor inputs */
    size_t inputs;
    size_t outputs;
    double last;
};

static void design(sw_thinner *thinner) {
    double half = (double)thinner->half;
    double cut = CUT / (double)thinner->factor;
    double sum = 0;
    for (size_t i = 0; i <= 2 * thinner->half; i++) {
        double at = (double)i - half;
        double sinc = at == 0 ? 2 * cut : sin(2 * M_PI * cut * at) / (M_PI * at);
        double edge = 1 - (at / half) * (at / half);
        thinner->taps[i] = sinc * gsl_sf_bessel_I0(BETA * sqrt(edge > 0 ? edge : 0));
        sum += thinner->taps[i];
    }
    for (size_t i = 0; i <= 2 * thinner->half; i++)
        thinner->taps[i] /= sum;
}

sw_status sw_thinner_new(size_t factor, sw_thinner **thinner, sw_error *error) {
    *thinner = NULL;
    sw_thinner *fresh = calloc(1, sizeof *fresh);
    if (fresh == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for a low-pass");
    fresh->factor = factor;
    fresh->half = HALF_PER_FACTOR * factor;
    fresh->taps = malloc((2 * fresh->half + 1) * sizeof *fresh->taps);
    fresh->line = malloc((2 * fresh->half + 1 + BLOCK) * sizeof *fresh->line);
    if (fresh->taps == NULL || fresh->line == NULL) {
        sw_thinner_free(fresh);
        return sw_fail(error, SW_MEMORY, "not enough memory for a low-pass");
    }
    design(fresh);
    *thinner = fresh;
    return SW_OK;
}

void sw_thinner_free(sw_thinner *thinner) {
    if (thinner == NULL)
        return;
    free(thinner->taps);
    free(thinner->line);
    free(thinner);
}

static double filtered(const sw_thinner *thinner, size_t at) {
    const double *from = thinner->line + at;
    double sum = 0;
    for (size_t i = 0; i <= 2 * thinner->half; i++)
        sum += thinner->taps[i] * from[i];
    return sum;
}

/* Every output whose inputs are all there; then drop what nobody needs any more. */
static size_t drain(sw_thinner *thinner, double *out) {
    size_t width = 2 * thinner->half + 1;
    size_t written = 0;
    size_t at = thinner->to_skip;
    for (; at + width <= thinner->held && thinner->outputs < thinner->due; at += thinner->factor) {
        out[written++] = filtered(thinner, at);
        thinner->outputs++;
    }
    size_t drop = at < thinner->held ? at : thinner->held;
    memmove(thinner->line, thinner->line + drop, (thinner->held - drop) * sizeof *thinner->line);
    thinner->held -= drop;
    thinner->to_skip = at - drop;
    return written;
}

static size_t feed(sw_thinner *thinner, const double *samples, size_t count, double *out) {
    size_t written = 0;
    while (count > 0) {
        size_t part = count < BLOCK ? count : BLOCK;
        memcpy(thinner->line + thinner->held, samples, part * sizeof *samples);
        thinner->held += part;
        samples += part;
        count -= part;
        written += drain(thinner, out + written);
    }
    return written;
}

size_t sw_thinner_push(sw_thinner *thinner, const double *samples, size_t count, double *out) {
    if (count == 0)
        return 0;
    if (thinner->inputs == 0) {
        for (size_t i = 0; i < thinner->half; i++)
            thinner->line[i] = samples[0];
        thinner->held = thinner->half;
    }
    thinner->inputs += count;
    thinner->due = (thinner->inputs + thinner->factor - 1) / thinner->factor;
    thinner->last = samples[count - 1];
    return feed(thinner, samples, count, out);
}

size_t sw_thinner_flush(sw_thinner *thinner, double *out) {
    size_t written = 0;
    for (size_t left = thinner->inputs > 0 ? thinner->half : 0; left > 0; left--)
        written += feed(thinner, &thinner->last, 1, out + written);
    return written;
}

size_t sw_thinner_left(const sw_thinner *thinner) {
    return thinner->due - thinner->outputs;
}
