/* The volts of a brushed motor are its speed: their integral is the angle, 60 k volt-seconds a turn
 * where k is volts per rpm. Read at equal steps of that angle the ripple is a line whatever the
 * speed does, at as many periods a turn as the commutator makes. Once and twice a turn come from
 * the drill; other lines at few periods a turn are coils that differ, with overtones of their own.
 * So a line counts when it stands well above all others but its own overtones.
 */
#include "src/measure/brushed/ripple.h"

#include <gsl/gsl_fft_real.h>
#include <gsl/gsl_math.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

enum { FIRST_ORDER = 3, LEAST_ORDER = 6, LEAST_TURNS = 4, LARGEST_POWER = 20 };

static const double stands_out = 2.0; /* times the next line's amplitude */
static const double near_whole = 0.2; /* of a period a turn */

/* The voltage at equal steps of its own integral, Hann window, mean off. False when the voltage
 * is not of one sign. */
static bool resample(const sw_signal *volts, double offset_v, size_t first, size_t last,
                     size_t points, double *out, double *area) {
    double total = 0.0;
    for (size_t i = first; i < last; i++)
        total += volts->value[i] + offset_v;
    double sign = total < 0.0 ? -1.0 : 1.0;
    double step = fabs(total) / (double)points;
    double gone = 0.0;
    size_t filled = 0;
    for (size_t i = first; i < last && filled < points; i++) {
        double here = sign * (volts->value[i] + offset_v);
        if (here > 0.0)
            gone += here;
        while (filled < points && gone >= step * ((double)filled + 0.5))
            out[filled++] = here;
    }
    *area = fabs(total) / volts->rate_hz;
    double mean = *area * volts->rate_hz / (double)(last - first);
    for (size_t i = 0; i < filled; i++)
        out[i] =
            (out[i] / mean - 1.0) * (1.0 - cos(2.0 * M_PI * ((double)i + 0.5) / (double)points));
    return filled == points;
}

static double line_at(const double *half, size_t points, size_t bin) {
    return 2.0 / (double)points * hypot(half[bin], half[points - bin]);
}

/* Largest line outside of `but` and its overtones, given in bins. */
static double largest(const double *half, size_t points, double turns, size_t but, size_t *bin) {
    double most = 0.0;
    *bin = 0;
    for (size_t m = (size_t)(FIRST_ORDER * turns); m + 2 < points / 2; m++) {
        double multiple = but > 0 ? (double)m / (double)but : 0.5;
        double off_bins = fabs(multiple - round(multiple)) * (double)but;
        if (but > 0 && off_bins < fmax(3.0, 0.3 * turns))
            continue;
        double here = line_at(half, points, m);
        if (here > most) {
            most = here;
            *bin = m;
        }
    }
    return most;
}

static void judge(const double *half, size_t points, double turns, double speed_u,
                  sw_ripple *ripple) {
    size_t bin;
    size_t other;
    double line = largest(half, points, turns, 0, &bin);
    double next = bin > 0 ? largest(half, points, turns, bin, &other) : line;
    double order = (double)bin / turns;
    double order_u = near_whole / 4.0 + order * speed_u;
    double off = fabs(order - round(order));
    /* The drill's gears make lines too, but not at whole numbers a turn. */
    if (bin == 0 || line < stands_out * next || order < LEAST_ORDER || order_u > near_whole ||
        off > order_u)
        return;
    ripple->per_turn = (int)lround(order);
    ripple->relative = line;
}

sw_status sw_ripple_find(const sw_signal *volts, double offset_v, double from_s, double to_s,
                         sw_quantity volts_per_rpm, sw_ripple *ripple, sw_error *error) {
    *ripple = (sw_ripple){0};
    size_t first = (size_t)fmax(0.0, from_s * volts->rate_hz);
    size_t last = (size_t)fmin((double)volts->count, to_s * volts->rate_hz);
    size_t points = 64;
    if (last <= first + points || !(volts_per_rpm.value > 0.0))
        return SW_OK;
    while (2 * points <= last - first && points < ((size_t)1 << LARGEST_POWER))
        points *= 2;
    double *half = calloc(points, sizeof *half);
    if (half == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the commutator's ripple");
    double area = 0.0;
    bool fine = resample(volts, offset_v, first, last, points, half, &area);
    double turns = area / (60.0 * volts_per_rpm.value);
    if (fine && turns >= LEAST_TURNS && gsl_fft_real_radix2_transform(half, 1, points) == 0)
        judge(half, points, turns, volts_per_rpm.u / volts_per_rpm.value, ripple);
    free(half);
    return SW_OK;
}
