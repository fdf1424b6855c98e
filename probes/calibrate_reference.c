/* AC reference: a voltage of known size, from a transformer, an oscillator or the motor itself
 * with a meter on it, held steady.
 *
 * The steadiest stretch is cut into blocks of some ten periods. In each block offset, fundamental
 * and harmonics are fitted by least squares together with the frequency (Gauss-Newton on the
 * linearised sine, as in IEEE 1057, four-parameter fit, with harmonics added). Each order is
 * taken back through the input's low cut, H = 1/(1 - j fc/f), one period is built from them, and
 * what the meter would show is computed: the rms value, or 1.1107 times the mean of |v| for an
 * averaging meter. Blocks give the mean and its spread. The low cut must be known beforehand; its
 * uncertainty is carried: d ln|H| / d fc = -fc / (f^2 + fc^2). */
#include "probes/calibrate.h"
#include "probes/steady_run.h"
#include "shared/uncertainty.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_math.h>
#include <math.h>
#include <stdlib.h>

/* A multimeter on AC: 1 % and some digits, as a standard uncertainty (common practice). */
static const double METER_U_RELATIVE = 0.01;
/* The mains keep 0.1 % most of the time (common practice, no source). */
static const double MAINS_U_RELATIVE = 1e-3;
static const double FREQUENCY_APART = 0.02;
static const double PERIODS = 10;
static const double TWO_SIDED_95 = 1.959964;
enum {
    ORDERS = SW_REFERENCE_ORDERS,
    TERMS = 2 * ORDERS + 2, /* offset, slope of the phase, cosine and sine of each order */
    ROUNDS = 4,
    BLOCK_LIMIT = 200,
    PERIOD_POINTS = 256,
    LEAST_BLOCKS = 3
};

typedef struct block_fit {
    double frequency_hz;
    double offset;
    double cosine[ORDERS];
    double sine[ORDERS];
    int orders;
} block_fit;

/* The model's terms at one sample: 1, then cos and sin of each order. */
static void waves(const block_fit *fit, double time_s, double *row) {
    double angle = 2 * M_PI * fit->frequency_hz * time_s;
    row[0] = 1;
    row[1] = 0;
    for (int k = 0; k < fit->orders; k++) {
        double c = cos((k + 1) * angle);
        double s = sin((k + 1) * angle);
        row[2 + 2 * k] = c;
        row[3 + 2 * k] = s;
        row[1] += 2 * M_PI * time_s * (k + 1) * (fit->sine[k] * c - fit->cosine[k] * s);
    }
}

static void gather(const block_fit *fit, const double *samples, size_t count, double rate_hz,
                   gsl_matrix *normal, gsl_vector *right) {
    double row[TERMS];
    size_t terms = 2 + 2 * (size_t)fit->orders;
    gsl_matrix_set_zero(normal);
    gsl_vector_set_zero(right);
    for (size_t i = 0; i < count; i++) {
        waves(fit, ((double)i - (double)count / 2) / rate_hz, row);
        for (size_t a = 0; a < terms; a++) {
            *gsl_vector_ptr(right, a) += row[a] * samples[i];
            for (size_t b = 0; b <= a; b++)
                *gsl_matrix_ptr(normal, a, b) += row[a] * row[b];
        }
    }
}

/* One Gauss-Newton step; in the first round the phase's slope is held. */
static int step(block_fit *fit, bool hold, gsl_matrix *normal, gsl_vector *right) {
    if (hold) {
        gsl_matrix_set(normal, 1, 1, 1);
        gsl_vector_set(right, 1, 0);
    }
    if (gsl_linalg_cholesky_decomp1(normal) != GSL_SUCCESS ||
        gsl_linalg_cholesky_svx(normal, right) != GSL_SUCCESS)
        return GSL_FAILURE;
    fit->offset = gsl_vector_get(right, 0);
    fit->frequency_hz += gsl_vector_get(right, 1);
    for (int k = 0; k < fit->orders; k++) {
        fit->cosine[k] = gsl_vector_get(right, 2 + 2 * (size_t)k);
        fit->sine[k] = gsl_vector_get(right, 3 + 2 * (size_t)k);
    }
    return GSL_SUCCESS;
}

