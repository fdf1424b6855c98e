/* Loaded readings: one resistor across two lines, the third open.
 *
 * Line to line, with E = K f the EMF, V the voltage across the resistor Rl, R and L those of the
 * winding between the two wires:  V = E Rl / sqrt((Rl + R)^2 + (w L)^2).  Open readings take part
 * with V = E, so that K, R and L come with their correlation. At one speed R and L cannot be told
 * apart; L then stays at zero and R is an upper bound.
 *
 * Levenberg-Marquardt in ln K, ln R and L^2 (GSL multifit_nlinear, numerical derivatives): the
 * logarithms keep K and R above zero, and L^2, which enters as it stands and may come out below
 * zero, has no flat spot at nought as L would. Where L does not stand out of its uncertainty it is
 * not told, but R keeps the wider uncertainty that it causes. The misfit enlarges the covariance,
 * as in readings_line.c.
 */
#include "src/measure/readings/readings_fit.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_multifit_nlinear.h>
#include <math.h>

enum { UNKNOWNS_MOST = 3, ITERATIONS_MOST = 200 };

/* w must differ by this factor among the loaded readings before L is looked for. */
static const double SPREAD_LEAST = 1.3;
static const double SIGNIFICANT = 2.0;

typedef struct task {
    const sw_reading_points *points;
    double factor;
    double scale_h2; /* unit of L^2 within the fit */
} task;

static double drop_of_load(const sw_reading_point *point, double resistance, double square_h2) {
    if (!(point->load_ohm > 0))
        return 1;
    double straight = (point->load_ohm + resistance) * (point->load_ohm + resistance);
    double across = isfinite(point->omega) ? point->omega * point->omega * square_h2 : 0;
    return point->load_ohm / sqrt(fmax(straight + across, 1e-6 * straight));
}

static int residuals(const gsl_vector *unknowns, void *user, gsl_vector *out) {
    const task *t = user;
    double constant = exp(gsl_vector_get(unknowns, 0));
    double resistance = exp(gsl_vector_get(unknowns, 1));
    double square_h2 = unknowns->size > 2 ? t->scale_h2 * gsl_vector_get(unknowns, 2) : 0;
    for (size_t i = 0; i < t->points->count; i++) {
        const sw_reading_point *point = &t->points->point[i];
        double share = t->factor * constant * drop_of_load(point, resistance, square_h2);
        double u = hypot(point->volts_u, share * point->pace_u);
        gsl_vector_set(out, i, (share * point->pace - point->volts) / u);
    }
    return GSL_SUCCESS;
}

/* R that one loaded reading means with L = 0. */
static double resistance_of(const sw_reading_point *point, double constant) {
    return point->load_ohm * (constant * point->pace / point->volts - 1);
}

static double first_resistance(const task *t, double constant) {
    double sum = 0;
    size_t count = 0;
    for (size_t i = 0; i < t->points->count; i++) {
        const sw_reading_point *point = &t->points->point[i];
        if (!(point->load_ohm > 0) || !(point->volts > 0))
            continue;
        sum += fmax(resistance_of(point, constant * t->factor), 1e-3 * point->load_ohm);
        count++;
    }
    return count > 0 ? sum / (double)count : NAN;
}

/* Range of w over the loaded readings; 0 when any is not known. */
static double omega_spread(const sw_reading_points *points, double *largest) {
    double low = HUGE_VAL;
    *largest = 0;
    for (size_t i = 0; i < points->count; i++) {
        const sw_reading_point *point = &points->point[i];
        if (!(point->load_ohm > 0))
            continue;
        if (!(point->omega > 0))
            return 0;
        low = fmin(low, point->omega);
        *largest = fmax(*largest, point->omega);
    }
    return *largest > 0 ? *largest / low : 0;
}

