/* Volts per hertz as a measurement of five inputs, propagated after JCGM 100 (uncertainty.h):
 *   K = line/lead * peak / sqrt 2 * scale * exp(slope (fc - fc0)) / (1 + clock) * (1 + method)
 * where peak is the mean flux of the lead channel, scale the volts a unit relative to those used,
 * slope = d ln K / d fc over the cycles that count. At hand speed the motor's cogging makes the
 * shaft jerk, see sw_budget_jerk_u. Inputs are independent: the calibration's low
 * cut and volts come from one step, but from its decay and its height.
 */
#include "src/measure/constant/budget.h"

#include "shared/uncertainty.h"

#include <complex.h>
#include <gsl/gsl_math.h>
#include <math.h>

enum { FLUX, SCALE, LOW_CUT, CLOCK, RIPPLE, METHOD, INPUTS };

static const double own_error = 1e-4; /* of the method: filters, interpolation */
static const double hand_hz = 5.0;    /* electrical; a hand seldom turns faster by much */

typedef struct constants {
    double line_over_lead;
    double low_cut_slope;
    double low_cut_hz;
} constants;

static double volts_per_hertz(const double *values, const void *user) {
    const constants *c = user;
    return c->line_over_lead * values[FLUX] / M_SQRT2 * values[SCALE] *
           exp(c->low_cut_slope * (values[LOW_CUT] - c->low_cut_hz)) / (1.0 + values[CLOCK]) *
           (1.0 + values[RIPPLE]) * (1.0 + values[METHOD]);
}

/* A speed that ripples twice an electrical cycle by the share a, at a phase phi to the magnets,
 * changes the fundamental by the share a/4 cos phi and makes a third harmonic of 3 a/4 (first order
 * of the expansion of d/dt sin(x + a/2 sin(2 x + phi))). So the fundamental is wrong by at most a
 * third of the third harmonic, and with phi unknown by that over sqrt 2, rms. Cogging goes with the
 * inverse square of the speed and means nothing once a drill turns the shaft; the third of the
 * magnets then stands alone. */
double sw_budget_jerk_u(const sw_analysis *analysis) {
    const sw_spectrum *own = &analysis->trace[analysis->lead].spectrum;
    double hz = analysis->motor->electrical_frequency.value;
    double first = cabs(own->order[1]);
    if (own->highest < 3 || !(first > 0.0) || !(hz > 0.0))
        return 0.0;
    double by_hand = 1.0 / (1.0 + pow(hz / hand_hz, 4.0));
    return by_hand * cabs(own->order[3]) / first / 3.0 / M_SQRT2;
}

static sw_input input_of(const char *name, double value, double u) {
    return (sw_input){name, value, isfinite(u) ? u : 0.0, INFINITY};
}

/* Largest share first. */
static void list_shares(const sw_input *inputs, const sw_propagated *result, sw_shares *shares) {
    shares->lines = 0;
    for (size_t i = 0; i < INPUTS; i++) {
        double u = fabs(result->sensitivity[i]) * inputs[i].u / result->value;
        if (!(u > 0.0))
            continue;
        size_t at = shares->lines++;
        for (; at > 0 && shares->line[at - 1].u < u; at--)
            shares->line[at] = shares->line[at - 1];
        shares->line[at] = (sw_share_line){inputs[i].name, u, result->share[i]};
    }
}

sw_status sw_budget_constant(sw_analysis *a, sw_error *error) {
    const sw_profile *profile = &a->request->profile;
    const sw_trace *lead = &a->trace[a->lead];
    if (!sw_quantity_known(lead->constant.peak) || !sw_volts_known(a))
        return SW_OK;
    double scale_u = a->waveform->in_volts ? 0.0 : profile->volts_per_unit.u / a->volts_per_unit;
    const sw_input inputs[INPUTS] = {
        [FLUX] = input_of("scatter of the cycles: noise, magnets, wobble",
                          lead->constant.peak.value, lead->constant.peak.u),
        [SCALE] = input_of("volts a unit of the probe", 1.0, scale_u),
        [LOW_CUT] = input_of("the input's low cut", lead->low_cut_hz, profile->low_cut_hz.u),
        [CLOCK] = input_of("the recorder's clock", 0.0, profile->clock_error.u),
        [RIPPLE] = input_of("a slow shaft that jerks within a cycle", 0.0, sw_budget_jerk_u(a)),
        [METHOD] = input_of("the analysis itself", 0.0, own_error),
    };
    constants c = {a->line_over_lead, lead->constant.low_cut_slope, lead->low_cut_hz};
    sw_propagated result;
    sw_status status = sw_propagate(volts_per_hertz, &c, inputs, INPUTS, NULL, &result, error);
    if (status != SW_OK)
        return status;
    a->motor->volts_per_hertz = sw_quantity_of(result.value, result.u, "V/Hz");
    list_shares(inputs, &result, &a->motor->budget);
    return SW_OK;
}
