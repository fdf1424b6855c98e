/* Half way between the harmonics a Hann window of four cycles sees nothing of them. The power
 * there is noise, exponentially distributed; its median over the whole record is not moved by a
 * hum line or a gear line that passes through.
 */
#include "src/measure/signal/noise.h"

#include "src/measure/signal/grid.h"

#include <complex.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>

enum { PER_CYCLE = 32, FIRST_ORDER = 3, LAST_ORDER = 12, ORDER_STRIDE = 3, WINDOW_LIMIT = 4000 };

static double grid_density(const sw_track *track, const sw_signal *signal, const sw_grid *grid,
                           double *power) {
    size_t reach = (size_t)2 * PER_CYCLE;
    if (grid->count <= 2 * reach)
        reach = PER_CYCLE;
    size_t found = 0;
    size_t hint = 0;
    size_t hop = GSL_MAX((size_t)PER_CYCLE, grid->count / WINDOW_LIMIT);
    for (size_t point = reach; point + reach < grid->count; point += hop)
        for (int order = FIRST_ORDER; order <= LAST_ORDER; order += ORDER_STRIDE) {
            double at = grid->from_cycles + (double)point / PER_CYCLE;
            double f = sw_track_frequency(track, at, &hint);
            if ((order + 1.0) * f > 0.37 * signal->rate_hz)
                continue;
            double complex c = sw_grid_demodulate(grid, point, reach, order + 0.5);
            /* Hann window of length T: amplitude power 3 S/T of noise of density S. */
            double length_s = 2.0 * (double)reach / PER_CYCLE / f;
            power[found++] = (creal(c) * creal(c) + cimag(c) * cimag(c)) * length_s / 3.0;
        }
    if (found == 0)
        return 0.0;
    gsl_sort(power, 1, found);
    return gsl_stats_median_from_sorted_data(power, 1, found) / M_LN2;
}

sw_status sw_noise_density(const sw_track *track, const sw_signal *signal, const sw_kernel *kernel,
                           double *density, sw_error *error) {
    *density = 0.0;
    sw_grid grid = {0};
    double low = track->knot[0].cycles;
    double high = track->knot[track->count - 1].cycles;
    if (high - low < 3.0)
        return SW_OK;
    sw_status status = sw_grid_new(track, signal, kernel, low, high, PER_CYCLE, &grid, error);
    double *power = calloc((WINDOW_LIMIT + 2) * (size_t)LAST_ORDER, sizeof *power);
    if (power == NULL)
        status = sw_fail(error, SW_MEMORY, "not enough memory for the noise floor");
    if (power != NULL && status == SW_OK)
        *density = grid_density(track, signal, &grid, power);
    free(power);
    sw_grid_free(&grid);
    return status;
}
