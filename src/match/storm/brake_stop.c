/* J dw/dt = rotor torque - braking torque, in a wind that goes on blowing, from the runaway speed
 * down. Speed is stepped, not time: each step takes a hundredth of the speed off and lasts
 * J dw / (net torque), so a stop is a few hundred steps, slow or fast. Where the net torque
 * vanishes the rotor turns on at that speed. The short's power is heat in the copper; in seconds
 * none of it gets out, so the rise is an upper bound: heat / (m c). The rotor's energy alone is a
 * lower bound of the heat. */
#include "src/match/storm/brake_stop.h"

#include "shared/constants.h"
#include "src/match/heat/winding_heat.h"

#include <math.h>

/* Specific heat of copper, J/(kg K), at room temperature (any table of materials). */
static const double COPPER_J_KG_K = 385;

/* A frame of pipe and sheet: mass a square metre of swept area, and the radius, over the tip's, at
 * which it acts. Common practice, no source; right to a factor of two. */
static const double FRAME_KG_M2 = 10;
static const double FRAME_RADIUS = 0.7;

/* Copper of a small motor over its whole mass: common practice, no source. */
static const double COPPER_SHARE = 0.12;

static const double SPEED_STEP = 0.01;
static const double LONGEST_S = 600;

double sw_rotor_inertia_or_guess(const sw_rotor *rotor, bool *guessed) {
    double radius_m = FRAME_RADIUS * rotor->radius_m;
    *guessed = !sw_quantity_known(rotor->inertia);
    if (!*guessed)
        return rotor->inertia.value;
    if (rotor->vanes > 0 && isfinite(rotor->vane_mass_kg) && isfinite(rotor->vane_arm_m))
        return rotor->vanes * rotor->vane_mass_kg * rotor->vane_arm_m * rotor->vane_arm_m;
    return FRAME_KG_M2 * rotor->swept_area_m2 * radius_m * radius_m;
}

double sw_motor_copper_or_guess(const sw_motor *motor, double motor_kg, bool *guessed) {
    double weight_kg = sw_motor_weight_kg(motor);
    *guessed = !sw_quantity_known(motor->copper_mass);
    if (!*guessed)
        return motor->copper_mass.value;
    return COPPER_SHARE * (isnan(weight_kg) ? motor_kg : weight_kg);
}

double sw_brake_resistor_ohm(const sw_brake *brake, double speed_rpm) {
    double reactance = speed_rpm / SW_RPM_PER_RAD_S * brake->pole_pairs * brake->phase_h;
    return fmax(0, reactance - brake->phase_ohm);
}

sw_brake sw_brake_through(const sw_brake *brake, double ohm) {
    sw_brake through = *brake;
    through.phase_ohm += ohm;
    if (brake->phase_h > 0)
        through.peak_rpm =
            through.phase_ohm / through.phase_h / through.pole_pairs * SW_RPM_PER_RAD_S;
    return through;
}

/* What holds the rotor back at its shaft: the short through the drive as far as that grips, and
 * what turns along anyway. */
static double held_nm(const sw_brake_stop_request *request, double rotor_rad_s) {
    const sw_plant *plant = request->plant;
    return sw_brake_at_rotor_nm(request->brake, plant, request->grip_nm, rotor_rad_s) +
           sw_plant_idle_nm(plant, rotor_rad_s);
}

static double net_nm(const sw_brake_stop_request *request, double rotor_rad_s) {
    const sw_plant *plant = request->plant;
    return held_nm(request, rotor_rad_s) -
           sw_rotor_torque_nm(plant->rotor, plant->density, request->wind_m_s, rotor_rad_s);
}

/* Heat a second of one machine: not more than the drive passes on. */
static double winding_w(const sw_brake_stop_request *request, double rotor_rad_s) {
    const sw_plant *plant = request->plant;
    double speed_rpm = sw_plant_generator_rpm(plant, rotor_rad_s);
    return fmin(sw_brake_heat_w(request->brake, speed_rpm),
                request->grip_nm * rotor_rad_s / plant->drive.wheels);
}

sw_brake_stop sw_brake_stop_of(const sw_brake_stop_request *request) {
    sw_brake_stop stop = {.end_rad_s = request->from_rad_s};
    double heat_capacity = request->copper_kg * COPPER_J_KG_K;
    while (stop.end_rad_s > request->crawl_rad_s && stop.seconds < LONGEST_S) {
        double speed = stop.end_rad_s * (1 - 0.5 * SPEED_STEP);
        double slowing_nm = net_nm(request, speed);
        if (!(slowing_nm > 0))
            break;
        double seconds = request->inertia_kg_m2 * SPEED_STEP * stop.end_rad_s / slowing_nm;
        stop.seconds += seconds;
        stop.winding_j += seconds * winding_w(request, speed);
        stop.end_rad_s *= 1 - SPEED_STEP;
    }
    stop.stops = stop.end_rad_s <= request->crawl_rad_s;
    stop.rise_k = stop.winding_j / heat_capacity;
    stop.steady_k_min = 60 * winding_w(request, stop.end_rad_s) / heat_capacity;
    return stop;
}
