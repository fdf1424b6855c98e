#include "src/measure/grid.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <stdlib.h>

sw_status sw_grid_new(const sw_track *track, const sw_signal *signal, const sw_kernel *kernel,
                      double from_cycles, double to_cycles, size_t per_cycle, sw_grid *grid,
                      sw_error *error) {
    double points = floor((to_cycles - from_cycles) * (double)per_cycle + 1e-6);
    *grid = (sw_grid){.from_cycles = from_cycles, .per_cycle = per_cycle};
    if (points < 1.0 || points > 1e9)
        return sw_fail(error, SW_TOO_SHORT, "found no whole period of the motor's voltage");
    grid->count = (size_t)points + 1;
    grid->value = calloc(grid->count, sizeof *grid->value);
    if (grid->value == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for %zu points", grid->count);
    size_t hint = 0;
    for (size_t i = 0; i < grid->count; i++) {
        double cycles = from_cycles + (double)i / (double)per_cycle;
        double time_s = sw_track_time(track, cycles, &hint);
        double cutoff = 0.5 * (double)per_cycle * sw_track_frequency(track, cycles, &hint);
        grid->value[i] = sw_signal_at(signal, kernel, time_s, cutoff);
    }
    return SW_OK;
}

void sw_grid_free(sw_grid *grid) {
    free(grid->value);
    *grid = (sw_grid){0};
}

double complex sw_grid_demodulate(const sw_grid *grid, size_t point, size_t reach, int even,
                                  double order) {
    double complex sum = 0.0;
    double weights = 0.0;
    double complex turn = cexp(-2.0 * M_PI * I * order / (double)grid->per_cycle);
    double start = grid->from_cycles + ((double)point - (double)reach) / (double)grid->per_cycle;
    double complex carrier = cexp(-2.0 * M_PI * I * order * start);
    for (size_t i = 0; i < 2 * reach; i++) {
        double window = even ? 1.0 : 0.5 - 0.5 * cos(M_PI * (double)i / (double)reach);
        size_t at = point + i;
        if (at >= reach && at - reach < grid->count)
            sum += window * grid->value[at - reach] * carrier;
        weights += window;
        carrier *= turn;
    }
    return 2.0 * sum / weights;
}
