#include "src/measure/signal/grid.h"

#include <gsl/gsl_linalg.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_matrix.h>
#include <gsl/gsl_vector.h>
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

enum { EDGE_ORDERS = 4, EDGE_COLUMNS = 2 * EDGE_ORDERS + 1 };

void sw_grid_free(sw_grid *grid) {
    free(grid->value);
    *grid = (sw_grid){0};
}

double complex sw_grid_demodulate(const sw_grid *grid, size_t point, size_t reach, double order) {
    double complex sum = 0.0;
    double weights = 0.0;
    double complex turn = cexp(-2.0 * M_PI * I * order / (double)grid->per_cycle);
    double start = grid->from_cycles + ((double)point - (double)reach) / (double)grid->per_cycle;
    double complex carrier = cexp(-2.0 * M_PI * I * order * start);
    for (size_t i = 0; i < 2 * reach; i++) {
        double window = 0.5 - 0.5 * cos(M_PI * (double)i / (double)reach);
        size_t at = point + i;
        if (at >= reach && at - reach < grid->count)
            sum += window * grid->value[at - reach] * carrier;
        weights += window;
        carrier *= turn;
    }
    return 2.0 * sum / weights;
}

/* Offset, cos and sin of the orders at an angle. */
static void edge_row(double cycles, double *row) {
    row[0] = 1.0;
    for (size_t k = 1; k <= EDGE_ORDERS; k++) {
        row[2 * k - 1] = cos(2.0 * M_PI * (double)k * cycles);
        row[2 * k] = sin(2.0 * M_PI * (double)k * cycles);
    }
}

static void edge_sums(const sw_grid *grid, size_t point, gsl_matrix *normal, gsl_vector *right) {
    double row[EDGE_COLUMNS];
    double reach = (double)grid->per_cycle;
    for (size_t n = 0; n < grid->count; n++) {
        double off = (double)n - (double)point;
        if (fabs(off) >= reach)
            continue;
        double weight = 0.5 + 0.5 * cos(M_PI * off / reach);
        edge_row(grid->from_cycles + (double)n / reach, row);
        for (size_t i = 0; i < EDGE_COLUMNS; i++) {
            *gsl_vector_ptr(right, i) += weight * row[i] * grid->value[n];
            for (size_t j = 0; j < EDGE_COLUMNS; j++)
                *gsl_matrix_ptr(normal, i, j) += weight * row[i] * row[j];
        }
    }
}

double complex sw_grid_near_end(const sw_grid *grid, size_t point) {
    double complex found = 0.0;
    gsl_matrix *normal = gsl_matrix_calloc(EDGE_COLUMNS, EDGE_COLUMNS);
    gsl_vector *right = gsl_vector_calloc(EDGE_COLUMNS);
    if (normal != NULL && right != NULL) {
        edge_sums(grid, point, normal, right);
        if (gsl_linalg_cholesky_decomp1(normal) == GSL_SUCCESS &&
            gsl_linalg_cholesky_svx(normal, right) == GSL_SUCCESS)
            found = gsl_vector_get(right, 1) - I * gsl_vector_get(right, 2);
    }
    gsl_matrix_free(normal);
    gsl_vector_free(right);
    return found;
}
