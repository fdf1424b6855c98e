/* Does a drill still turn along?
 *
 * Its gears run at ratios that are no whole numbers, so that their teeth leave lines in the angle
 * that do not lock to the turn, while all that the motor does by itself (magnets, cogging, balance)
 * repeats every turn. Seen once an electrical cycle, a line of k periods a turn looks like k modulo
 * p; what is no whole number stays none. A Hann-windowed periodogram of the residual angle shows
 * it, where it stands high above the floor.
 */
#include "src/measure/rundown_parts.h"

#include <gsl/gsl_fft_real.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_sort.h>
#include <math.h>
#include <stdlib.h>

enum { TURNS_LEAST = 6, ORDER_LEAST = 3 };

/* Power over the median: white noise reaches it in 4000 lines once in a million records
 * (4000 exp(-32 ln 2)); magnets and cogging are whole orders and left out. */
static const double STANDS_OUT = 32;

static size_t room_for(size_t count) {
    size_t room = 1;
    while (room < 4 * count)
        room *= 2;
    return room;
}

static void power_of(const double *residual, size_t count, double *work, size_t room) {
    for (size_t i = 0; i < room; i++)
        work[i] =
            i < count ? residual[i] * (1 - cos(2 * M_PI * ((double)i + 0.5) / (double)count)) : 0;
    gsl_fft_real_radix2_transform(work, 1, room);
    for (size_t k = 1; k < room / 2; k++)
        work[k] = work[k] * work[k] + work[room - k] * work[room - k];
    work[0] = 0;
}

/* Near a whole order: within a window's main lobe and its skirts, which an amplitude that grows
 * along the record (cogging does, as the shaft slows) makes wider. */
static bool is_whole(double order, double turns) {
    return fabs(order - round(order)) < fmax(3 / turns, 0.14);
}

double sw_rundown_stray_line(const double *residual, size_t count, int pole_pairs) {
    if (pole_pairs < 4)
        return 0;
    double turns = (double)count / pole_pairs;
    size_t room = room_for(count);
    double *work = turns >= TURNS_LEAST ? malloc(2 * room * sizeof *work) : NULL;
    if (work == NULL)
        return 0;
    power_of(residual, count, work, room);
    double *sorted = work + room;
    double strongest = 0;
    double order = 0;
    size_t lines = 0;
    for (size_t k = 1; k < room / 2; k++) {
        double here = (double)k / (double)room * pole_pairs;
        if (here < ORDER_LEAST)
            continue;
        sorted[lines++] = work[k];
        if (!is_whole(here, turns) && work[k] > strongest) {
            strongest = work[k];
            order = here;
        }
    }
    gsl_sort(sorted, 1, lines);
    bool stands_out = lines > 16 && strongest > STANDS_OUT * sorted[lines / 2];
    free(work);
    return stands_out ? order : 0;
}
