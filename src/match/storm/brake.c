/* Shorting the AC side. A phase with EMF flux w and impedance R + j w L carries a current of
 * amplitude flux w / |Z|, and all its power is heat in R:
 *   T = (m/2) p flux^2 w R / (R^2 + (w L)^2),  w the electrical angular frequency,
 * which peaks at w L = R with (m/4) p flux^2 / L: 0.75 p flux^2 / L for m = 3 phases (any text on
 * synchronous machines; the steady three-phase short circuit). All values are of the equivalent
 * star phase; the steady torque of a shorted star and of the same coils in delta differ only
 * through EMF and impedance at the terminals. */
#include "src/match/storm/storm.h"

#include "shared/constants.h"

#include <math.h>

double sw_connection_factor(sw_connection measured, sw_connection used) {
    if (used == SW_AS_IT_COMES || measured == SW_AS_IT_COMES || used == measured)
        return 1;
    return used == SW_DELTA ? 1 / sqrt(3.0) : sqrt(3.0);
}

static bool all_known(const sw_motor *motor) {
    return motor->kind == SW_MAGNET_AC && motor->pole_pairs.value > 0 &&
           sw_quantity_known(motor->voltage_constant) &&
           sw_quantity_known(motor->winding_resistance);
}

/* Peak flux linkage of a phase from the rms line-to-line constant: the line is sqrt(3) phases of a
 * three-phase star, the winding itself otherwise. */
static double flux_of(const sw_motor *motor, double factor) {
    double electrical_per_rpm = motor->pole_pairs.value / SW_RPM_PER_RAD_S;
    double peak_line = sqrt(2.0) * motor->voltage_constant.value * factor / electrical_per_rpm;
    return motor->phases == 3 ? peak_line / sqrt(3.0) : peak_line;
}

/* A brushed motor shorted: T = k^2 w / R, as the formula above with one pole pair, no reactance and
 * the constant k in V s/rad for the flux. The commutator keeps its inductance out of it. */
static sw_brake brushed_of(const sw_motor *motor) {
    sw_brake brake = {.peak_nm = INFINITY, .peak_rpm = INFINITY, .transient_a = NAN};
    if (!sw_quantity_known(motor->voltage_constant) ||
        !sw_quantity_known(motor->winding_resistance))
        return brake;
    brake.known = true;
    brake.inductance_known = true;
    brake.phases_factor = 1;
    brake.pole_pairs = 1;
    brake.flux_wb = motor->voltage_constant.value * SW_RPM_PER_RAD_S;
    brake.phase_ohm = motor->winding_resistance.value;
    return brake;
}

sw_brake sw_brake_of(const sw_motor *motor, sw_connection connection) {
    sw_brake brake = {.peak_nm = INFINITY, .peak_rpm = INFINITY, .transient_a = NAN};
    if (motor->kind == SW_BRUSHED)
        return brushed_of(motor);
    if (!all_known(motor))
        return brake;
    double factor = sw_connection_factor(motor->connection, connection);
    double share = motor->phases == 3 ? 0.5 : 1;
    int phases = motor->phases == 0 ? 1 : motor->phases;
    brake.known = true;
    brake.inductance_known = sw_quantity_known(motor->winding_inductance);
    brake.phases_factor = 0.5 * phases;
    brake.pole_pairs = motor->pole_pairs.value;
    brake.flux_wb = flux_of(motor, factor);
    brake.phase_ohm = share * factor * factor * motor->winding_resistance.value;
    if (!brake.inductance_known || motor->winding_inductance.value <= 0)
        return brake;
    brake.phase_h = 1e-3 * share * factor * factor * motor->winding_inductance.value;
    brake.peak_nm = 0.5 * brake.phases_factor * brake.pole_pairs * brake.flux_wb * brake.flux_wb /
                    brake.phase_h;
    brake.peak_rpm = brake.phase_ohm / brake.phase_h / brake.pole_pairs * SW_RPM_PER_RAD_S;
    brake.transient_a = 2 * brake.flux_wb / brake.phase_h;
    return brake;
}

double sw_brake_nm(const sw_brake *brake, double speed_rpm) {
    if (!brake->known || speed_rpm <= 0)
        return 0;
    double w = speed_rpm / SW_RPM_PER_RAD_S * brake->pole_pairs;
    double reactance = w * brake->phase_h;
    return brake->phases_factor * brake->pole_pairs * brake->flux_wb * brake->flux_wb * w *
           brake->phase_ohm / (brake->phase_ohm * brake->phase_ohm + reactance * reactance);
}

double sw_brake_at_rotor_nm(const sw_brake *brake, const sw_plant *plant, double grip_nm,
                            double rotor_rad_s) {
    double speed_rpm = sw_plant_generator_rpm(plant, rotor_rad_s);
    double braked_nm = plant->drive.wheels * sw_brake_nm(brake, speed_rpm);
    double short_nm = sw_drive_rotor_torque_nm(&plant->drive, braked_nm) -
                      sw_drive_rotor_torque_nm(&plant->drive, 0);
    return isnan(grip_nm) ? short_nm : fmin(short_nm, grip_nm);
}

double sw_brake_heat_w(const sw_brake *brake, double speed_rpm) {
    return sw_brake_nm(brake, speed_rpm) * speed_rpm / SW_RPM_PER_RAD_S;
}
