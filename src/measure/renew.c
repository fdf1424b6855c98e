/* One recording measured a second time, with more known about it or with a better probe. It must
 * not count twice, so it takes the place of what it gave before. */
#include "src/measure/merge.h"

#include "src/measure/poles/recount.h"

#include <math.h>
#include <string.h>

static bool volts_known(const sw_motor *motor) {
    return sw_quantity_known(motor->volts_per_hertz) || sw_quantity_known(motor->voltage_constant);
}

/* What a look at the winding, the shaft or a meter said: no second look at the volts changes it. */
static bool is_of_the_bench(sw_warning_code code) {
    return code == SW_WARN_DRILL_ATTACHED || code == SW_WARN_DRAG_DOUBTFUL ||
           code == SW_WARN_SATURATING || code == SW_WARN_METER_DOUBTFUL ||
           code == SW_WARN_LOAD_DOUBTFUL;
}

static void renew_warnings(sw_motor *motor, const sw_motor *again) {
    size_t kept = 0;
    for (size_t i = 0; i < motor->warnings; i++)
        if (is_of_the_bench(motor->warning[i].code))
            motor->warning[kept++] = motor->warning[i];
    motor->warnings = kept;
    for (size_t i = 0; i < again->warnings; i++)
        if (!is_of_the_bench(again->warning[i].code))
            sw_motor_warn(motor, again->warning[i].code, "%s", again->warning[i].message);
}

static void take_if_known(sw_quantity *kept, sw_quantity now) {
    if (sw_quantity_known(now))
        *kept = now;
}

/* Phases, angle and balance come from the recording only where it has two channels. */
static void renew_phases(sw_motor *motor, const sw_motor *again) {
    if (again->phases > 0)
        motor->phases = again->phases;
    take_if_known(&motor->phase_angle, again->phase_angle);
    take_if_known(&motor->balance, again->balance);
}

static void renew_wave(sw_motor *motor, const sw_motor *again) {
    motor->kind = again->kind;
    motor->volts_per_hertz = again->volts_per_hertz;
    motor->voltage_constant = again->voltage_constant;
    motor->constants = again->constants;
    motor->electrical_frequency = again->electrical_frequency;
    motor->speed = again->speed;
    motor->stretch_from_s = again->stretch_from_s;
    motor->stretch_to_s = again->stretch_to_s;
    motor->harmonics_of_phase = again->harmonics_of_phase;
    motor->harmonics = again->harmonics;
    memcpy(motor->harmonic, again->harmonic, sizeof motor->harmonic);
    motor->form_factor = again->form_factor;
    motor->crest_factor = again->crest_factor;
    motor->distortion = again->distortion;
    motor->commutator_ripple = again->commutator_ripple;
    motor->budget = again->budget;
    renew_warnings(motor, again);
}

sw_status sw_motor_renew(sw_motor *motor, const sw_motor *again, sw_error *error) {
    sw_motor renewed = *motor;
    for (size_t i = 0; i < again->sources.count; i++) {
        sw_status status = sw_source_add(&renewed.sources, &again->sources.source[i], error);
        if (status != SW_OK)
            return status;
    }
    if (volts_known(again) || !volts_known(motor))
        renew_wave(&renewed, again);
    renew_phases(&renewed, again);
    bool told = again->pole_pairs.value > 0 || again->pole_pairs.candidates > 0;
    if (told && (again->pole_pairs.value > 0 || motor->pole_pairs.value == 0))
        sw_motor_set_poles(&renewed, &again->pole_pairs);
    else if (renewed.pole_pairs.value > 0)
        sw_motor_set_poles(&renewed, &motor->pole_pairs);
    if (again->magnet_ring.poles > 0)
        renewed.magnet_ring = again->magnet_ring;
    sw_recount_warn(&renewed);
    sw_motor_derive(&renewed);
    *motor = renewed;
    return SW_OK;
}
