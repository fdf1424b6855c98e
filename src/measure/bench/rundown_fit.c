/* Retardation as a straight regression.
 *
 * Integrating df/dt = -(b0 + b1 f + b2 f^2) twice gives the electrical angle, in cycles,
 *   N(t) = N0 + f0 t - b0 t^2/2 - b1 I1(t) - b2 I2(t),   I1 = int int f,  I2 = int int f^2,
 * which is linear in the unknowns. The integrals are taken from the record itself: the noise of
 * single cycles averages out in them, while differentiating would raise it. The angle's own error
 * (noise, magnets out of place) is what is left over and does not build up along the record.
 *
 * A rotor out of balance is a torque that repeats once a turn (integrated twice like the others),
 * magnets out of place an error of the angle that does. With pole pairs known both are fitted
 * along where there are turns enough. Where not, what they may be like (a documented guess) goes
 * through the regression into the terms' covariance: half a turn of an unbalanced rotor looks like
 * any drag.
 *
 * GSL's bisquare regression makes it outlier-proof. Neighbouring cycles share their noise, so that
 * the covariance is enlarged by the residual's correlation time, 1 + 2 sum rho_k up to the first
 * rho below zero, and by Student's t for the few values that are left then.
 */
#include "src/measure/bench/rundown_parts.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_multifit.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { FIXED = 2, PATTERN = 6, FREEDOM_LEAST = 8 };
enum { COLUMNS_MOST = FIXED + SW_DRAG_TERMS + PATTERN };

/* A rotor out of balance, cosine and sine each, as a share of the drag, and magnets out of place
 * once and twice a turn, cycles, where the record is too short to tell them (common practice, no
 * source). */
static const double BALANCE_U = 0.02;
static const double PLACE_U = 3e-4;

/* One part made ready, times and frequencies scaled to about one. */
typedef struct ground {
    size_t count; /* crossings */
    double *time; /* 0 .. 1 */
    double *pace; /* of the cycle after each crossing; the last repeats */
    double *once; /* int int f */
    double *square;
    double *across; /* int int of the cosine and the sine of the shaft's angle */
    double *along;
    double span_s;
    double top_hz;
} ground;

static void ground_free(ground *g) {
    free(g->time);
    free(g->pace);
    free(g->once);
    free(g->square);
    free(g->across);
    free(g->along);
}

/* What is integrated over a step: a power of the pace, or cosine and sine of the angle in its
 * middle. */
typedef double integrand(const ground *g, size_t i, double parameter);

static double power_of_pace(const ground *g, size_t i, double power) {
    return pow(g->pace[i], power);
}

static double cosine(const ground *g, size_t i, double pole_pairs) {
    (void)g;
    return cos(2 * M_PI * ((double)i + 0.5) / pole_pairs);
}

static double sine(const ground *g, size_t i, double pole_pairs) {
    (void)g;
    return sin(2 * M_PI * ((double)i + 0.5) / pole_pairs);
}

/* y = int int x dt dt with x even within each step. */
static void integrate_twice(const ground *g, integrand *of, double parameter, double *out) {
    double speed = 0;
    out[0] = 0;
    for (size_t i = 0; i + 1 < g->count; i++) {
        double step = g->time[i + 1] - g->time[i];
        double x = of(g, i, parameter);
        out[i + 1] = out[i] + speed * step + x * step * step / 2;
        speed += x * step;
    }
}

static sw_status ground_new(const sw_cycles *cycles, size_t from, size_t to, int pole_pairs,
                            ground *g, sw_error *error) {
    size_t count = to - from + 1;
    *g = (ground){.count = count};
    g->time = calloc(count, sizeof(double));
    g->pace = calloc(count, sizeof(double));
    g->once = calloc(count, sizeof(double));
    g->square = calloc(count, sizeof(double));
    g->across = calloc(count, sizeof(double));
    g->along = calloc(count, sizeof(double));
    if (g->time == NULL || g->pace == NULL || g->once == NULL || g->square == NULL ||
        g->across == NULL || g->along == NULL) {
        ground_free(g);
        return sw_fail(error, SW_MEMORY, "not enough memory for the run-down");
    }
    const sw_cycle *first = &cycles->cycle[from];
    const sw_cycle *last = &cycles->cycle[to - 1];
    g->span_s = last->start_s + last->length_s - first->start_s;
    g->top_hz = 1 / first->length_s;
    for (size_t i = 0; i + 1 < count; i++) {
        const sw_cycle *cycle = &cycles->cycle[from + i];
        g->time[i] = (cycle->start_s - first->start_s) / g->span_s;
        g->pace[i] = 1 / (cycle->length_s * g->top_hz);
    }
    g->time[count - 1] = 1;
    g->pace[count - 1] = g->pace[count - 2];
    integrate_twice(g, power_of_pace, 1, g->once);
    integrate_twice(g, power_of_pace, 2, g->square);
    if (pole_pairs > 0) {
        integrate_twice(g, cosine, pole_pairs, g->across);
        integrate_twice(g, sine, pole_pairs, g->along);
    }
    return SW_OK;
}

