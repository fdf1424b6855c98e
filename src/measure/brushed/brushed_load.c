/* A straight line: what is missing of the open volts, k n - V, over the current I is R I + V_brush,
 * the drop of carbon brushes being nearly the same at any current. Weighted least squares in R and
 * V_brush; a multimeter's ohms count as one more observation, taken to a tenth only, since a
 * meter's small current sees the brushes' film as well, and not the same at every angle of the
 * rotor. The uncertainties go through the fit as JCGM 100 propagates them (shared/uncertainty.h),
 * which gives the budget. That k and V come from one probe is left out: a scale that is off changes
 * both alike, so that the uncertainty stated is rather too large. */
#include "src/measure/brushed/brushed_load.h"

#include "shared/uncertainty.h"

#include <math.h>

static const double LOAD_U = 0.01;  /* an ordinary meter, and a resistor that warms */
static const double METER_U = 0.10; /* see above; common practice, no source */
static const double SPEED_U = 0.01; /* not stated */
static const double CURRENTS_DIFFER = 1.5;
static const double MISSING_LEAST = 0.01;

enum { CONSTANT, SCALE, METER, FIRST_RUN, VOLTS = 0, SPEED, LOAD, PER_RUN };
_Static_assert((int)FIRST_RUN + (int)PER_RUN * (int)SW_BRUSHED_RUNS <= (int)SW_INPUT_LIMIT,
               "room for every run");

static double known_u(sw_quantity quantity, double otherwise) {
    return isfinite(quantity.u) ? quantity.u : otherwise * fabs(quantity.value);
}

sw_status sw_brushed_load_add(sw_brushed_load *load, const sw_motor *loaded, sw_quantity load_ohm,
                              sw_error *error) {
    sw_quantity per_rpm = loaded->voltage_constant;
    if (load->runs >= SW_BRUSHED_RUNS)
        return sw_fail(error, SW_VALUE, "more than %d loaded runs", SW_BRUSHED_RUNS);
    if (!sw_quantity_known(per_rpm) || !sw_quantity_known(loaded->speed))
        return sw_fail(error, SW_MISSING_KEY,
                       "a brushed motor's loaded run needs its own speed (--load-speed, one for "
                       "each --loaded, or a tachometer channel) and an input that passes steady "
                       "volts");
    double speed_u = known_u(loaded->speed, SPEED_U) / loaded->speed.value;
    double both_u = known_u(per_rpm, 0) / per_rpm.value;
    double volts = per_rpm.value * loaded->speed.value;
    double own_u = sqrt(fmax(0, both_u * both_u - speed_u * speed_u));
    load->run[load->runs++] = (sw_brushed_run){
        sw_quantity_of(volts, volts * own_u, "V"),
        sw_quantity_of(loaded->speed.value, loaded->speed.value * speed_u, "rpm"), load_ohm};
    return SW_OK;
}

/* ---- the fit ---- */

typedef struct line {
    const sw_brushed_load *load;
    double weight[SW_BRUSHED_RUNS]; /* 1 / u^2 of what is missing */
    double meter_weight;            /* 0 = no meter */
    bool want_drop;
} line;

/* Normal equations of missing = R I + V_brush. */
static double solve(const double *x, const void *user) {
    const line *l = user;
    double w = 0;
    double wi = 0;
    double wii = l->meter_weight;
    double wm = 0;
    double wim = l->meter_weight * x[METER];
    for (size_t r = 0; r < l->load->runs; r++) {
        const double *run = x + FIRST_RUN + PER_RUN * r;
        double amps = x[SCALE] * run[VOLTS] / run[LOAD];
        double missing = x[SCALE] * (x[CONSTANT] * run[SPEED] - run[VOLTS]);
        w += l->weight[r];
        wi += l->weight[r] * amps;
        wii += l->weight[r] * amps * amps;
        wm += l->weight[r] * missing;
        wim += l->weight[r] * amps * missing;
    }
    double det = w * wii - wi * wi;
    return l->want_drop ? (wii * wm - wi * wim) / det : (w * wim - wi * wm) / det;
}

/* What is left of it without the scale's share. */
static double without_scale(sw_quantity quantity, double otherwise, double scale_u) {
    double u = known_u(quantity, otherwise);
    double scale = scale_u * quantity.value;
    return sqrt(fmax(0, u * u - scale * scale));
}

static size_t list_inputs(const sw_brushed_load *load, sw_input *inputs) {
    static const char *const NAMES[SW_BRUSHED_RUNS][PER_RUN] = {
        {"volts of the first loaded run", "speed of the first loaded run", "first resistor"},
        {"volts of the second loaded run", "speed of the second loaded run", "second resistor"},
        {"volts of the third loaded run", "speed of the third loaded run", "third resistor"},
        {"volts of the fourth loaded run", "speed of the fourth loaded run", "fourth resistor"}};
    bool meter = sw_quantity_known(load->meter_ohm);
    double ohm = meter ? load->meter_ohm.value : 0;
    inputs[CONSTANT] = (sw_input){"volts per rpm of the open motor", load->constant.value,
                                  without_scale(load->constant, SPEED_U, load->scale_u), INFINITY};
    inputs[SCALE] = (sw_input){"the probe's volts", 1, load->scale_u, INFINITY};
    inputs[METER] =
        (sw_input){"the multimeter's ohms through the brushes", ohm,
                   meter ? hypot(known_u(load->meter_ohm, 0), METER_U * ohm) : 0, INFINITY};
    for (size_t r = 0; r < load->runs; r++) {
        const sw_brushed_run *run = &load->run[r];
        sw_input *at = inputs + FIRST_RUN + PER_RUN * r;
        at[VOLTS] = (sw_input){NAMES[r][VOLTS], run->volts.value,
                               without_scale(run->volts, 0, load->scale_u), INFINITY};
        at[SPEED] =
            (sw_input){NAMES[r][SPEED], run->speed.value, known_u(run->speed, SPEED_U), INFINITY};
        at[LOAD] = (sw_input){NAMES[r][LOAD], run->load_ohm.value, known_u(run->load_ohm, LOAD_U),
                              INFINITY};
    }
    return FIRST_RUN + PER_RUN * load->runs;
}

