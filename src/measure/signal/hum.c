/* Hum keeps one phase through the whole record, the motor does not. The signal is demodulated at
 * 50 and at 60 Hz in Hann blocks of 0.4 s; blocks in which the path, or one of its multiples, comes
 * near are left out. What is left is a row of complex numbers that turn evenly if they are hum: the
 * peak of their periodogram gives frequency, amplitude and angle (the maximum-likelihood estimate
 * of one complex tone; D. C. Rife & R. R. Boorstyn, IEEE Trans. Inf. Theory 20, 1974). It counts
 * when it explains most of their power. The multiples follow at multiples of that frequency.
 */
#include "src/measure/signal/hum.h"

#include <complex.h>
#include <gsl/gsl_math.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

enum { MULTIPLES = 5, LEAST_BLOCKS = 6, STEPS = 400 };

static const double block_s = 0.4;
static const double near_hz = 8.0;     /* a Hann block of 0.4 s sees nothing 5 Hz away */
static const double near_share = 0.04; /* of the multiple */
static const double largest_error_hz = 0.4;
static const double thin_rate_hz = 1200.0;
static const double faint = 0.1;    /* of the motor's amplitude: where the path follows the hum */
static const double coherent = 0.5; /* share of the power that one tone must explain */

typedef struct blocks {
    size_t count;
    double *time_s;
    double complex *value;
} blocks;

static double path_hz(const sw_path *path, double time_s) {
    double frame = (time_s - path->from_s) / path->hop_s;
    if (path->count == 0 || frame < 0.0 || frame > (double)path->count - 1.0)
        return 0.0;
    return path->frequency_hz[(size_t)frame];
}

/* Does the motor, or a multiple of it, come near hz within the block? */
static bool disturbed(const sw_path *path, double time_s, double hz) {
    for (int i = -4; i <= 4; i++) {
        double motor = path_hz(path, time_s + 0.125 * i * block_s);
        if (motor <= 0.0)
            continue;
        double multiple = fmax(1.0, round(hz / motor));
        if (multiple <= 13.0 && fabs(multiple * motor - hz) < near_hz + near_share * hz)
            return true;
    }
    return false;
}

static double complex block_at(const sw_signal *signal, double time_s, double hz) {
    double reach = 0.5 * block_s * signal->rate_hz;
    double middle = time_s * signal->rate_hz;
    size_t first = (size_t)fmax(0.0, ceil(middle - reach));
    size_t last = (size_t)fmin((double)signal->count - 1.0, floor(middle + reach));
    double complex sum = 0.0;
    double weights = 0.0;
    double complex turn = cexp(-2.0 * M_PI * I * hz / signal->rate_hz);
    double complex carrier = cexp(-2.0 * M_PI * I * hz * (double)first / signal->rate_hz);
    for (size_t n = first; n <= last; n++) {
        double w = 0.5 + 0.5 * cos(M_PI * ((double)n - middle) / reach);
        sum += w * signal->value[n] * carrier;
        weights += w;
        carrier *= turn;
    }
    return 2.0 * sum / weights;
}

