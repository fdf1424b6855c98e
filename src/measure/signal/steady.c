/* A drill does not hold its speed. Over the steadiest stretch the mean frequency is what is asked
 * for, and the maximum-likelihood fit of a steady wave (tone.h) gives it best as long as the speed
 * strays by less than a small part of a turn; of harmonics only those are fitted that still add up.
 * Where that wave does not describe the record, the mean of the whole cycles is the answer, and
 * how well their first and last start are known its uncertainty: a fit would weigh the middle of
 * the stretch more than its ends, and the speed was not the same there.
 */
#include "src/measure/signal/steady.h"

#include "src/measure/signal/tone.h"

#include <gsl/gsl_fit.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

/* A harmonic that strays by more than this (cycles, rms) does not add up any more. */
static const double largest_turn = 0.06;
static const double most_widening = 3.0;
static const size_t worth_trimming = 24; /* cycles */
/* Error of a cycle's start from interpolation alone (cycles). */
static const double method_error = 1e-3;
/* Error of a cycle's start where there are too few cycles to tell (cycles). */
static const double usual_start_error = 0.05;
static const double few = 3.0; /* as many differences as that counts for */

/* Mean frequency of five cycles: what a stretch is judged by. */
static double calm_frequency(const sw_cycles *cycles, size_t i) {
    size_t from = i > 2 ? i - 2 : 0;
    size_t to = GSL_MIN(i + 2, cycles->count - 1);
    double length = 0.0;
    for (size_t k = from; k <= to; k++)
        length += cycles->cycle[k].length_s;
    return (double)(to - from + 1) / length;
}

/* What the noise alone makes of the spread of such means: seven standard deviations of a mean over
 * five cycles between its two starts (cycles.c). */
static double noise_spread(const sw_cycles *cycles) {
    const sw_cycle *middle = &cycles->cycle[cycles->count / 2];
    return 7.0 * sqrt(1.2) * middle->length_u_s / (5.0 * middle->length_s);
}

/* How far a run from `first` may go with frequencies within a factor 1 + spread. */
static size_t run_from(const double *f, size_t count, size_t first, double spread) {
    double low = f[first];
    double high = f[first];
    size_t i = first;
    while (i + 1 < count) {
        low = fmin(low, f[i + 1]);
        high = fmax(high, f[i + 1]);
        if (high > low * (1.0 + spread))
            break;
        i++;
    }
    return i;
}

static sw_stretch longest_run(const sw_cycles *cycles, const double *f, double spread) {
    sw_stretch best = {0};
    size_t reached = 0;
    for (size_t first = 0; first < cycles->count; first++) {
        /* A run that cannot beat the best by starting here is skipped. */
        if (reached + 1 >= cycles->count && best.last > best.first)
            break;
        size_t last = run_from(f, cycles->count, first, spread);
        reached = last;
        double from_s = cycles->cycle[first].start_s;
        double to_s = cycles->cycle[last].start_s + cycles->cycle[last].length_s;
        if (to_s - from_s > best.to_s - best.from_s)
            best = (sw_stretch){.first = first, .last = last, .from_s = from_s, .to_s = to_s};
        /* Starts inside a run end no earlier; stepping by a sixteenth of it is fine enough. */
        first += (last - first) / 16;
    }
    return best;
}

/* The beginning of a ramp or of a run-down lies within the spread too: ends that stand out from
 * the middle half of the run are left away. */
static void trim_ends(const sw_cycles *cycles, const double *f, sw_stretch *run) {
    size_t length = run->last - run->first + 1;
    if (length < worth_trimming)
        return;
    size_t from = run->first + length / 4;
    size_t half = length / 2;
    double mean = gsl_stats_mean(&f[from], 1, half);
    double apart =
        3.0 * gsl_stats_sd_m(&f[from], 1, half, mean) + 0.5 * noise_spread(cycles) * mean;
    while (run->first < from && fabs(f[run->first] - mean) > apart)
        run->first++;
    while (run->last >= from + half && fabs(f[run->last] - mean) > apart)
        run->last--;
    run->from_s = cycles->cycle[run->first].start_s;
    run->to_s = cycles->cycle[run->last].start_s + cycles->cycle[run->last].length_s;
}

