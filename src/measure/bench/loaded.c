/* Levenberg-Marquardt (GSL multifit_nlinear) over the steps of all runs. Unknowns:
 *   ln K, R, L^2   as in the law; L^2 enters as it stands and may come out below zero, where L
 *                  itself would have a flat spot at nought
 *   d              what the assumed low cut is off, in its standard uncertainties: an observation
 *                  of its own, 0 +- 1; it bends all runs alike
 *   s              with two different loads: share of the flux linkage lost per largest current
 * Residuals stand in standard uncertainties; where they scatter wider, the covariance is enlarged
 * (Birge ratio). The resistor's uncertainty scales R and L alike and comes on top, as do both
 * their covariance. Current is V / Rl. A fit with s counts only where s stands out; the flux that
 * an open run shows over speed says nothing of saturation.
 */
#include "src/measure/bench/loaded.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_multifit_nlinear.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdlib.h>

enum { LN_K, OHM, SQUARE, CUT, SATURATION, UNKNOWNS, ITERATIONS_MOST = 200, CYCLES_LEAST = 10 };

static const double LOAD_U = 0.01;       /* an ordinary meter, and a resistor that warms */
static const double STEP_U_LEAST = 2e-4; /* of the method: filters, magnets over part of a turn */
static const double SEEN = 3;            /* standard uncertainties before saturation is said */
static const double SEEN_LEAST = 0.02;   /* and this much of the flux */
static const double INDUCTANCE_SEEN = 2;
static const double LOADS_DIFFER = 1.5;
static const double DROP_LEAST = 1.005; /* open over loaded volts */
static const double CUT_SHARE = 0.5;    /* below this share of the low cut nothing counts */

/* ---- steps ---- */

static int by_frequency(const void *left, const void *right) {
    double a = ((const sw_cycle *)left)->length_s;
    double b = ((const sw_cycle *)right)->length_s;
    return (a < b) - (a > b);
}

/* Mean of a slice; its uncertainty from the scatter, robustly by the median absolute deviation. */
static sw_flux_step step_of(const sw_cycle *cycle, size_t count, double line_over_lead,
                            double *room) {
    double pace = 0;
    for (size_t i = 0; i < count; i++) {
        pace += 1 / cycle[i].length_s / (double)count;
        room[i] = cycle[i].flux * line_over_lead;
    }
    gsl_sort(room, 1, count);
    double middle = gsl_stats_median_from_sorted_data(room, 1, count);
    double mean = gsl_stats_trmean_from_sorted_data(0.1, room, 1, count);
    double spread = gsl_stats_mad(room, 1, count, room + count);
    double u = spread / sqrt((double)count);
    return (sw_flux_step){pace, mean, hypot(u, STEP_U_LEAST * middle)};
}

sw_status sw_loaded_add(sw_loaded *loaded, const sw_course *course, sw_quantity load_ohm,
                        sw_error *error) {
    if (loaded->runs >= SW_LOADED_RUNS)
        return sw_fail(error, SW_VALUE, "more than %d loaded runs", SW_LOADED_RUNS - 1);
    size_t all = course->cycles.count;
    sw_cycle *sorted = malloc((all + 1) * sizeof *sorted);
    double *room = malloc(2 * (all + 1) * sizeof *room);
    size_t count = 0;
    for (size_t i = 0; i < all && sorted != NULL; i++)
        if (course->cycles.cycle[i].length_s * CUT_SHARE * course->low_cut_hz < 1)
            sorted[count++] = course->cycles.cycle[i];
    sw_status status = SW_OK;
    if (sorted == NULL || room == NULL)
        status = sw_fail(error, SW_MEMORY, "not enough memory for the loaded run");
    else if (count < CYCLES_LEAST)
        status = sw_fail(error, SW_TOO_SHORT,
                         "found %zu whole periods of the motor's voltage, expected at least %d",
                         count, CYCLES_LEAST);
    if (status == SW_OK) {
        sw_loaded_run *run = &loaded->run[loaded->runs++];
        qsort(sorted, count, sizeof *sorted, by_frequency);
        run->load_ohm = load_ohm;
        run->steps = GSL_MIN(SW_LOADED_STEPS, count / 5);
        for (size_t i = 0; i < run->steps; i++) {
            size_t from = count * i / run->steps;
            size_t to = count * (i + 1) / run->steps;
            run->step[i] = step_of(sorted + from, to - from, course->line_over_lead, room);
        }
        loaded->low_cut_hz = fmax(loaded->low_cut_hz, course->low_cut_hz);
    }
    free(sorted);
    free(room);
    return status;
}

