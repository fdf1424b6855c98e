/* The level is the root mean square over WINDOW_S without the mean (a sound input's offset), all
 * channels together.
 *
 * When the recording began with the motor at rest, the quietest level before the spin is the
 * floor, and "stopped" is a level within twice the floor. When it began in the spin there is no
 * floor to know; then "stopped" is a level far below the loudest that has not changed for a
 * while: a motor that still coasts changes. Both must hold for STILL_S. */
#include "probes/capture/coast.h"

#include <math.h>

static const double WINDOW_S = 0.1;
static const double STILL_S = 2;
static const double FLAT_S = 3;         /* without a floor to compare with, be slower */
static const double SPUN_LEVEL = 0.003; /* of full scale: less than this is no spin */
static const double SPUN_RATIO = 8;
static const double CALM_RATIO = 2;
static const double FLAT_SHARE = 0.05; /* of the loudest */
static const double FLAT_CHANGE = 1.15;
static const double LEAST_FLOOR = 1.5e-5; /* half a step of 16 bits */

void sw_coast_begin(sw_coast *coast, size_t channels, double rate_hz) {
    *coast = (sw_coast){
        .channels = channels, .window = (size_t)ceil(WINDOW_S * rate_hz), .lowest = INFINITY};
}

/* Of the window, which begins anew. */
static double take_level(sw_coast *coast) {
    double power = 0;
    double n = (double)coast->filled;
    for (size_t c = 0; c < coast->channels; c++) {
        double mean = coast->sum[c] / n;
        power += fmax(0, coast->squares[c] / n - mean * mean);
        coast->sum[c] = 0;
        coast->squares[c] = 0;
    }
    coast->filled = 0;
    return sqrt(power);
}

static void note_extremes(sw_coast *coast, double level) {
    coast->highest = fmax(coast->highest, level);
    if (!coast->spun)
        coast->lowest = fmin(coast->lowest, fmax(level, LEAST_FLOOR));
    if (coast->highest < SPUN_LEVEL || coast->spun)
        return;
    coast->stood_first = coast->highest > SPUN_RATIO * coast->lowest;
    /* One that begins in the spin has only loud windows so far; it counts as spun as well. */
    coast->spun = coast->stood_first || coast->lowest > SPUN_LEVEL;
}

static void note_calm(sw_coast *coast, double level) {
    bool calm = coast->stood_first && level <= CALM_RATIO * coast->lowest;
    coast->calm_s = calm ? coast->calm_s + WINDOW_S : 0;
    bool low = level <= FLAT_SHARE * coast->highest;
    double from = fmax(coast->flat_from, LEAST_FLOOR);
    bool flat = coast->flat_s > 0 && level < from * FLAT_CHANGE && level > from / FLAT_CHANGE;
    coast->flat_s = !low ? 0 : flat ? coast->flat_s + WINDOW_S : WINDOW_S;
    if (low && !flat)
        coast->flat_from = level;
}

static bool is_over(const sw_coast *coast) {
    return coast->spun &&
           (coast->calm_s >= STILL_S - WINDOW_S / 2 || coast->flat_s >= FLAT_S - WINDOW_S / 2);
}

bool sw_coast_watch(sw_coast *coast, const int32_t *frames, size_t count) {
    for (size_t i = 0; i < count; i++) {
        for (size_t c = 0; c < coast->channels; c++) {
            double sample = ldexp((double)frames[i * coast->channels + c], -31);
            coast->sum[c] += sample;
            coast->squares[c] += sample * sample;
        }
        if (++coast->filled < coast->window)
            continue;
        double level = take_level(coast);
        note_extremes(coast, level);
        if (coast->spun)
            note_calm(coast, level);
    }
    return is_over(coast);
}
