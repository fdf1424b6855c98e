/* Loaded runs into the motor's record, beside what a multimeter said.
 *
 * A resistor written down as c times what it was makes the fit's R and L both c times too large:
 * (E / V)^2 = ((Rl + R)^2 + (w L)^2) / Rl^2 holds as well with c Rl, c R and c L. The loaded run
 * alone cannot notice, the multimeter's ohms can: where R is further off than test leads, a poor
 * contact and a warm winding explain, Rl x (meter / R) is the resistor that would fit, and L is as
 * wrong as R.
 */
#include "src/measure/bench/loaded.h"

#include "src/measure/merge.h"

#include <math.h>
#include <stdio.h>

/* Standard uncertainties before two values disagree. */
static const double DISAGREES = 4;
/* Test leads with their clips, or a poor contact at the resistor (common practice, no source). */
static const double LEADS_OHM = 0.6;
/* Copper 60 K warmer in one of the two than said: 1 + 0.00393 x 60. */
static const double WARM = 1.236;
/* One of several resistors taken alone: iron that saturates counts as ohms then. */
static const double ALONE = 2;
/* The resistor that would fit is named when it is known as well as this, relative. */
static const double NAMED_U = 0.25;

/* How far the multimeter is from what a resistor's run says. */
static bool contradicts(sw_quantity meter, sw_quantity cold, double factor) {
    double slack = LEADS_OHM + DISAGREES * hypot(meter.u * factor, cold.u);
    return cold.value > meter.value * factor + slack || cold.value < meter.value / factor - slack;
}

static sw_quantity at_20(sw_quantity resistance, sw_quantity temperature_degc) {
    return sw_quantity_known(resistance)
               ? sw_meter_resistance(resistance, sw_quantity_unknown(), temperature_degc)
               : resistance;
}

/* The run that fits worst, when what the runs say contradicts the meter; NULL = none does. */
static const sw_load_alone *suspect(const sw_loaded_result *result, sw_quantity meter,
                                    sw_quantity temperature_degc) {
    double factor =
        contradicts(meter, at_20(result->resistance, temperature_degc), WARM) ? WARM : ALONE * WARM;
    const sw_load_alone *worst = NULL;
    double most = -1;
    if (factor > WARM && result->loads < 2)
        return NULL;
    for (size_t i = 0; i < result->loads; i++) {
        sw_quantity cold = at_20(result->alone[i].resistance, temperature_degc);
        bool counts = sw_quantity_known(cold) && contradicts(meter, cold, factor);
        double apart = counts ? fabs(log(fmax(cold.value, 1e-3) / meter.value)) : -1;
        if (apart > most) {
            most = apart;
            worst = &result->alone[i];
        }
    }
    /* together they contradict, though none does alone: any of them may be it */
    for (size_t i = 0; worst == NULL && factor == WARM && i < result->loads; i++)
        if (sw_quantity_known(result->alone[i].resistance))
            worst = &result->alone[i];
    return worst;
}

/* "" when the runs know their ohms too badly. */
static void say_what_fits(const sw_load_alone *load, sw_quantity meter, sw_quantity cold,
                          char *text, size_t size) {
    double u = hypot(meter.u / meter.value, cold.u / cold.value);
    double fits = load->load_ohm * meter.value / cold.value;
    text[0] = '\0';
    if (cold.value > 0 && u < NAMED_U)
        (void)snprintf(text, size, " (about %.*f ohm in place of %.4g would fit)",
                       fits < 10 ? 1 : 0, fits, load->load_ohm);
}

static void doubt_load(const sw_load_alone *load, sw_quantity meter, sw_quantity temperature_degc,
                       sw_motor *motor) {
    char fitting[96];
    sw_quantity cold = at_20(load->resistance, temperature_degc);
    say_what_fits(load, meter, cold, fitting, sizeof fitting);
    sw_motor_warn(
        motor, SW_WARN_LOAD_DOUBTFUL,
        "the meter says %.3g ohm, the run with %.4g ohm gives %.3g, which leads and "
        "warmth do not explain: most likely a wrong resistor value%s or wrong wires; the run's "
        "inductance is not kept",
        meter.value, load->load_ohm, cold.value, fitting);
}

/* Ohms of the meter and of the runs, which agree or nearly so. */
static void tell_resistance(sw_quantity meter, sw_quantity cold, sw_motor *motor) {
    bool both = sw_quantity_known(meter) && meter.u > 0 && cold.u > 0;
    if (cold.value <= 0)
        sw_motor_warn(motor, SW_WARN_NOISY,
                      "the loaded runs give a winding resistance of %.3g ohm: the inductance takes "
                      "all of the drop; record at lower speeds too",
                      cold.value);
    else if (both && fabs(meter.value - cold.value) > DISAGREES * hypot(meter.u, cold.u))
        sw_motor_warn(motor, SW_WARN_METER_DOUBTFUL,
                      "the meter says %.4g ohm, the loaded run %.4g: the meter's leads, a poor "
                      "contact at the resistor, or a winding that was warm; the meter's is kept",
                      meter.value, cold.value);
    else if (both) {
        double weight = meter.u * meter.u / (meter.u * meter.u + cold.u * cold.u);
        double value = meter.value + weight * (cold.value - meter.value);
        motor->winding_resistance = sw_quantity_of(value, cold.u * sqrt(weight), "ohm");
    } else
        motor->winding_resistance = cold;
}

void sw_loaded_tell(const sw_loaded_result *result, sw_quantity temperature_degc, sw_motor *motor) {
    sw_quantity meter = motor->winding_resistance;
    const sw_load_alone *wrong =
        sw_quantity_known(meter) && meter.u > 0 ? suspect(result, meter, temperature_degc) : NULL;
    sw_motor_unwarn(motor, SW_WARN_LOAD_DOUBTFUL); /* of an earlier look at the same runs */
    if (wrong != NULL) {
        doubt_load(wrong, meter, temperature_degc, motor);
        return;
    }
    tell_resistance(meter, at_20(result->resistance, temperature_degc), motor);
    if (sw_quantity_known(result->inductance))
        motor->winding_inductance = result->inductance;
    if (result->saturation > 0)
        sw_motor_warn(
            motor, SW_WARN_SATURATING,
            "under load the flux linkage falls, by %.0f %% at %.2g A: the iron saturates, "
            "so that the volts under load stay below what R and L say",
            100 * result->saturation, result->current_a);
}
