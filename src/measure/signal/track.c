#include "src/measure/signal/track.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <stdlib.h>

sw_status sw_track_new(size_t knots, sw_track *track, sw_error *error) {
    *track = (sw_track){.count = knots};
    track->knot = calloc(knots > 0 ? knots : 1, sizeof *track->knot);
    if (track->knot == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory to follow the frequency");
    return SW_OK;
}

void sw_track_free(sw_track *track) {
    free(track->knot);
    *track = (sw_track){0};
}

/* Index of the knot at or before an angle; the first or last piece outside the track. */
static size_t piece(const sw_track *track, double cycles, size_t hint) {
    size_t last = track->count - 2;
    size_t low = 0;
    size_t high = last;
    if (hint <= last && track->knot[hint].cycles <= cycles) {
        low = hint;
        if (hint == last || cycles < track->knot[hint + 1].cycles)
            return hint;
    }
    while (low < high) {
        size_t middle = (low + high + 1) / 2;
        if (track->knot[middle].cycles <= cycles)
            low = middle;
        else
            high = middle - 1;
    }
    return low;
}

/* Outside its knots the track goes on at the frequency of the last one. */
static const sw_knot *beyond(const sw_track *track, double cycles) {
    const sw_knot *first = &track->knot[0];
    const sw_knot *last = &track->knot[track->count - 1];
    if (cycles < first->cycles)
        return first;
    return cycles > last->cycles ? last : NULL;
}

double sw_track_time(const sw_track *track, double cycles, size_t *hint) {
    const sw_knot *end = beyond(track, cycles);
    if (end != NULL)
        return end->time_s + (cycles - end->cycles) / end->frequency_hz;
    *hint = piece(track, cycles, *hint);
    const sw_knot *a = &track->knot[*hint];
    const sw_knot *b = a + 1;
    double h = b->cycles - a->cycles;
    double x = (cycles - a->cycles) / h;
    double y = 1.0 - x;
    return a->time_s * y * y * (1.0 + 2.0 * x) + b->time_s * x * x * (1.0 + 2.0 * y) +
           h * x * y * (y / a->frequency_hz - x / b->frequency_hz);
}

double sw_track_frequency(const sw_track *track, double cycles, size_t *hint) {
    const sw_knot *end = beyond(track, cycles);
    if (end != NULL)
        return end->frequency_hz;
    *hint = piece(track, cycles, *hint);
    const sw_knot *a = &track->knot[*hint];
    const sw_knot *b = a + 1;
    double h = b->cycles - a->cycles;
    double x = (cycles - a->cycles) / h;
    double slope = 6.0 * x * (1.0 - x) * (b->time_s - a->time_s) / h +
                   (1.0 - x) * (1.0 - 3.0 * x) / a->frequency_hz +
                   x * (3.0 * x - 2.0) / b->frequency_hz;
    /* A knot that is out of line must not turn time round. */
    double low = fmin(a->frequency_hz, b->frequency_hz);
    double high = fmax(a->frequency_hz, b->frequency_hz);
    return 1.0 / fmax(0.5 / high, fmin(2.0 / low, slope));
}

double sw_track_cycles(const sw_track *track, double time_s) {
    const sw_knot *first = &track->knot[0];
    const sw_knot *last = &track->knot[track->count - 1];
    if (time_s <= first->time_s)
        return first->cycles + (time_s - first->time_s) * first->frequency_hz;
    if (time_s >= last->time_s)
        return last->cycles + (time_s - last->time_s) * last->frequency_hz;
    double low = first->cycles;
    double high = last->cycles;
    size_t hint = 0;
    for (int i = 0; i < 60 && high - low > 1e-9; i++) {
        double middle = 0.5 * (low + high);
        if (sw_track_time(track, middle, &hint) < time_s)
            low = middle;
        else
            high = middle;
    }
    return 0.5 * (low + high);
}