static bool fit_block(const double *samples, size_t count, double rate_hz, double start_hz,
                      block_fit *fit) {
    *fit = (block_fit){.frequency_hz = start_hz};
    fit->orders = (int)fmax(1, fmin(ORDERS, floor(0.45 * rate_hz / start_hz)));
    size_t terms = 2 + 2 * (size_t)fit->orders;
    gsl_matrix *normal = gsl_matrix_alloc(terms, terms);
    gsl_vector *right = gsl_vector_alloc(terms);
    bool fine = normal != NULL && right != NULL;
    for (int round = 0; fine && round < ROUNDS; round++) {
        gather(fit, samples, count, rate_hz, normal, right);
        fine = step(fit, round == 0, normal, right) == GSL_SUCCESS &&
               fabs(fit->frequency_hz / start_hz - 1) < 0.05;
    }
    gsl_matrix_free(normal);
    gsl_vector_free(right);
    return fine;
}

/* V/unit aside, what the meter would show of this wave before the low cut. */
static double meter_shows(const block_fit *fit, double low_cut_hz, bool true_rms) {
    double squares = 0;
    double sizes = 0;
    for (int i = 0; i < PERIOD_POINTS; i++) {
        double v = 0;
        for (int k = 0; k < fit->orders; k++) {
            /* y / H = y (1 - j fc/f): the phasor c - j s turns and grows. */
            double lag = low_cut_hz / ((k + 1) * fit->frequency_hz);
            double angle = 2 * M_PI * (k + 1) * i / PERIOD_POINTS;
            v += (fit->cosine[k] - lag * fit->sine[k]) * cos(angle) +
                 (fit->sine[k] + lag * fit->cosine[k]) * sin(angle);
        }
        squares += v * v;
        sizes += fabs(v);
    }
    /* An averaging meter is scaled for sines: pi / (2 sqrt 2). */
    return true_rms ? sqrt(squares / PERIOD_POINTS) : M_PI / (2 * M_SQRT2) * sizes / PERIOD_POINTS;
}

static double distortion_of(const block_fit *fit) {
    double rest = 0;
    for (int k = 1; k < fit->orders; k++)
        rest += gsl_pow_2(fit->cosine[k]) + gsl_pow_2(fit->sine[k]);
    return sqrt(rest) / hypot(fit->cosine[0], fit->sine[0]);
}

typedef struct block_list {
    size_t count;
    double shown[BLOCK_LIMIT];
    double frequency_hz[BLOCK_LIMIT];
    double distortion;
} block_list;

static void fit_blocks(const double *samples, double rate_hz, const sw_steady_run *run,
                       const sw_reference_request *request, block_list *blocks,
                       sw_calibration *calibration) {
    size_t length = (size_t)ceil(PERIODS * rate_hz / run->frequency_hz);
    size_t whole = (run->end - run->begin) / length;
    size_t stride = whole / BLOCK_LIMIT + 1;
    for (size_t i = 0; i < whole; i += stride) {
        block_fit fit;
        if (!fit_block(samples + run->begin + i * length, length, rate_hz, run->frequency_hz,
                       &fit)) {
            calibration->rejected++;
            continue;
        }
        blocks->shown[blocks->count] =
            meter_shows(&fit, request->low_cut_hz.value, request->true_rms);
        blocks->frequency_hz[blocks->count++] = fit.frequency_hz;
        blocks->distortion += distortion_of(&fit);
    }
    calibration->used = blocks->count;
}

static sw_input student(const double *list, size_t count) {
    sw_input mean = sw_mean_of(list, count);
    mean.u *= sw_coverage_factor(mean.freedom, 0.95) / TWO_SIDED_95;
    return mean;
}

static void compare_clock(const sw_reference_request *request, sw_calibration *calibration) {
    double known = request->frequency.value;
    double known_u = sw_quantity_u_or(request->frequency, MAINS_U_RELATIVE) / known;
    double found_u = calibration->frequency_u_hz / calibration->frequency_hz;
    /* A clock that runs fast by e stretches time: f found = f true / (1 + e). */
    calibration->clock_error =
        sw_quantity_of(known / calibration->frequency_hz - 1, hypot(known_u, found_u), "1");
}