/* ---- the fit ---- */

typedef struct task {
    const sw_loaded *loaded;
    double square_unit;  /* of L^2 in the fit, H^2 */
    double current_unit; /* A, the largest */
    bool saturating;
    size_t unknowns;
} task;

static double load_of(const sw_loaded_run *run) {
    return sw_quantity_known(run->load_ohm) ? run->load_ohm.value : INFINITY;
}

static double rms_current(const sw_loaded_run *run, const sw_flux_step *step) {
    return step->flux * step->frequency_hz / M_SQRT2 / load_of(run);
}

static double model(const task *t, const gsl_vector *x, const sw_loaded_run *run,
                    const sw_flux_step *step) {
    double flux = exp(gsl_vector_get(x, LN_K));
    double load = load_of(run);
    if (isfinite(load)) {
        double omega = 2 * M_PI * step->frequency_hz;
        double straight = pow(1 + gsl_vector_get(x, OHM) / load, 2);
        double across = omega * omega * t->square_unit * gsl_vector_get(x, SQUARE) / load / load;
        flux /= sqrt(fmax(straight + across, 1e-3));
    }
    if (t->saturating && isfinite(load))
        flux *= 1 - gsl_vector_get(x, SATURATION) * rms_current(run, step) / t->current_unit;
    /* d ln(flux) / d fc of the corrected flux, 1/Hz: |H|^-1 = sqrt(1 + (fc/f)^2) */
    double cut = t->loaded->low_cut_hz;
    double slope = cut / (cut * cut + step->frequency_hz * step->frequency_hz);
    return flux * (1 + slope * t->loaded->low_cut_u_hz * gsl_vector_get(x, CUT));
}

static int residuals(const gsl_vector *x, void *user, gsl_vector *out) {
    const task *t = user;
    size_t row = 0;
    for (size_t r = 0; r < t->loaded->runs; r++) {
        const sw_loaded_run *run = &t->loaded->run[r];
        for (size_t i = 0; i < run->steps; i++) {
            const sw_flux_step *step = &run->step[i];
            gsl_vector_set(out, row++, (model(t, x, run, step) - step->flux) / step->flux_u);
        }
    }
    gsl_vector_set(out, row, gsl_vector_get(x, CUT));
    return GSL_SUCCESS;
}

typedef struct solution {
    double x[UNKNOWNS];
    double covariance[UNKNOWNS][UNKNOWNS];
    double misfit;
} solution;

static size_t rows_of(const sw_loaded *loaded) {
    size_t rows = 1;
    for (size_t r = 0; r < loaded->runs; r++)
        rows += loaded->run[r].steps;
    return rows;
}

static void take(const task *t, gsl_multifit_nlinear_workspace *work, solution *found) {
    gsl_matrix *covariance = gsl_matrix_alloc(t->unknowns, t->unknowns);
    const gsl_vector *f = gsl_multifit_nlinear_residual(work);
    double sum = 0;
    if (covariance == NULL)
        return;
    gsl_multifit_nlinear_covar(gsl_multifit_nlinear_jac(work), 0, covariance);
    for (size_t i = 0; i < f->size; i++)
        sum += gsl_vector_get(f, i) * gsl_vector_get(f, i);
    double freedom = (double)f->size - (double)t->unknowns;
    found->misfit = freedom > 0 ? sqrt(sum / freedom) : 0;
    double widen = fmax(1, found->misfit * found->misfit);
    for (size_t i = 0; i < t->unknowns; i++) {
        found->x[i] = gsl_vector_get(gsl_multifit_nlinear_position(work), i);
        for (size_t j = 0; j < t->unknowns; j++)
            found->covariance[i][j] = widen * gsl_matrix_get(covariance, i, j);
    }
    gsl_matrix_free(covariance);
}

