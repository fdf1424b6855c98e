/* An edge is where the means of half a millisecond before and after differ by a good part of a
 * step. Edges closer than the longest bounce belong to one contact. The noise is taken from the
 * median of the same difference: taps are rare, so they hardly move it. */
#include "probes/tap_edges.h"

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <math.h>
#include <stdlib.h>

static const double HALF_WINDOW_S = 0.5e-3;
static const double GUARD_S = 1e-3;
static const double LONGEST_BOUNCE_S = 25e-3;
static const double PART_OF_A_STEP = 0.3;
static const double SIGMAS = 7;
static const double MEDIAN_OF_NORMAL = 0.6745; /* of |x| */

/* Mean of the half window after i less that before it; the running sums make it quick. */
static void differences(const double *samples, size_t count, size_t half, double *out) {
    double before = 0;
    double after = 0;
    for (size_t j = 0; j < half; j++) {
        before += samples[j];
        after += samples[half + j];
    }
    for (size_t i = half; i + half <= count; i++) {
        out[i] = (after - before) / (double)half;
        if (i + half == count)
            break;
        before += samples[i] - samples[i - half];
        after += samples[i + half] - samples[i];
    }
}

static double noise_of(const double *difference, size_t count, double *room) {
    for (size_t i = 0; i < count; i++)
        room[i] = fabs(difference[i]);
    gsl_sort(room, 1, count);
    return gsl_stats_median_from_sorted_data(room, 1, count) / MEDIAN_OF_NORMAL;
}

static size_t collect(const double *difference, size_t count, double threshold, size_t margin,
                      size_t gap, sw_tap_group *groups) {
    size_t found = 0;
    for (size_t i = 0; i < count; i++) {
        if (!(fabs(difference[i]) > threshold))
            continue;
        size_t begin = i > margin ? i - margin : 0;
        size_t end = i + margin < count ? i + margin : count;
        if (found > 0 && begin < groups[found - 1].end + gap)
            groups[found - 1].end = end;
        else
            groups[found++] = (sw_tap_group){begin, end};
    }
    return found;
}

static double largest(const double *values, size_t count) {
    double most = 0;
    for (size_t i = 0; i < count; i++)
        most = fmax(most, fabs(values[i]));
    return most;
}

static sw_status find(const double *samples, size_t count, double rate_hz, double share,
                      double *difference, double *room, sw_tap_group *groups, size_t *found,
                      sw_error *error) {
    size_t half = (size_t)fmax(1, round(HALF_WINDOW_S * rate_hz));
    size_t margin = half + (size_t)ceil(GUARD_S * rate_hz);
    differences(samples, count, half, difference);
    double most = largest(difference, count);
    double noise = noise_of(difference, count, room);
    double threshold = PART_OF_A_STEP * share * most;
    if (!(most > 0) || threshold < SIGMAS * noise / 2 || most < SIGMAS * noise)
        return sw_fail(error, SW_TOO_SHORT,
                       "no clear steps found; expected a battery touched to the divider several "
                       "times, half a second each");
    threshold = fmax(threshold, fmin(SIGMAS * noise, 0.5 * share * most));
    *found =
        collect(difference, count, threshold, margin, (size_t)(LONGEST_BOUNCE_S * rate_hz), groups);
    return SW_OK;
}

sw_status sw_tap_groups(const double *samples, size_t count, double rate_hz, double share,
                        sw_tap_group **groups, size_t *found, sw_error *error) {
    *groups = NULL;
    *found = 0;
    if ((double)count < 0.5 * rate_hz || rate_hz < 500)
        return sw_fail(error, SW_TOO_SHORT,
                       "%.3g s at %.4g samples a second, expected several seconds at 500 or more",
                       (double)count / rate_hz, rate_hz);
    size_t most = (size_t)((double)count / (LONGEST_BOUNCE_S * rate_hz)) + 2;
    double *difference = calloc(count, sizeof *difference);
    double *room = calloc(count, sizeof *room);
    sw_tap_group *list = calloc(most, sizeof *list);
    sw_status status =
        difference == NULL || room == NULL || list == NULL
            ? sw_fail(error, SW_MEMORY, "not enough memory")
            : find(samples, count, rate_hz, share, difference, room, list, found, error);
    free(difference);
    free(room);
    if (status == SW_OK)
        *groups = list;
    else
        free(list);
    return status;
}
