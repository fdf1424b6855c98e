/* Rotor kind "measured": the builder's own readings of wind, turns a minute and pull at the rim.
 *
 * A luggage scale holds a brake or a string on the rim while an anemometer stands beside. Each
 * reading gives lambda = w R / v and Ct = T / (1/2 rho A R v^2), T = pull x rim radius + bearing
 * torque (the scale does not feel what the bearings take). Such readings scatter by a tenth and
 * more, so a parabola of Ct over lambda is fitted by least squares (a straight line below five
 * readings, or where the parabola would bend the torque up again); the curve is tabulated from
 * rest to where the torque ends. The uncertainty of Cp is the scatter about the fit with that of
 * the anemometer, whose 3 % count three times.
 */
#include "src/match/rotor/rotor_set.h"

#include "shared/constants.h"

#include <gsl/gsl_multifit.h>
#include <math.h>
#include <stdlib.h>

static const char *const KEYS[] = {"readings", "density", NULL};

static const double SEA_DENSITY = 1.225;
static const double WIND_U = 0.03; /* hand anemometer, relative: common practice, no source */

enum { READING_LIMIT = 500, FEW = 5, POINTS = 30 };

typedef struct reading {
    double tip_speed_ratio;
    double torque; /* Ct */
} reading;

typedef struct fit {
    double c[3]; /* Ct = c0 + c1 x + c2 x^2 */
    double scatter;
} fit;

/* Value of one cell in SI, from a plain number and the unit that the column states. */
static sw_status read_cell(const sw_node *item, const sw_node *units, const char *column,
                           const char *unit, double low, double high, double *out,
                           sw_error *error) {
    const char *found = NULL;
    double value = 0;
    sw_error inner;
    sw_status status = sw_node_need(item, column, unit, error);
    if (status == SW_OK)
        status = sw_node_need(units, column, unit, error);
    if (status == SW_OK)
        status = sw_node_text(units, column, &found, error);
    if (status == SW_OK)
        status = sw_node_number(item, column, -1e9, 1e9, &value, error);
    if (status != SW_OK)
        return status;
    status = sw_units_convert(item->units, value, found, unit, out, &inner);
    if (status != SW_OK)
        return sw_node_fail(units, column, error, status, "%s", inner.message);
    if (!(*out >= low && *out <= high))
        return sw_node_fail(item, column, error, SW_VALUE, "found %g %s, expected %g to %g", *out,
                            unit, low, high);
    return SW_OK;
}

static sw_status read_reading(const sw_node *item, const sw_node *units, const sw_rotor *rotor,
                              double density, reading *out, sw_error *error) {
    static const char *const COLUMNS[] = {"wind", "speed", "pull", NULL};
    double wind = 0;
    double speed = 0;
    double pull = 0;
    sw_status status = sw_node_allow(item, COLUMNS, error);
    if (status == SW_OK)
        status = read_cell(item, units, "wind", "m/s", 0.3, 60, &wind, error);
    if (status == SW_OK)
        status = read_cell(item, units, "speed", "rpm", 0, 5000, &speed, error);
    if (status == SW_OK)
        status = read_cell(item, units, "pull", "N", 0, 1e5, &pull, error);
    if (status != SW_OK)
        return status;
    double torque = pull * rotor->rim_diameter_mm / 2000 + rotor->bearing_torque.value;
    double scale = 0.5 * density * rotor->swept_area_m2 * rotor->radius_m * wind * wind;
    *out = (reading){speed * 2 * M_PI / 60 * rotor->radius_m / wind, torque / scale};
    return SW_OK;
}

static double fit_at(const fit *fit_in, double x) {
    return fit_in->c[0] + x * (fit_in->c[1] + x * fit_in->c[2]);
}

/* Least squares with `terms` terms (1 .. 3). */
static sw_status fit_terms(const reading *list, size_t count, size_t terms, fit *out,
                           sw_error *error) {
    gsl_matrix *x = gsl_matrix_alloc(count, terms);
    gsl_vector *y = gsl_vector_alloc(count);
    gsl_vector *c = gsl_vector_alloc(terms);
    gsl_matrix *covariance = gsl_matrix_alloc(terms, terms);
    gsl_multifit_linear_workspace *work = gsl_multifit_linear_alloc(count, terms);
    double chi_squared = 0;
    for (size_t i = 0; i < count; i++) {
        for (size_t j = 0; j < terms; j++)
            gsl_matrix_set(x, i, j, pow(list[i].tip_speed_ratio, (double)j));
        gsl_vector_set(y, i, list[i].torque);
    }
    int failed = gsl_multifit_linear(x, y, c, covariance, &chi_squared, work);
    *out = (fit){{0, 0, 0}, 0};
    for (size_t j = 0; j < terms; j++)
        out->c[j] = gsl_vector_get(c, j);
    out->scatter = count > terms ? sqrt(chi_squared / (double)(count - terms)) : 0;
    gsl_multifit_linear_free(work);
    gsl_matrix_free(covariance);
    gsl_vector_free(c);
    gsl_vector_free(y);
    gsl_matrix_free(x);
    return failed ? sw_fail(error, SW_NO_CONVERGENCE, "the readings cannot be fitted") : SW_OK;
}

