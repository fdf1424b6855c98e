/* Straight lines through hand readings.
 *
 * An open reading is shown = a K x - d with x the frequency or speed, K the constant sought, a
 * what the meter makes of the line-to-line fundamental and d the drop of the diodes before it. d
 * is not the same for every diode, so it is fitted too, held by what is known of it beforehand (a
 * pseudo-reading). Every row is divided by its standard uncertainty; that of the speed counts as
 * K u(x). The scatter that is left enlarges the covariance when it is more than expected (Birge
 * 1932), as few readings never make it smaller.
 *
 * From eight readings on the fit is robust (Tukey's bisquare): one number written down wrong is
 * then passed over.
 */
#include "src/measure/readings/readings_fit.h"

#include "shared/constants.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_multifit.h>
#include <math.h>

enum { ROBUST_LEAST = 8, PARAMETERS_MOST = 3 };

/* Shape factors of a pure sine: bridge mean 3 sqrt2/pi of line to line for three phases, 2 sqrt2/pi
 * for one (M. H. Rashid, Power Electronics, ch. 3), 4/pi for two with a bridge each (mean of the
 * larger of |cos| and |sin|, times sqrt2). */

/* Two silicon diodes at the trickle a meter draws, together; and how far off the readings of an
 * ordinary meter are on a wave that is no pure sine (common practice, no source). */
static const double METER_DROP_V = 1.0;
static const double METER_DROP_U_V = 0.3;
static const double SHAPE_U_AVERAGE = 0.03;
static const double SHAPE_U_PEAK = 0.03;
static const double SHAPE_U_MEAN = 0.02;
static const double RANGE_U = 0.01;

/* Both brushes of a small motor under load (common practice, no source). */
static const double BRUSH_DROP_V = 1.0;
static const double BRUSH_DROP_U_V = 0.5;
static const double BRUSH_TOLD = 0.7;

sw_status sw_meter_law_of(sw_meter meter, int phases, sw_meter_law *law, sw_error *error) {
    *law = (sw_meter_law){.factor = 1, .factor_u = RANGE_U};
    switch (meter) {
    case SW_METER_AC_AVERAGE:
        law->factor_u = hypot(SHAPE_U_AVERAGE, RANGE_U);
        return SW_OK;
    case SW_METER_DC_BRIDGE_CAPACITOR:
        *law = (sw_meter_law){sqrt(2), hypot(SHAPE_U_PEAK, RANGE_U), METER_DROP_V, METER_DROP_U_V,
                              true};
        return SW_OK;
    case SW_METER_DC_BRIDGE:
        if (phases == 0)
            return sw_fail(error, SW_MISSING_KEY,
                           "what a meter shows behind a bridge depends on how many phases feed it: "
                           "say --phases 3, or write \"# phases: 3\" into the table");
        *law = (sw_meter_law){phases == 3   ? 3 * sqrt(2) / M_PI
                              : phases == 2 ? 4 / M_PI
                                            : 2 * sqrt(2) / M_PI,
                              hypot(SHAPE_U_MEAN, RANGE_U), METER_DROP_V, METER_DROP_U_V, true};
        return SW_OK;
    default:
        return SW_OK;
    }
}

/* ---- a weighted linear problem of a few unknowns ---- */

typedef struct problem {
    size_t rows;
    size_t unknowns;
    gsl_matrix *x;
    gsl_vector *y;
    double solution[PARAMETERS_MOST];
    double u[PARAMETERS_MOST];
    double misfit;
} problem;

static void problem_free(problem *p) {
    gsl_matrix_free(p->x);
    gsl_vector_free(p->y);
}

static sw_status problem_new(size_t rows, size_t unknowns, problem *p, sw_error *error) {
    *p = (problem){.unknowns = unknowns};
    p->x = gsl_matrix_calloc(rows, unknowns);
    p->y = gsl_vector_calloc(rows);
    if (p->x != NULL && p->y != NULL)
        return SW_OK;
    problem_free(p);
    return sw_fail(error, SW_MEMORY, "not enough memory for the readings");
}

static void add_row(problem *p, const double *coefficients, double value, double u) {
    for (size_t i = 0; i < p->unknowns; i++)
        gsl_matrix_set(p->x, p->rows, i, coefficients[i] / u);
    gsl_vector_set(p->y, p->rows, value / u);
    p->rows++;
}

static int solve_plain(problem *p, gsl_vector *c, gsl_matrix *covariance, double *chi2) {
    gsl_multifit_linear_workspace *work = gsl_multifit_linear_alloc(p->rows, p->unknowns);
    gsl_vector *ones = gsl_vector_alloc(p->rows);
    int code = GSL_ENOMEM;
    if (work != NULL && ones != NULL) {
        /* With given weights the covariance is not scaled by the scatter. */
        gsl_vector_set_all(ones, 1);
        code = gsl_multifit_wlinear(p->x, ones, p->y, c, covariance, chi2, work);
    }
    gsl_vector_free(ones);
    gsl_multifit_linear_free(work);
    return code;
}

static int solve_robust(problem *p, gsl_vector *c, gsl_matrix *covariance, double *chi2) {
    gsl_multifit_robust_workspace *work =
        gsl_multifit_robust_alloc(gsl_multifit_robust_bisquare, p->rows, p->unknowns);
    if (work == NULL)
        return GSL_ENOMEM;
    int code = gsl_multifit_robust(p->x, p->y, c, covariance, work);
    gsl_multifit_robust_stats stats = gsl_multifit_robust_statistics(work);
    double freedom = (double)(p->rows - p->unknowns);
    *chi2 = stats.sigma * stats.sigma * freedom;
    if (stats.sigma > 0)
        gsl_matrix_scale(covariance, 1 / (stats.sigma * stats.sigma));
    gsl_multifit_robust_free(work);
    return code;
}