sw_stretch sw_steady_stretch(const sw_cycles *cycles) {
    static const double spreads[] = {0.02, 0.04, 0.08, 0.16, 0.5};
    sw_stretch best = {0};
    double *f = calloc(cycles->count + 1, sizeof *f);
    if (f == NULL || cycles->count == 0) {
        free(f);
        return best;
    }
    for (size_t i = 0; i < cycles->count; i++)
        f[i] = calm_frequency(cycles, i);
    for (size_t s = 0; s < sizeof spreads / sizeof spreads[0]; s++) {
        best = longest_run(cycles, f, spreads[s] + noise_spread(cycles));
        size_t length = best.last - best.first + 1;
        if (length >= 40 || 2 * length > cycles->count)
            break;
    }
    trim_ends(cycles, f, &best);
    double low = f[best.first];
    double high = f[best.first];
    for (size_t i = best.first; i <= best.last; i++) {
        low = fmin(low, f[i]);
        high = fmax(high, f[i]);
    }
    best.spread = (high - low) / (0.5 * (high + low));
    free(f);
    return best;
}

/* Line through the cycle starts of a stretch. */
typedef struct start_line {
    double period_s;
    double rms_s;   /* residual */
    double noise_s; /* what the noise floor alone would leave */
} start_line;

static sw_status fit_starts(const sw_cycles *cycles, const sw_stretch *stretch, start_line *line,
                            sw_error *error) {
    size_t count = stretch->last - stretch->first + 2;
    double *x = calloc(2 * count, sizeof *x);
    if (x == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for a frequency fit");
    double *y = x + count;
    double noise = 0.0;
    for (size_t i = 0; i < count; i++) {
        const sw_cycle *cycle = &cycles->cycle[GSL_MIN(stretch->first + i, stretch->last)];
        x[i] = (double)i;
        y[i] = cycle->start_s + (i + 1 == count ? cycle->length_s : 0.0);
        /* Two starts make a length; neighbours correlate by 1/6 (cycles.c). */
        noise += cycle->length_u_s * cycle->length_u_s * 0.6;
    }
    double c0;
    double c00;
    double c01;
    double c11;
    double squares;
    gsl_fit_linear(x, 1, y, 1, count, &c0, &line->period_s, &c00, &c01, &c11, &squares);
    line->rms_s = count > 2 ? sqrt(squares / (double)(count - 2)) : 0.0;
    line->noise_s = sqrt(noise / (double)count);
    free(x);
    return SW_OK;
}

/* The stretch, and what of a cycle is left at the ends of the record. */
static void widen(const sw_signal *signal, const sw_cycles *cycles, sw_stretch *stretch,
                  double period_s) {
    double end_s = ((double)signal->count - 1.0) / signal->rate_hz;
    if (stretch->first == 0 && stretch->from_s < 1.6 * period_s)
        stretch->from_s = 0.0;
    if (stretch->last + 1 == cycles->count && end_s - stretch->to_s < 1.6 * period_s)
        stretch->to_s = end_s;
}

/* Orders that still add up when the starts stray by `wobble` cycles, rms. */
static int orders_for(double wobble) {
    if (wobble <= largest_turn / SW_TONE_ORDERS)
        return SW_TONE_ORDERS;
    return (int)(largest_turn / wobble);
}

/* A short record may be steady from end to end although its ends are too noisy to be followed. It
 * is, if the wave fitted to all of it leaves no more than the wave fitted to the stretch did. */
static void whole_record(const sw_signal *signal, int orders, sw_stretch *wide, sw_tone *tone) {
    double end_s = ((double)signal->count - 1.0) / signal->rate_hz;
    double length_s = wide->to_s - wide->from_s;
    if (end_s > most_widening * length_s)
        return;
    sw_tone all;
    if (sw_tone_fit(signal, 0.0, end_s, orders, tone->frequency.value, &all, NULL) != SW_OK)
        return;
    double samples = length_s * signal->rate_hz;
    double limit = tone->sigma * (1.0 + 4.0 / sqrt(2.0 * samples));
    if (all.strays > 1.0 || all.sigma > limit)
        return;
    *tone = all;
    wide->from_s = 0.0;
    wide->to_s = end_s;
}

/* Standard error of a cycle's start, in cycles, from neighbouring lengths: starts that err on their
 * own make the variance of (length - next length) six times theirs. Noise, magnets that differ
 * and a speed that ripples within the cycle are all in it; a speed that changes from one cycle to
 * the next is too, which errs on the safe side. */
static double start_error(const sw_cycles *cycles, const sw_stretch *stretch) {
    double squares = 0.0;
    size_t found = 0;
    for (size_t i = stretch->first; i < stretch->last; i++, found++) {
        double a = cycles->cycle[i].length_s;
        double b = cycles->cycle[i + 1].length_s;
        squares += pow((a - b) / (0.5 * (a + b)), 2.0);
    }
    double prior = usual_start_error * usual_start_error;
    return found < 2 ? usual_start_error
                     : sqrt((squares / 6.0 + prior * few) / ((double)found + few));
}

/* Steady: nothing is left that would tell of a wobble, and the mean of the whole cycles agrees.
 * Were the speed steady, the fit would be the better of two estimates of one frequency, and the two
 * would differ by less than the worse one's noise (J. A. Hausman, Econometrica 46, 1978); over a
 * few cycles this sees what the residual does not. */
static bool is_steady(const sw_tone *tone, const start_line *line, double mean_hz, double count) {
    double start = hypot(line->noise_s / line->period_s, method_error);
    double apart = tone->frequency.value / mean_hz - 1.0;
    return tone->strays <= 1.0 && fabs(apart) <= 4.0 * M_SQRT2 * start / count;
}

/* The steady wave that fits the stretch, widened where it can be; false when there is none. */
static bool steady_tone(const sw_signal *signal, const sw_cycles *cycles, sw_stretch *stretch,
                        const start_line *line, int orders, sw_tone *tone) {
    double hz = 1.0 / line->period_s;
    double count = (double)(stretch->last - stretch->first + 1);
    double mean_hz = count / (stretch->to_s - stretch->from_s);
    sw_stretch wide = *stretch;
    widen(signal, cycles, &wide, line->period_s);
    bool fits = sw_tone_fit(signal, wide.from_s, wide.to_s, orders, hz, tone, NULL) == SW_OK &&
                is_steady(tone, line, mean_hz, count);
    if (!fits && (wide.from_s < stretch->from_s || wide.to_s > stretch->to_s)) {
        wide = *stretch;
        fits = sw_tone_fit(signal, wide.from_s, wide.to_s, orders, hz, tone, NULL) == SW_OK &&
               is_steady(tone, line, mean_hz, count);
    }
    if (!fits)
        return false;
    whole_record(signal, orders, &wide, tone);
    stretch->from_s = wide.from_s;
    stretch->to_s = wide.to_s;
    return true;
}

sw_status sw_steady_refine(const sw_signal *signal, const sw_cycles *cycles, sw_stretch *stretch,
                           sw_quantity *frequency, sw_error *error) {
    start_line line = {0};
    sw_status status = fit_starts(cycles, stretch, &line, error);
    if (status != SW_OK)
        return status;
    double count = (double)(stretch->last - stretch->first + 1);
    double mean_hz = count / (stretch->to_s - stretch->from_s);
    double excess = line.rms_s * line.rms_s - line.noise_s * line.noise_s;
    stretch->wobble = sqrt(fmax(0.0, excess)) / line.period_s;
    int orders = orders_for(stretch->wobble);
    sw_tone tone;
    if (orders >= 1 && steady_tone(signal, cycles, stretch, &line, orders, &tone)) {
        *frequency = tone.frequency;
        return SW_OK;
    }
    double start_u = start_error(cycles, stretch);
    *frequency = sw_quantity_of(mean_hz, M_SQRT2 * start_u / count * mean_hz, "Hz");
    return SW_OK;
}