/* Tip-speed ratio at which the fitted torque ends; NaN when it does not. */
static double fit_end(const fit *found) {
    if (found->c[0] <= 0)
        return NAN;
    if (fabs(found->c[2]) < 1e-9)
        return found->c[1] < 0 ? -found->c[0] / found->c[1] : NAN;
    double root = found->c[1] * found->c[1] - 4 * found->c[2] * found->c[0];
    if (root < 0)
        return NAN;
    double left = (-found->c[1] - sqrt(root)) / (2 * found->c[2]);
    double right = (-found->c[1] + sqrt(root)) / (2 * found->c[2]);
    double low = fmin(left, right);
    return low > 0 ? low : fmax(left, right) > 0 ? fmax(left, right) : NAN;
}

static double spread_of(const reading *list, size_t count, double *highest) {
    double low = HUGE_VAL;
    double high = 0;
    for (size_t i = 0; i < count; i++) {
        low = fmin(low, list[i].tip_speed_ratio);
        high = fmax(high, list[i].tip_speed_ratio);
    }
    *highest = high;
    return high - low;
}

static sw_status fit_readings(const sw_node *node, const reading *list, size_t count, fit *found,
                              sw_error *error) {
    double highest = 0;
    if (count < 3 || spread_of(list, count, &highest) < 0.1)
        return sw_node_fail(node, NULL, error, SW_TOO_SHORT,
                            "needs at least 3 readings at different speeds for the same wind; for "
                            "example held fast, at half speed and running free");
    sw_status status = SW_OK;
    if (count >= FEW)
        status = fit_terms(list, count, 3, found, error);
    /* The torque must end beyond the fastest reading, and not bend up again on the way. */
    bool good = count >= FEW && fit_end(found) >= 0.95 * highest;
    if (status == SW_OK && !good)
        status = fit_terms(list, count, 2, found, error);
    if (status == SW_OK && isnan(fit_end(found)))
        return sw_node_fail(node, NULL, error, SW_VALUE,
                            "the pull does not fall with speed, so no power curve follows; check "
                            "that wind, speed and pull of a row belong together");
    return status;
}

static sw_status add_curve(sw_rotor *rotor, const sw_node *node, const fit *found,
                           sw_error *error) {
    double end = fit_end(found);
    sw_curve_point points[POINTS];
    for (int i = 0; i < POINTS; i++) {
        double ratio = end * (i + 1) / POINTS;
        points[i] = (sw_curve_point){ratio, ratio * fit_at(found, ratio)};
    }
    /* Nobody can read the worst angle off a turning rotor: guessed from the mean. */
    sw_rotor_add_static(rotor, 0, found->c[0], found->c[0] / 3);
    rotor->static_guessed = true;
    double middle = fit_at(found, end / 2);
    rotor->power_u_relative = hypot(3 * WIND_U, middle > 0 ? found->scatter / middle : 1);
    rotor->power_guessed = false;
    return sw_rotor_add_curve(rotor, node, 0, points, POINTS, NAN, error);
}

static sw_status read_list(const sw_node *readings, const sw_rotor *rotor, double density,
                           reading *list, size_t *count, sw_error *error) {
    static const char *const READING_KEYS[] = {"units", "list", NULL};
    sw_node rows = {0};
    sw_node units = {0};
    sw_status status = sw_node_allow(readings, READING_KEYS, error);
    if (status == SW_OK)
        status = sw_node_need(readings, "units",
                              "{\"wind\": \"m/s\", \"speed\": \"rpm\", \"pull\": \"kg\"}", error);
    if (status == SW_OK)
        status = sw_node_object(readings, "units", &units, error);
    if (status == SW_OK)
        status = sw_node_array(readings, "list", &rows, error);
    *count = sw_node_count(&rows);
    if (status == SW_OK && *count > READING_LIMIT)
        return sw_node_fail(&rows, NULL, error, SW_VALUE, "found %zu readings, expected at most %d",
                            *count, READING_LIMIT);
    for (size_t i = 0; status == SW_OK && i < *count; i++) {
        sw_node item = sw_node_item(&rows, i);
        status = read_reading(&item, &units, rotor, density, &list[i], error);
    }
    return status;
}

static sw_status read_measured(const sw_node *node, const char *reference_dir, sw_rotor *rotor,
                               sw_error *error) {
    reading list[READING_LIMIT];
    size_t count = 0;
    sw_node readings = {0};
    fit found = {{0, 0, 0}, 0};
    sw_quantity density = sw_quantity_of(SEA_DENSITY, NAN, "kg/m3");
    (void)reference_dir;
    sw_status status = sw_rotor_read_size(node, rotor, error);
    if (status == SW_OK)
        status = sw_node_need(node, "rim_diameter", "\"1900 mm\"", error);
    if (status == SW_OK)
        status = sw_node_need(node, "readings", "{\"units\": ..., \"list\": [...]}", error);
    if (status == SW_OK)
        status = sw_node_quantity_in(node, "density", "kg/m3", 0.5, 1.6, &density, error);
    if (status == SW_OK)
        status = sw_node_object(node, "readings", &readings, error);
    if (status == SW_OK)
        status = read_list(&readings, rotor, density.value, list, &count, error);
    if (status == SW_OK)
        status = fit_readings(&readings, list, count, &found, error);
    return status == SW_OK ? add_curve(rotor, &readings, &found, error) : status;
}

const sw_rotor_reader SW_ROTOR_READER_MEASURED = {"measured", KEYS, read_measured};
