/* Short-time spectra with windows that fit the frequency.
 *
 * A hand drill takes a motor from rest to 200 Hz and more in a second or two: a window long enough
 * for the slow part smears the fast one. So the record is halved in rate again and again, and the
 * same window of WINDOW samples is used at each rate. At rate R it looks for fundamentals between
 * R/32 and R/16, of which it holds four to eight periods; every octave of fundamentals thus has its
 * own window length (the highest rate also takes whatever lies above).
 *
 * The score of a fundamental f is ln(1 + S/floor), S = P(f) + sum_k min(P(k f), P(f)): a harmonic
 * sum (D. J. Hermes, JASA 83, 1988) in which no harmonic counts for more than the fundamental. Half
 * the true frequency has no fundamental, twice the true frequency misses the strongest line: both
 * score low. The floor is the noise, from a low quantile over the whole record, as one density for
 * all rates, so that scores of different octaves compare.
 */
#include "src/measure/signal/spectra.h"

#include <fftw3.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

enum {
    WINDOW = 128,
    LENGTH = 512, /* of the transform, zero-padded */
    BINS = LENGTH / 2 + 1,
    HARMONICS = 5,
    LEVEL_LIMIT = 28,
    QUIET_FIRST = 16, /* bins that count for the floor */
    QUIET_LAST = 180,
    QUIET_STRIDE = 11
};

static const double lowest_fundamental_hz = 0.4;
static const double highest_fundamental_hz = 4000.0;
static const double longest_hop_s = 0.02;
static const double shortest_hop_s = 0.001;

typedef struct transform {
    double *in;
    fftw_complex *out;
    fftw_plan plan;
    double window[WINDOW];
    double power[BINS];
} transform;

typedef struct quiet {
    double *value;
    size_t count;
    size_t room;
} quiet;

double sw_spectra_frequency(const sw_spectra *spectra, double state) {
    return spectra->lowest_hz * exp2(state / SW_SPECTRA_PER_OCTAVE);
}