static void weigh(const sw_brushed_load *load, const sw_input *inputs, line *l) {
    l->load = load;
    l->meter_weight = inputs[METER].u > 0 ? 1 / (inputs[METER].u * inputs[METER].u) : 0;
    for (size_t r = 0; r < load->runs; r++) {
        const sw_input *run = inputs + FIRST_RUN + PER_RUN * r;
        double u = hypot(run[VOLTS].u, inputs[CONSTANT].value * run[SPEED].u);
        l->weight[r] = 1 / fmax(u * u, 1e-12);
    }
}

static void list_shares(const sw_input *inputs, size_t count, const sw_propagated *drop,
                        sw_shares *shares) {
    shares->lines = 0;
    for (size_t i = 0; i < count; i++) {
        double u = fabs(drop->sensitivity[i]) * inputs[i].u;
        if (!(u > 0) ||
            (shares->lines == SW_BUDGET_LIMIT && u <= shares->line[shares->lines - 1].u))
            continue;
        size_t at = shares->lines < SW_BUDGET_LIMIT ? shares->lines++ : shares->lines - 1;
        for (; at > 0 && shares->line[at - 1].u < u; at--)
            shares->line[at] = shares->line[at - 1];
        shares->line[at] = (sw_share_line){inputs[i].name, u, drop->share[i]};
    }
}

static sw_status check(const sw_brushed_load *load, double *most_a, sw_error *error) {
    double least = HUGE_VAL;
    *most_a = 0;
    for (size_t r = 0; r < load->runs; r++) {
        const sw_brushed_run *run = &load->run[r];
        double open = load->constant.value * run->speed.value;
        double amps = run->volts.value / run->load_ohm.value;
        least = fmin(least, amps);
        *most_a = fmax(*most_a, amps);
        if (!(open - run->volts.value > MISSING_LEAST * open))
            return sw_fail(error, SW_VALUE,
                           "with %g ohm at %.0f rpm %.3g V are left of %.3g V open, no clear drop: "
                           "was it really loaded, and is the speed its own?",
                           run->load_ohm.value, run->speed.value, run->volts.value, open);
    }
    if (sw_quantity_known(load->meter_ohm) || *most_a > CURRENTS_DIFFER * least)
        return SW_OK;
    return sw_fail(error, SW_MISSING_KEY,
                   "one current cannot part the winding's ohms from the brushes' drop: add a run "
                   "with another resistor (half as large or less), or the multimeter's ohms "
                   "(--resistance)");
}

sw_status sw_brushed_load_fit(const sw_brushed_load *load, sw_brushed_result *result,
                              sw_error *error) {
    sw_input inputs[SW_INPUT_LIMIT];
    *result = (sw_brushed_result){sw_quantity_unknown(), sw_quantity_unknown(), {0}, 0};
    if (!sw_quantity_known(load->constant) || load->runs == 0)
        return sw_fail(error, SW_MISSING_KEY,
                       "a brushed motor's loaded runs are compared with its open volts per rpm: "
                       "give its speed (--speed) or turns (--turns) in the open recording too");
    sw_status status = check(load, &result->most_a, error);
    if (status != SW_OK)
        return status;
    size_t count = list_inputs(load, inputs);
    line l = {0};
    weigh(load, inputs, &l);
    sw_propagated ohm;
    sw_propagated drop;
    status = sw_propagate(solve, &l, inputs, count, NULL, &ohm, error);
    l.want_drop = true;
    if (status == SW_OK)
        status = sw_propagate(solve, &l, inputs, count, NULL, &drop, error);
    if (status != SW_OK)
        return status;
    result->resistance = sw_quantity_of(ohm.value, ohm.u, "ohm");
    result->brush_drop = sw_quantity_of(drop.value, drop.u, "V");
    list_shares(inputs, count, &drop, &result->budget);
    return SW_OK;
}

void sw_brushed_load_tell(const sw_brushed_result *result, sw_motor *motor) {
    sw_quantity ohm = result->resistance;
    sw_quantity drop = result->brush_drop;
    if (ohm.value > 2 * ohm.u)
        motor->winding_resistance = ohm;
    if (drop.u < SW_BRUSHED_DROP_TOLD_V && drop.value > -2 * drop.u)
        motor->brush_drop = sw_quantity_of(fmax(0, drop.value), drop.u, "V");
    if (drop.value <= -2 * drop.u)
        sw_motor_warn(motor, SW_WARN_METER_DOUBTFUL,
                      "the loaded runs give a brush drop of %.2g +- %.2g V, which cannot be below "
                      "nothing: one of the speeds, a resistor or the multimeter's ohms is wrong",
                      drop.value, 2 * drop.u);
}