static void conclude(const sw_reference_request *request, const block_list *blocks,
                     sw_calibration *calibration) {
    sw_input shown = student(blocks->shown, blocks->count);
    sw_input frequency = student(blocks->frequency_hz, blocks->count);
    double f2 = gsl_pow_2(frequency.value);
    double cut = request->low_cut_hz.value;
    double cut_share = cut / (f2 + cut * cut) * sw_quantity_u_or(request->low_cut_hz, 0);
    double meter = sw_quantity_u_or(request->volts, METER_U_RELATIVE) / request->volts.value;
    double value = request->volts.value / shown.value;
    double relative = hypot(hypot(shown.u / shown.value, cut_share), meter);
    calibration->volts_per_unit = sw_quantity_of(value, value * relative, "V");
    calibration->freedom = shown.freedom;
    calibration->frequency_hz = frequency.value;
    calibration->frequency_u_hz = frequency.u;
    calibration->distortion = blocks->distortion / (double)blocks->count;
    calibration->doubt[SW_CALIBRATION_METER_GUESS] = isnan(request->volts.u);
    calibration->doubt[SW_CALIBRATION_NO_LOW_CUT] = !request->low_cut_measured && cut_share > 0.002;
    if (request->with_clock && sw_quantity_known(request->frequency))
        compare_clock(request, calibration);
}

static sw_status find_run(const sw_waveform *waveform, const sw_reference_request *request,
                          sw_steady_run *run, sw_error *error) {
    const double *samples = waveform->channel[request->channel].samples;
    double last = (double)waveform->frames;
    double from = isnan(request->from_s) ? 0 : request->from_s * waveform->rate_hz;
    double to = isnan(request->to_s) ? last : fmin(last, request->to_s * waveform->rate_hz);
    if (!(from >= 0 && from < to))
        return sw_fail(error, SW_VALUE, "found --from %g s to %g s, the recording has %.3g s",
                       request->from_s, request->to_s, last / waveform->rate_hz);
    sw_status status = sw_steady_run_find(samples + (size_t)from, (size_t)(to - from),
                                          waveform->rate_hz, run, error);
    run->begin += (size_t)from;
    run->end += (size_t)from;
    if (status != SW_OK || !sw_quantity_known(request->frequency))
        return status;
    double known = request->frequency.value;
    if (!(fabs(run->frequency_hz / known - 1) < FREQUENCY_APART))
        return sw_fail(error, SW_MISMATCH, "found %.4g Hz in the recording, expected %.4g Hz",
                       run->frequency_hz, known);
    return SW_OK;
}

static sw_status reference(const sw_waveform *waveform, const sw_reference_request *request,
                           block_list *blocks, sw_calibration *calibration, sw_error *error) {
    const double *samples = waveform->channel[request->channel].samples;
    sw_steady_run run;
    sw_status status = find_run(waveform, request, &run, error);
    if (status != SW_OK)
        return status;
    for (size_t i = run.begin; i < run.end; i++)
        calibration->peak = fmax(calibration->peak, fabs(samples[i]));
    fit_blocks(samples, waveform->rate_hz, &run, request, blocks, calibration);
    if (blocks->count < LEAST_BLOCKS)
        return sw_fail(error, SW_TOO_SHORT,
                       "%zu blocks of ten periods could be fitted, expected %d or more",
                       blocks->count, LEAST_BLOCKS);
    calibration->from_s = (double)run.begin / waveform->rate_hz;
    calibration->to_s = (double)run.end / waveform->rate_hz;
    conclude(request, blocks, calibration);
    return SW_OK;
}

sw_status sw_calibrate_reference(const sw_waveform *waveform, const sw_reference_request *request,
                                 sw_calibration *calibration, sw_error *error) {
    *calibration = sw_calibration_none();
    if (!(request->volts.value > 0))
        return sw_fail(error, SW_VALUE, "found %g V, expected more than zero",
                       request->volts.value);
    block_list *work = calloc(1, sizeof *work);
    if (work == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory");
    gsl_error_handler_t *handler = gsl_set_error_handler_off();
    sw_status status = reference(waveform, request, work, calibration, error);
    gsl_set_error_handler(handler);
    free(work);
    return status;
}