/* Covariance of the stated uncertainties alone, for readings that fit too well to tell. */
static void take_solution(problem *p, const gsl_vector *c, const gsl_matrix *covariance,
                          double chi2) {
    size_t freedom = p->rows - p->unknowns;
    p->misfit = freedom > 0 ? sqrt(chi2 / (double)freedom) : 0;
    double enlarge = fmax(1, p->misfit);
    for (size_t i = 0; i < p->unknowns; i++) {
        p->solution[i] = gsl_vector_get(c, i);
        p->u[i] = enlarge * sqrt(fmax(0, gsl_matrix_get(covariance, i, i)));
    }
}

static sw_status solve(problem *p, sw_error *error) {
    gsl_vector *c = gsl_vector_alloc(p->unknowns);
    gsl_matrix *covariance = gsl_matrix_alloc(p->unknowns, p->unknowns);
    double chi2 = 0;
    int code = GSL_ENOMEM;
    gsl_error_handler_t *handler = gsl_set_error_handler_off();
    bool robust = p->rows >= ROBUST_LEAST;
    if (c != NULL && covariance != NULL && robust)
        code = solve_robust(p, c, covariance, &chi2);
    if (c != NULL && covariance != NULL && (!robust || code != GSL_SUCCESS || !(chi2 > 0)))
        code = solve_plain(p, c, covariance, &chi2);
    gsl_set_error_handler(handler);
    if (code == GSL_SUCCESS)
        take_solution(p, c, covariance, chi2);
    gsl_vector_free(c);
    gsl_matrix_free(covariance);
    return code == GSL_SUCCESS ? SW_OK
                               : sw_fail(error, SW_NO_CONVERGENCE, "no line fits the readings: %s",
                                         gsl_strerror(code));
}

/* ---- open readings ---- */

/* Volts per Hz or rpm by the ratios alone, for the weight of the speed's uncertainty. */
static double rough_slope(const sw_reading_points *points, double drop_v) {
    double volts = 0;
    double pace = 0;
    for (size_t i = 0; i < points->count; i++) {
        volts += points->point[i].volts + drop_v;
        pace += points->point[i].pace;
    }
    return volts / pace;
}

sw_status sw_readings_fit_open(const sw_reading_points *points, const sw_meter_law *law,
                               sw_readings_result *result, sw_error *error) {
    problem p;
    size_t unknowns = law->bridge ? 2 : 1;
    double slope = rough_slope(points, law->drop_v);
    sw_status status = problem_new(points->count + 1, unknowns, &p, error);
    if (status != SW_OK)
        return status;
    size_t used = 0;
    for (size_t i = 0; i < points->count; i++) {
        const sw_reading_point *point = &points->point[i];
        const double row[] = {point->pace, -1};
        if (point->load_ohm > 0 || point->amps > 0)
            continue;
        add_row(&p, row, point->volts, hypot(point->volts_u, slope * point->pace_u));
        used++;
    }
    const double held[] = {0, 1};
    if (law->bridge)
        add_row(&p, held, law->drop_v, law->drop_u_v);
    p.x->size1 = p.rows;
    p.y->size = p.rows;
    status = used > 0
                 ? solve(&p, error)
                 : sw_fail(error, SW_TOO_SHORT, "no reading without load; at least one is needed");
    if (status == SW_OK) {
        result->constant = p.solution[0] / law->factor;
        result->constant_u =
            hypot(p.u[0] / law->factor, law->factor_u * fabs(p.solution[0]) / law->factor);
        result->misfit = p.misfit;
    }
    problem_free(&p);
    return status;
}

/* ---- brushed motors ---- */

sw_status sw_readings_fit_brushed(const sw_reading_points *points, sw_readings_result *result,
                                  sw_error *error) {
    problem p;
    size_t loaded = 0;
    for (size_t i = 0; i < points->count; i++)
        loaded += points->point[i].amps > 0;
    sw_status status = problem_new(points->count + 1, loaded > 0 ? 3 : 1, &p, error);
    if (status != SW_OK)
        return status;
    double slope = rough_slope(points, 0);
    for (size_t i = 0; i < points->count; i++) {
        const sw_reading_point *point = &points->point[i];
        bool open = point->amps == 0;
        const double row[] = {point->pace, -point->amps, open ? 0 : -1};
        add_row(&p, row, point->volts, hypot(point->volts_u, slope * point->pace_u));
    }
    const double held[] = {0, 0, 1};
    if (loaded > 0)
        add_row(&p, held, BRUSH_DROP_V, BRUSH_DROP_U_V);
    p.x->size1 = p.rows;
    p.y->size = p.rows;
    status = p.rows >= p.unknowns
                 ? solve(&p, error)
                 : sw_fail(error, SW_TOO_SHORT,
                           "%zu readings are too few for a constant and a resistance", p.rows);
    if (status == SW_OK) {
        result->constant = p.solution[0];
        result->constant_u = hypot(p.u[0], RANGE_U * fabs(p.solution[0]));
        result->misfit = p.misfit;
        if (loaded > 0) {
            result->resistance_ohm = p.solution[1];
            result->resistance_u = hypot(p.u[1], RANGE_U * fabs(p.solution[1]));
            /* told where the readings knew more than what is usual */
            if (p.u[2] < BRUSH_TOLD * BRUSH_DROP_U_V && p.solution[2] > 0) {
                result->brush_drop_v = p.solution[2];
                result->brush_drop_u_v = p.u[2];
            }
        }
    }
    problem_free(&p);
    return status;
}