/* How many columns the pattern of a turn takes: one that repeats within every few cycles cannot be
 * told from the cycles themselves, and few turns tell only of its strongest part, the balance. */
static size_t pattern_columns(const sw_retardation *how, size_t count) {
    double turns = how->pole_pairs > 0 ? (double)count / how->pole_pairs : 0;
    size_t most = how->pole_pairs >= 5 ? 6 : how->pole_pairs >= 3 ? 4 : 0;
    size_t columns = turns > 3 ? 6 : turns > 2 ? 4 : turns > 1 ? 2 : 0;
    columns = columns < most ? columns : most;
    return count >= FIXED + SW_DRAG_TERMS + columns + FREEDOM_LEAST ? columns : 0;
}

static void pattern_at(const ground *g, size_t i, int pole_pairs, double turn[PATTERN]) {
    double angle = 2 * M_PI * (double)i / pole_pairs;
    const double values[PATTERN] = {g->across[i], g->along[i],    cos(angle),
                                    sin(angle),   cos(2 * angle), sin(2 * angle)};
    memcpy(turn, values, sizeof values);
}

static void fill_row(const ground *g, size_t i, const sw_retardation *how, size_t pattern,
                     double *row) {
    const double terms[SW_DRAG_TERMS] = {g->time[i] * g->time[i] / 2, g->once[i], g->square[i]};
    double turn[PATTERN];
    size_t column = 0;
    row[column++] = 1;
    row[column++] = g->time[i];
    for (size_t k = 0; k < SW_DRAG_TERMS; k++)
        if (how->use[k])
            row[column++] = terms[k];
    if (pattern > 0)
        pattern_at(g, i, how->pole_pairs, turn);
    for (size_t k = 0; k < pattern; k++)
        row[column++] = turn[k];
}

typedef struct system {
    gsl_matrix *x;
    gsl_vector *y;
    gsl_vector *c;
    gsl_matrix *cov;
    size_t columns;
} system_of;

static void system_free(system_of *s) {
    gsl_matrix_free(s->x);
    gsl_vector_free(s->y);
    gsl_vector_free(s->c);
    gsl_matrix_free(s->cov);
}

static sw_status system_new(const ground *g, const sw_retardation *how, system_of *s,
                            sw_error *error) {
    size_t pattern = pattern_columns(how, g->count);
    *s = (system_of){.columns = FIXED + pattern};
    for (size_t k = 0; k < SW_DRAG_TERMS; k++)
        s->columns += how->use[k];
    s->x = gsl_matrix_alloc(g->count, s->columns);
    s->y = gsl_vector_alloc(g->count);
    s->c = gsl_vector_alloc(s->columns);
    s->cov = gsl_matrix_alloc(s->columns, s->columns);
    if (s->x == NULL || s->y == NULL || s->c == NULL || s->cov == NULL) {
        system_free(s);
        return sw_fail(error, SW_MEMORY, "not enough memory for the run-down");
    }
    for (size_t i = 0; i < g->count; i++) {
        double row[COLUMNS_MOST];
        fill_row(g, i, how, pattern, row);
        gsl_vector_set(s->y, i, (double)i);
        for (size_t k = 0; k < s->columns; k++)
            gsl_matrix_set(s->x, i, k, row[k]);
    }
    return SW_OK;
}

static int solve(system_of *s, bool robust) {
    if (!robust) {
        double sum;
        gsl_multifit_linear_workspace *work = gsl_multifit_linear_alloc(s->x->size1, s->x->size2);
        if (work == NULL)
            return GSL_ENOMEM;
        int code = gsl_multifit_linear(s->x, s->y, s->c, s->cov, &sum, work);
        gsl_multifit_linear_free(work);
        return code;
    }
    gsl_multifit_robust_workspace *work =
        gsl_multifit_robust_alloc(gsl_multifit_robust_bisquare, s->x->size1, s->x->size2);
    if (work == NULL)
        return GSL_ENOMEM;
    int code = gsl_multifit_robust(s->x, s->y, s->c, s->cov, work);
    gsl_multifit_robust_free(work);
    /* A record without any noise never settles to the last digit: the answer stands. */
    return code == GSL_EMAXITER ? GSL_SUCCESS : code;
}

static double residuals(const system_of *s, double *out) {
    double sum = 0;
    for (size_t i = 0; i < s->x->size1; i++) {
        double model = 0;
        for (size_t k = 0; k < s->columns; k++)
            model += gsl_matrix_get(s->x, i, k) * gsl_vector_get(s->c, k);
        double left = gsl_vector_get(s->y, i) - model;
        sum += left * left;
        if (out != NULL)
            out[i] = left;
    }
    return sqrt(sum / fmax(1, (double)s->x->size1 - (double)s->columns));
}

static double correlation_time(const double *left, size_t count) {
    double power = 0;
    double sum = 1;
    for (size_t i = 0; i < count; i++)
        power += left[i] * left[i];
    for (size_t lag = 1; lag < count / 4 && power > 0; lag++) {
        double product = 0;
        for (size_t i = 0; i + lag < count; i++)
            product += left[i] * left[i + lag];
        if (product <= 0)
            break;
        sum += 2 * product / power;
    }
    return sum;
}