static sw_status blocks_new(const sw_signal *signal, const sw_path *path, double hz, blocks *b,
                            sw_error *error) {
    double length_s = (double)signal->count / signal->rate_hz;
    size_t room = (size_t)(2.0 * length_s / block_s) + 1;
    *b = (blocks){0};
    b->time_s = calloc(room, sizeof *b->time_s);
    b->value = calloc(room, sizeof *b->value);
    if (b->time_s == NULL || b->value == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory to look for hum");
    for (size_t i = 0; i < room; i++) {
        double time_s = 0.5 * block_s * (double)(i + 1);
        if (time_s + 0.5 * block_s > length_s)
            break;
        bool follows_hum = fabs(path_hz(path, time_s) - hz) < 0.02 * hz;
        if (!follows_hum && disturbed(path, time_s, hz))
            continue;
        double complex value = block_at(signal, time_s, hz);
        if (follows_hum && cabs(value) > faint * sqrt(path->power))
            continue;
        b->time_s[b->count] = time_s;
        b->value[b->count++] = value;
    }
    return SW_OK;
}

static void blocks_free(blocks *b) {
    free(b->time_s);
    free(b->value);
    *b = (blocks){0};
}

static double complex tone_at(const blocks *b, double offset_hz) {
    double complex sum = 0.0;
    for (size_t i = 0; i < b->count; i++)
        sum += b->value[i] * cexp(-2.0 * M_PI * I * offset_hz * b->time_s[i]);
    return sum / (double)b->count;
}

static double tone_power(const blocks *b, double offset_hz) {
    double complex tone = tone_at(b, offset_hz);
    return creal(tone * conj(tone));
}

/* Strongest tone within +-reach_hz; the grid is finer than the record's resolution. */
static double best_offset(const blocks *b, double reach_hz) {
    double span_s = b->time_s[b->count - 1] - b->time_s[0] + block_s;
    int steps = (int)fmin(20.0 * STEPS, fmax(20.0, 8.0 * reach_hz * span_s));
    double step = reach_hz / steps;
    double best = 0.0;
    double most = -1.0;
    for (int i = -steps; i <= steps; i++) {
        double power = tone_power(b, i * step);
        if (power > most) {
            most = power;
            best = i * step;
        }
    }
    for (; step > 1e-5; step *= 0.5) { /* climb */
        double up = tone_power(b, best + step);
        double down = tone_power(b, best - step);
        if (up > most || down > most)
            best += up > down ? step : -step;
        most = fmax(most, fmax(up, down));
    }
    return best;
}

static bool explains(const blocks *b, double offset_hz) {
    double power = 0.0;
    for (size_t i = 0; i < b->count; i++)
        power += creal(b->value[i] * conj(b->value[i])) / (double)b->count;
    return tone_power(b, offset_hz) > coherent * power;
}

static void subtract(sw_signal *signal, double hz, double complex amplitude) {
    double complex turn = cexp(2.0 * M_PI * I * hz / signal->rate_hz);
    double complex carrier = amplitude;
    for (size_t n = 0; n < signal->count; n++) {
        if (n % 4096 == 0)
            carrier = amplitude * cexp(2.0 * M_PI * I * hz * (double)n / signal->rate_hz);
        signal->value[n] -= creal(carrier);
        carrier *= turn;
    }
}

/* Find the line at `nominal` +- reach in `thin` and subtract it from `signal`. */
static sw_status take_out(sw_signal *signal, const sw_signal *thin, const sw_path *path,
                          double nominal, double reach_hz, double *hz, double *amplitude,
                          sw_error *error) {
    blocks b;
    *hz = 0.0;
    sw_status status = blocks_new(thin, path, nominal, &b, error);
    if (status == SW_OK && b.count >= LEAST_BLOCKS) {
        double offset = best_offset(&b, reach_hz);
        if (explains(&b, offset)) {
            double complex tone = tone_at(&b, offset);
            *hz = nominal + offset;
            *amplitude = cabs(tone);
            subtract(signal, *hz, tone);
        }
    }
    blocks_free(&b);
    return status;
}

static sw_status thin_of(const sw_signal *signal, const sw_kernel *kernel, sw_signal *thin,
                         sw_error *error) {
    *thin = (sw_signal){0};
    sw_status status = sw_signal_new(signal->rate_hz, signal->count, thin, error);
    for (size_t i = 0; status == SW_OK && i < signal->count; i++)
        thin->value[i] = signal->value[i];
    while (status == SW_OK && thin->rate_hz > 2.0 * thin_rate_hz) {
        sw_signal half;
        status = sw_signal_halve(thin, kernel, &half, error);
        if (status == SW_OK) {
            sw_signal_free(thin);
            *thin = half;
        }
    }
    return status;
}

sw_status sw_hum_remove(sw_signal *signal, const sw_kernel *kernel, const sw_path *path,
                        sw_hum *hum, sw_error *error) {
    static const double mains_hz[] = {50.0, 60.0};
    *hum = (sw_hum){0};
    sw_signal thin;
    sw_status status = thin_of(signal, kernel, &thin, error);
    for (size_t m = 0; m < 2 && status == SW_OK && hum->hz <= 0.0; m++)
        status = take_out(signal, &thin, path, mains_hz[m], largest_error_hz, &hum->hz,
                          &hum->amplitude, error);
    for (int k = 2; k <= MULTIPLES && status == SW_OK && hum->hz > 0.0; k++) {
        double hz;
        double amplitude;
        if (k * hum->hz < 0.4 * thin.rate_hz)
            status = take_out(signal, &thin, path, k * hum->hz, 0.02, &hz, &amplitude, error);
    }
    sw_signal_free(&thin);
    return status;
}
