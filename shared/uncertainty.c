#include "shared/uncertainty.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>

static double changed(sw_measurement *measure, const void *user, const double *values, size_t count,
                      size_t which, double by) {
    double moved[SW_INPUT_LIMIT] = {0};
    for (size_t i = 0; i < count; i++)
        moved[i] = i == which ? values[i] + by : values[i];
    return measure(moved, user);
}

static double correlation_of(const double *correlation, size_t count, size_t i, size_t j) {
    if (i == j)
        return 1;
    return correlation != NULL ? correlation[i * count + j] : 0;
}

/* sum c_i c_j u_i u_j r_ij (JCGM 100, equation 16). */
static double variance_of(const double *sensitivity, const sw_input *inputs, size_t count,
                          const double *correlation) {
    double sum = 0;
    for (size_t i = 0; i < count; i++)
        for (size_t j = 0; j < count; j++)
            sum += sensitivity[i] * inputs[i].u * sensitivity[j] * inputs[j].u *
                   correlation_of(correlation, count, i, j);
    return sum;
}

/* nu_eff = u^4 / sum (u_i^4 / nu_i) (JCGM 100, equation G.2b). */
static double effective_freedom(const sw_input *inputs, size_t count, const sw_propagated *result) {
    double sum = 0;
    for (size_t i = 0; i < count; i++)
        sum += pow(result->sensitivity[i] * inputs[i].u, 4) / inputs[i].freedom;
    return sum > 0 ? pow(result->u, 4) / sum : INFINITY;
}

sw_status sw_propagate(sw_measurement *measure, const void *user, const sw_input *inputs,
                       size_t count, const double *correlation, sw_propagated *result,
                       sw_error *error) {
    double values[SW_INPUT_LIMIT] = {0};
    if (count == 0 || count > SW_INPUT_LIMIT)
        return sw_fail(error, SW_VALUE, "found %zu inputs of one result, expected 1 to %d", count,
                       SW_INPUT_LIMIT);
    for (size_t i = 0; i < count; i++)
        values[i] = inputs[i].value;
    *result = (sw_propagated){.value = measure(values, user)};
    for (size_t i = 0; i < count; i++) {
        double u = inputs[i].u;
        double up = changed(measure, user, values, count, i, u);
        double down = changed(measure, user, values, count, i, -u);
        result->sensitivity[i] = u > 0 ? (up - down) / (2 * u) : 0;
    }
    double variance = variance_of(result->sensitivity, inputs, count, correlation);
    if (!isfinite(result->value) || !(variance >= 0))
        return sw_fail(error, SW_VALUE, "the values given have no result");
    result->u = sqrt(variance);
    for (size_t i = 0; i < count; i++)
        result->share[i] =
            variance > 0 ? pow(result->sensitivity[i] * inputs[i].u, 2) / variance : 0;
    result->freedom = effective_freedom(inputs, count, result);
    return SW_OK;
}

double sw_coverage_factor(double freedom, double level) {
    double upper = 0.5 + level / 2;
    if (!(freedom < 1e6))
        return gsl_cdf_ugaussian_Pinv(upper);
    return gsl_cdf_tdist_Pinv(upper, fmax(1, floor(freedom)));
}

sw_input sw_mean_of(const double *readings, size_t count) {
    sw_input mean = {.value = NAN, .u = NAN, .freedom = (double)count - 1};
    if (count > 0)
        mean.value = gsl_stats_mean(readings, 1, count);
    if (count > 1)
        mean.u = gsl_stats_sd(readings, 1, count) / sqrt((double)count);
    return mean;
}