/* N = ... - b x: the terms are the columns' coefficients with the other sign, in true units. */
static void take(const ground *g, const system_of *s, const sw_retardation *how, double widen,
                 sw_retardation_fit *fit) {
    double unit[SW_DRAG_TERMS];
    size_t column[SW_DRAG_TERMS];
    size_t next = FIXED;
    for (size_t k = 0; k < SW_DRAG_TERMS; k++) {
        unit[k] = -1 / (g->span_s * g->span_s * pow(g->top_hz, (double)k));
        column[k] = how->use[k] ? next++ : 0;
        fit->term[k] = how->use[k] ? unit[k] * gsl_vector_get(s->c, column[k]) : 0;
    }
    for (size_t k = 0; k < SW_DRAG_TERMS; k++)
        for (size_t l = 0; l < SW_DRAG_TERMS; l++)
            fit->covariance[k][l] =
                how->use[k] && how->use[l]
                    ? unit[k] * unit[l] * widen * gsl_matrix_get(s->cov, column[k], column[l])
                    : 0;
}

/* What a pattern that was not fitted does to the columns' coefficients: it is fitted by them. */
static void add_unfitted(const ground *g, system_of *s, const sw_retardation *how, double widened) {
    size_t fitted = pattern_columns(how, g->count);
    double slowing = fabs(1 - g->pace[g->count - 1]) * g->top_hz * g->span_s;
    gsl_matrix *pull = gsl_matrix_alloc(s->columns, s->columns);
    gsl_multifit_linear_workspace *work = gsl_multifit_linear_alloc(g->count, s->columns);
    for (size_t k = fitted; k < PATTERN && pull != NULL && work != NULL; k++) {
        double turn[PATTERN];
        double sum;
        double u = k < 2 ? BALANCE_U * slowing : PLACE_U;
        for (size_t i = 0; i < g->count; i++) {
            pattern_at(g, i, how->pole_pairs, turn);
            gsl_vector_set(s->y, i, turn[k]);
        }
        if (gsl_multifit_linear(s->x, s->y, s->c, pull, &sum, work) != GSL_SUCCESS)
            continue;
        for (size_t a = 0; a < s->columns; a++)
            for (size_t b = 0; b < s->columns; b++)
                *gsl_matrix_ptr(s->cov, a, b) +=
                    u * u / widened * gsl_vector_get(s->c, a) * gsl_vector_get(s->c, b);
    }
    gsl_matrix_free(pull);
    gsl_multifit_linear_free(work);
}

/* How much wider the terms are known than the residual's scatter alone says. */
static double widening(const double *left, size_t count, size_t columns, sw_retardation_fit *fit) {
    double correlated = correlation_time(left, count);
    fit->values = (double)count / correlated;
    double freedom = fmax(2, fit->values - (double)columns);
    double student = gsl_cdf_tdist_Pinv(0.977, freedom) / gsl_cdf_ugaussian_Pinv(0.977);
    return correlated * student * student;
}

static void tell(const ground *g, system_of *s, const sw_retardation *how, const double *left,
                 sw_retardation_fit *fit) {
    if (!how->robust) {
        take(g, s, how, 1, fit);
        return;
    }
    double widen = widening(left, g->count, s->columns, fit);
    take(g, s, how, widen, fit);
    double term[SW_DRAG_TERMS];
    memcpy(term, fit->term, sizeof term);
    if (how->pole_pairs > 0) {
        add_unfitted(g, s, how, widen);
        take(g, s, how, widen, fit);
    }
    memcpy(fit->term, term, sizeof term); /* the columns' room was used again */
}

sw_status sw_retardation_run(const sw_cycles *cycles, size_t from, size_t to,
                             const sw_retardation *how, sw_retardation_fit *fit, double *residual,
                             sw_error *error) {
    ground g;
    system_of s = {0};
    *fit = (sw_retardation_fit){0};
    sw_status status = ground_new(cycles, from, to, how->pole_pairs, &g, error);
    if (status != SW_OK)
        return status;
    double *left = calloc(g.count, sizeof *left);
    status = left != NULL ? system_new(&g, how, &s, error)
                          : sw_fail(error, SW_MEMORY, "not enough memory for the run-down");
    if (status == SW_OK) {
        gsl_error_handler_t *handler = gsl_set_error_handler_off();
        int code = solve(&s, how->robust);
        gsl_set_error_handler(handler);
        if (code != GSL_SUCCESS)
            status = sw_fail(error, SW_NO_CONVERGENCE, "no drag fits the run-down: %s",
                             gsl_strerror(code));
        else {
            fit->rms_cycles = residuals(&s, left);
            tell(&g, &s, how, left, fit);
        }
        for (size_t i = 0; residual != NULL && i < g.count; i++)
            residual[i] = left[i];
        system_free(&s);
    }
    free(left);
    ground_free(&g);
    return status;
}