static int run_fit(task *t, const double *start, solution *found) {
    gsl_multifit_nlinear_parameters how = gsl_multifit_nlinear_default_parameters();
    t->unknowns = t->saturating ? UNKNOWNS : SATURATION;
    gsl_multifit_nlinear_fdf function = {
        .f = residuals, .n = rows_of(t->loaded), .p = t->unknowns, .params = t};
    gsl_multifit_nlinear_workspace *work =
        gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &how, function.n, function.p);
    if (work == NULL)
        return GSL_ENOMEM;
    gsl_vector_const_view from = gsl_vector_const_view_array(start, t->unknowns);
    int info = 0;
    int code = gsl_multifit_nlinear_init(&from.vector, &function, work);
    if (code == GSL_SUCCESS)
        code = gsl_multifit_nlinear_driver(ITERATIONS_MOST, 1e-9, 1e-9, 0, NULL, NULL, &info, work);
    if (code == GSL_ENOPROG) /* steps at the rounding of the doubles */
        code = GSL_SUCCESS;
    if (code == GSL_SUCCESS)
        take(t, work, found);
    gsl_multifit_nlinear_free(work);
    return code;
}

/* ---- what it means ---- */

static double mean_flux(const sw_loaded_run *run) {
    double sum = 0;
    for (size_t i = 0; i < run->steps; i++)
        sum += run->step[i].flux / (double)run->steps;
    return sum;
}

/* The open run, the least load and the largest, the largest current and frequency. */
typedef struct overview {
    double open_flux;
    double least_ohm;
    double most_ohm;
    double drop; /* open over loaded flux at least_ohm */
    double current_a;
    double highest_hz;
} overview;

static overview look(const sw_loaded *loaded) {
    overview o = {.least_ohm = HUGE_VAL};
    for (size_t r = 0; r < loaded->runs; r++)
        if (!isfinite(load_of(&loaded->run[r])))
            o.open_flux = mean_flux(&loaded->run[r]);
    for (size_t r = 0; r < loaded->runs; r++) {
        const sw_loaded_run *run = &loaded->run[r];
        double load = load_of(run);
        if (!isfinite(load))
            continue;
        if (load < o.least_ohm) {
            o.least_ohm = load;
            o.drop = o.open_flux / mean_flux(run);
        }
        o.most_ohm = fmax(o.most_ohm, load);
        for (size_t i = 0; i < run->steps; i++) {
            o.current_a = fmax(o.current_a, rms_current(run, &run->step[i]));
            o.highest_hz = fmax(o.highest_hz, run->step[i].frequency_hz);
        }
    }
    return o;
}

static double load_u_relative(const sw_loaded *loaded) {
    double most = 0;
    for (size_t r = 0; r < loaded->runs; r++)
        if (sw_quantity_known(loaded->run[r].load_ohm))
            most = fmax(most, sw_quantity_u_or(loaded->run[r].load_ohm, LOAD_U) /
                                  loaded->run[r].load_ohm.value);
    return most;
}

static void tell_winding(const task *t, const solution *found, sw_loaded_result *result) {
    double scale = load_u_relative(t->loaded);
    double ohm = found->x[OHM];
    double ohm_u = sqrt(found->covariance[OHM][OHM]);
    double square = found->x[SQUARE];
    double square_u = sqrt(found->covariance[SQUARE][SQUARE]);
    result->misfit = found->misfit;
    result->resistance = sw_quantity_of(ohm, hypot(ohm_u, ohm * scale), "ohm");
    result->inductance = sw_quantity_unknown();
    result->correlation = NAN;
    if (square < INDUCTANCE_SEEN * square_u)
        return;
    double henry = sqrt(t->square_unit * square);
    double per_square = henry / (2 * square); /* d L / d x */
    double henry_u = hypot(per_square * square_u, henry * scale);
    double both = per_square * found->covariance[OHM][SQUARE] + ohm * henry * scale * scale;
    result->inductance = sw_quantity_of(1000 * henry, 1000 * henry_u, "mH");
    result->correlation = both / (result->resistance.u * henry_u);
}