static sw_status transform_new(transform *t, sw_error *error) {
    t->in = fftw_alloc_real(LENGTH);
    t->out = fftw_alloc_complex(BINS);
    if (t->in != NULL && t->out != NULL)
        t->plan = fftw_plan_dft_r2c_1d(LENGTH, t->in, t->out, FFTW_ESTIMATE);
    if (t->plan == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for a spectrum");
    memset(t->in, 0, LENGTH * sizeof *t->in);
    for (int i = 0; i < WINDOW; i++)
        t->window[i] = 0.5 - 0.5 * cos(2.0 * M_PI * (i + 0.5) / WINDOW);
    return SW_OK;
}

static void transform_free(transform *t) {
    if (t->plan != NULL)
        fftw_destroy_plan(t->plan);
    fftw_free(t->in);
    fftw_free(t->out);
}

/* Squared amplitude spectrum around time_s. */
static void transform_at(transform *t, const sw_signal *signal, double time_s) {
    double begin = floor(time_s * signal->rate_hz) - WINDOW / 2.0;
    double weight = 0.0;
    for (int i = 0; i < WINDOW; i++) {
        double n = begin + i;
        bool inside = n >= 0.0 && n < (double)signal->count;
        t->in[i] = inside ? t->window[i] * signal->value[(size_t)n] : 0.0;
        weight += inside ? t->window[i] : 0.0;
    }
    fftw_execute(t->plan);
    /* A window half outside the record still shows the amplitude of what is inside. */
    double scale = 2.0 / fmax(weight, WINDOW / 8.0);
    for (int b = 0; b < BINS; b++)
        t->power[b] = scale * scale * (t->out[b][0] * t->out[b][0] + t->out[b][1] * t->out[b][1]);
}

static double power_at(const transform *t, double bin) {
    if (bin >= BINS - 1)
        return 0.0;
    size_t below = (size_t)bin;
    double part = bin - (double)below;
    return t->power[below] * (1.0 - part) + t->power[below + 1] * part;
}

static sw_status quiet_add(quiet *q, const transform *t, sw_error *error) {
    for (int b = QUIET_FIRST; b < QUIET_LAST; b += QUIET_STRIDE) {
        if (q->count == q->room) {
            size_t room = q->room > 0 ? 2 * q->room : 4096;
            double *value = realloc(q->value, room * sizeof *value);
            if (value == NULL)
                return sw_fail(error, SW_MEMORY, "not enough memory for a noise floor");
            q->value = value;
            q->room = room;
        }
        q->value[q->count++] = t->power[b];
    }
    return SW_OK;
}

/* Mean noise power from a low quantile: noise power in a bin is exponentially distributed, so its
 * 20 % quantile is -ln(0.8) of the mean. */
static double quiet_floor(quiet *q) {
    if (q->count == 0)
        return 0.0;
    gsl_sort(q->value, 1, q->count);
    return gsl_stats_quantile_from_sorted_data(q->value, 1, q->count, 0.2) / -log(0.8);
}

static double harmonic_sum(const transform *t, double rate_hz, double frequency_hz) {
    double first = power_at(t, frequency_hz / rate_hz * LENGTH);
    double sum = first;
    for (int k = 2; k <= HARMONICS; k++)
        sum += fmin(first, power_at(t, k * frequency_hz / rate_hz * LENGTH));
    return sum;
}

typedef struct band {
    size_t first; /* states */
    size_t last;  /* one beyond */
} band;

/* The fundamentals that a level looks for. */
static band band_of(const sw_spectra *s, double rate_hz, bool highest) {
    double from = SW_SPECTRA_PER_OCTAVE * log2(rate_hz / 32.0 / s->lowest_hz);
    double to = highest ? (double)s->states : from + SW_SPECTRA_PER_OCTAVE;
    band b = {(size_t)ceil(fmax(0.0, from)), (size_t)ceil(fmax(0.0, to))};
    b.last = GSL_MIN(b.last, s->states);
    b.first = GSL_MIN(b.first, b.last);
    return b;
}

static void fill_frame(sw_spectra *s, const transform *t, band b, size_t frame, double rate_hz) {
    for (size_t state = b.first; state < b.last; state++) {
        double f = sw_spectra_frequency(s, (double)state);
        s->score[frame * s->states + state] = (float)harmonic_sum(t, rate_hz, f);
        s->power[frame * s->states + state] = (float)power_at(t, f / rate_hz * LENGTH);
    }
}

static void repeat_frame(sw_spectra *s, band b, size_t frame) {
    size_t bytes = (b.last - b.first) * sizeof(float);
    size_t to = frame * s->states + b.first;
    memcpy(&s->score[to], &s->score[to - s->states], bytes);
    memcpy(&s->power[to], &s->power[to - s->states], bytes);
}

/* Harmonic sums into logs over the floor. */
static void weigh(sw_spectra *s, band b, double floor) {
    for (size_t frame = 0; frame < s->frames; frame++)
        for (size_t state = b.first; state < b.last; state++) {
            float *score = &s->score[frame * s->states + state];
            *score = (float)log1p((double)*score / floor);
        }
}

static double strongest(const sw_spectra *s) {
    float top = 0.0F;
    for (size_t i = 0; i < s->frames * s->states; i++)
        top = fmaxf(top, s->score[i]);
    return top;
}

/* Spectra of one level; *floor is its noise. */
static sw_status level(sw_spectra *s, transform *t, const sw_signal *signal, band b, double *floor,
                       sw_error *error) {
    quiet q = {0};
    sw_status status = SW_OK;
    double step_s = WINDOW / 16.0 / signal->rate_hz;
    double next_s = 0.0;
    for (size_t frame = 0; frame < s->frames && status == SW_OK; frame++) {
        double time_s = (double)frame * s->hop_s;
        if (frame > 0 && time_s < next_s) {
            repeat_frame(s, b, frame);
            continue;
        }
        transform_at(t, signal, time_s);
        fill_frame(s, t, b, frame, signal->rate_hz);
        status = quiet_add(&q, t, error);
        next_s = time_s + step_s;
    }
    *floor = quiet_floor(&q);
    free(q.value);
    return status;
}

/* Noise power in a bin goes with the rate (the window is as many samples long at each). The levels
 * agree on the middle one of their densities: a level whose windows are nearly as long as the
 * record sees the skirts of the line itself, not noise. */
static double usual_density(const double *floors, const double *rates, size_t levels) {
    double density[LEVEL_LIMIT];
    for (size_t l = 0; l < levels; l++)
        density[l] = floors[l] / rates[l];
    if (levels == 0)
        return 0.0;
    gsl_sort(density, 1, levels);
    return gsl_stats_median_from_sorted_data(density, 1, levels);
}

static sw_status all_levels(sw_spectra *s, transform *t, const sw_signal *signal,
                            const sw_kernel *kernel, sw_error *error) {
    sw_signal owned = {0};
    const sw_signal *at = signal;
    double floors[LEVEL_LIMIT] = {0};
    double rates[LEVEL_LIMIT] = {0};
    band bands[LEVEL_LIMIT] = {{0}};
    size_t levels = 0;
    bool highest = true;
    sw_status status = SW_OK;
    while (status == SW_OK && levels < LEVEL_LIMIT) {
        band b = band_of(s, at->rate_hz, highest);
        if (b.last > b.first) {
            bands[levels] = b;
            rates[levels] = at->rate_hz;
            status = level(s, t, at, b, &floors[levels], error);
            levels++;
            highest = false;
        }
        if (b.first == 0 || status != SW_OK)
            break;
        sw_signal half;
        status = sw_signal_halve(at, kernel, &half, error);
        if (status == SW_OK) {
            sw_signal_free(&owned);
            owned = half;
            at = &owned;
        }
    }
    sw_signal_free(&owned);
    double density = usual_density(floors, rates, levels);
    /* A clean simulated record has no noise to speak of: nothing is told apart beyond 70 dB. */
    double least = fmax(1e-7 * strongest(s), 1e-300);
    for (size_t l = 0; l < levels && status == SW_OK; l++)
        weigh(s, bands[l], fmax(least, density * rates[l]));
    return status;
}

/* Frames and states that suit the record. */
static sw_status lay_out(const sw_signal *signal, sw_spectra *s, sw_error *error) {
    double length_s = (double)signal->count / signal->rate_hz;
    double low = fmax(lowest_fundamental_hz, 2.0 / length_s);
    double high = fmin(highest_fundamental_hz, 0.4 * signal->rate_hz);
    if (signal->count < 16 || high < 1.2 * low)
        return sw_fail(error, SW_TOO_SHORT,
                       "found a recording of %zu samples at %g samples a second (%.3g s), expected "
                       "at least two periods of the motor's voltage",
                       signal->count, signal->rate_hz, length_s);
    double hop = fmin(longest_hop_s, fmax(shortest_hop_s, length_s / 400.0));
    hop = fmax(hop, length_s / 8000.0);
    s->hop_s = hop;
    s->frames = (size_t)(length_s / hop) + 1;
    s->lowest_hz = low;
    s->states = (size_t)(SW_SPECTRA_PER_OCTAVE * log2(high / low)) + 1;
    s->score = calloc(s->frames * s->states, sizeof *s->score);
    s->power = calloc(s->frames * s->states, sizeof *s->power);
    if (s->score == NULL || s->power == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for %zu spectra", s->frames);
    return SW_OK;
}

sw_status sw_spectra_new(const sw_signal *signal, const sw_kernel *kernel, sw_spectra *spectra,
                         sw_error *error) {
    *spectra = (sw_spectra){0};
    transform t = {0};
    sw_status status = lay_out(signal, spectra, error);
    if (status == SW_OK)
        status = transform_new(&t, error);
    if (status == SW_OK)
        status = all_levels(spectra, &t, signal, kernel, error);
    transform_free(&t);
    if (status != SW_OK)
        sw_spectra_free(spectra);
    return status;
}

void sw_spectra_free(sw_spectra *spectra) {
    free(spectra->score);
    free(spectra->power);
    *spectra = (sw_spectra){0};
}