static void take(const task *t, gsl_multifit_nlinear_workspace *work, size_t unknowns,
                 sw_meter_law law, sw_readings_result *result) {
    gsl_matrix *covariance = gsl_matrix_alloc(unknowns, unknowns);
    const gsl_vector *x = gsl_multifit_nlinear_position(work);
    const gsl_vector *f = gsl_multifit_nlinear_residual(work);
    if (covariance == NULL)
        return;
    gsl_multifit_nlinear_covar(gsl_multifit_nlinear_jac(work), 0, covariance);
    double sum = 0;
    for (size_t i = 0; i < f->size; i++)
        sum += gsl_vector_get(f, i) * gsl_vector_get(f, i);
    double freedom = (double)f->size - (double)unknowns;
    result->misfit = freedom > 0 ? sqrt(sum / freedom) : 0;
    double u[UNKNOWNS_MOST] = {0};
    for (size_t i = 0; i < unknowns; i++)
        u[i] = fmax(1, result->misfit) * sqrt(fmax(0, gsl_matrix_get(covariance, i, i)));
    gsl_matrix_free(covariance);
    result->constant = exp(gsl_vector_get(x, 0));
    result->constant_u = result->constant * hypot(u[0], law.factor_u);
    result->resistance_ohm = exp(gsl_vector_get(x, 1));
    result->resistance_u = result->resistance_ohm * hypot(u[1], law.factor_u);
    if (unknowns < 3)
        return;
    double square = gsl_vector_get(x, 2);
    if (!(square > SIGNIFICANT * u[2]))
        return;
    result->inductance_h = sqrt(t->scale_h2 * square);
    result->inductance_u = result->inductance_h * hypot(u[2] / (2 * square), law.factor_u);
}

static int run(task *t, size_t unknowns, const double *start, sw_meter_law law,
               sw_readings_result *result) {
    gsl_multifit_nlinear_parameters how = gsl_multifit_nlinear_default_parameters();
    gsl_multifit_nlinear_fdf function = {
        .f = residuals, .n = t->points->count, .p = unknowns, .params = t};
    gsl_multifit_nlinear_workspace *work =
        gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &how, function.n, function.p);
    if (work == NULL)
        return GSL_ENOMEM;
    gsl_vector_const_view from = gsl_vector_const_view_array(start, unknowns);
    int info = 0;
    int code = gsl_multifit_nlinear_init(&from.vector, &function, work);
    if (code == GSL_SUCCESS)
        code =
            gsl_multifit_nlinear_driver(ITERATIONS_MOST, 1e-10, 1e-10, 0, NULL, NULL, &info, work);
    /* No progress is an end, not a failure, once the steps are at the rounding of the doubles. */
    if (code == GSL_ENOPROG)
        code = GSL_SUCCESS;
    if (code == GSL_SUCCESS)
        take(t, work, unknowns, law, result);
    gsl_multifit_nlinear_free(work);
    return code;
}

/* With L where the speeds allow it. */
static int run_all(task *t, const double *start, sw_meter_law law, sw_readings_result *result) {
    double largest = 0;
    size_t loaded = 0;
    sw_readings_result plain = *result;
    for (size_t i = 0; i < t->points->count; i++)
        loaded += t->points->point[i].load_ohm > 0;
    int code = run(t, 2, start, law, &plain);
    if (code == GSL_SUCCESS)
        *result = plain;
    result->bound = true;
    bool tell = loaded >= 3 && omega_spread(t->points, &largest) >= SPREAD_LEAST;
    if (code != GSL_SUCCESS || !tell || t->points->count < 4)
        return code;
    sw_readings_result full = plain;
    t->scale_h2 = pow(plain.resistance_ohm / largest, 2);
    const double from[] = {log(plain.constant), log(plain.resistance_ohm), 1.0};
    if (run(t, 3, from, law, &full) == GSL_SUCCESS && full.resistance_u < full.resistance_ohm)
        *result = full;
    result->bound = result->resistance_ohm == plain.resistance_ohm;
    return code;
}

sw_status sw_readings_fit_loaded(const sw_reading_points *points, const sw_meter_law *law,
                                 sw_readings_result *result, sw_error *error) {
    task t = {points, law->factor, 1};
    double resistance = first_resistance(&t, result->constant);
    if (!isfinite(resistance) || points->count < 2 || !(result->constant > 0))
        return SW_OK;
    const double start[] = {log(result->constant), log(resistance)};
    gsl_error_handler_t *handler = gsl_set_error_handler_off();
    int code = run_all(&t, start, *law, result);
    gsl_set_error_handler(handler);
    if (code == GSL_SUCCESS)
        return SW_OK;
    return sw_fail(error, SW_NO_CONVERGENCE, "no resistance fits the loaded readings: %s",
                   gsl_strerror(code));
}