static void tell_saturation(const solution *found, double current_a, sw_loaded_result *result) {
    result->saturation = found->x[SATURATION];
    result->saturation_u = sqrt(found->covariance[SATURATION][SATURATION]);
    result->current_a = current_a;
    if (result->saturation < fmax(SEEN_LEAST, SEEN * result->saturation_u))
        result->saturation = 0;
}

static sw_status fit(const sw_loaded *loaded, const overview *o, sw_loaded_result *result,
                     sw_error *error) {
    task t = {.loaded = loaded, .current_unit = o->current_a};
    double ohm = o->least_ohm * fmax(o->drop - 1, 0.02);
    t.square_unit = pow(fmax(ohm, 0.1 * o->least_ohm) / (2 * M_PI * o->highest_hz), 2);
    const double start[UNKNOWNS] = {log(o->open_flux), ohm, 0.5, 0, 0};
    solution plain = {{0}, {{0}}, 0};
    int code = run_fit(&t, start, &plain);
    if (code != GSL_SUCCESS)
        return sw_fail(error, SW_NO_CONVERGENCE, "no winding fits the loaded runs: %s",
                       gsl_strerror(code));
    tell_winding(&t, &plain, result);
    result->saturation = NAN;
    if (o->most_ohm < LOADS_DIFFER * o->least_ohm)
        return SW_OK;
    solution full = {{0}, {{0}}, 0};
    t.saturating = true;
    if (run_fit(&t, plain.x, &full) != GSL_SUCCESS)
        return SW_OK;
    tell_saturation(&full, o->current_a, result);
    if (result->saturation > 0)
        tell_winding(&t, &full, result);
    return SW_OK;
}

/* Each resistor without the others: one whose value was written down wrong shows itself. */
static void fit_alone(const sw_loaded *loaded, sw_loaded_result *result) {
    for (size_t r = 0; r < loaded->runs; r++) {
        const sw_loaded_run *run = &loaded->run[r];
        if (!sw_quantity_known(run->load_ohm))
            continue;
        sw_loaded pair = {.low_cut_hz = loaded->low_cut_hz, .low_cut_u_hz = loaded->low_cut_u_hz};
        for (size_t open = 0; open < loaded->runs; open++)
            if (!sw_quantity_known(loaded->run[open].load_ohm))
                pair.run[pair.runs++] = loaded->run[open];
        pair.run[pair.runs++] = *run;
        overview o = look(&pair);
        sw_loaded_result alone = {.resistance = sw_quantity_unknown()};
        if (o.drop > DROP_LEAST)
            (void)fit(&pair, &o, &alone, NULL); /* not known when it fails */
        result->alone[result->loads++] = (sw_load_alone){run->load_ohm.value, alone.resistance};
    }
}

sw_status sw_loaded_fit(const sw_loaded *loaded, sw_loaded_result *result, sw_error *error) {
    overview o = look(loaded);
    *result = (sw_loaded_result){.saturation = NAN, .correlation = NAN};
    result->resistance = sw_quantity_unknown();
    result->inductance = sw_quantity_unknown();
    if (!(o.open_flux > 0))
        return sw_fail(error, SW_MISSING_KEY,
                       "a loaded run is compared with an open one of the same motor and probe");
    if (!isfinite(o.least_ohm))
        return sw_fail(error, SW_MISSING_KEY, "no loaded run was given");
    if (!(o.drop > DROP_LEAST))
        return sw_fail(error, SW_VALUE,
                       "with %g ohm the voltage falls by %.2g %% only, which tells nothing of the "
                       "winding; take a smaller resistor",
                       o.least_ohm, 100 * (1 - 1 / o.drop));
    gsl_error_handler_t *handler = gsl_set_error_handler_off();
    sw_status status = fit(loaded, &o, result, error);
    if (status == SW_OK)
        fit_alone(loaded, result);
    gsl_set_error_handler(handler);
    return status;
}
