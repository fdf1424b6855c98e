/* J dw/dt = T_rotor(w) - T_load(w), so the time from rest to a speed is the integral of
 * J / (T_rotor - T_load) over the speed: one quadrature, no steps in time. The net torque is
 * positive up to the first stable balance, which is where a rotor from rest settles; it vanishes
 * there, and the last bit of speed takes for ever, so the count ends at 0.95 of it. J holds the
 * rotor and, through the ratio squared, the turning parts of the motors. The load bends at the
 * speed where current begins to flow: the quadrature is told that point. What has to be broken
 * loose (cogging, sticking) decides whether it starts, not how long it takes: over a turn cogging
 * pushes as much as it holds. The wind is steady; in gusts it takes longer. */
#include "src/match/spin_up.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <math.h>

enum { INTERVALS = 200 };

static const double WINDS[SW_SPIN_UPS] = {5, 8};

/* The generator's table is linear between its points: finer asks for a kink at each of them. */
static const double RELATIVE = 1e-3;

/* Inertia at the rotor's shaft: stated, or of the vanes' mass at their arm, and the motors' through
 * the drive; NaN = not known. */
static double inertia_of(const sw_plant *plant, bool *from_vanes) {
    const sw_rotor *rotor = plant->rotor;
    bool stated = sw_quantity_known(rotor->inertia);
    double kg_m2 = stated
                       ? rotor->inertia.value
                       : rotor->vanes * rotor->vane_mass_kg * rotor->vane_arm_m * rotor->vane_arm_m;
    *from_vanes = !stated;
    if (!(kg_m2 > 0))
        return NAN;
    /* J_rotor + N J_motor ratio^2 */
    if (sw_quantity_known(plant->motor->inertia))
        kg_m2 += plant->drive.wheels * plant->motor->inertia.value * plant->drive.ratio *
                 plant->drive.ratio;
    return kg_m2;
}

typedef struct course {
    const sw_plant *plant;
    double wind_m_s;
} course;

/* One over the net torque. */
static double slowness(double speed_rad_s, void *context) {
    const course *it = context;
    const sw_plant *plant = it->plant;
    double driving_nm = plant->power_factor *
                        sw_rotor_torque_nm(plant->rotor, plant->density, it->wind_m_s, speed_rad_s);
    return 1 / (driving_nm - sw_plant_load_nm(plant, speed_rad_s));
}

/* Seconds for each kg m2 from rest to a speed; NaN when the integral does not settle. */
static double slowness_to(const sw_plant *plant, double wind_m_s, double to_rad_s) {
    course it = {plant, wind_m_s};
    gsl_function integrand = {slowness, &it};
    double cut_in_rpm = sw_generator_cut_in_rpm(plant->generator) / plant->constant_factor;
    double cut_in = sw_drive_rotor_rad_s(&plant->drive, cut_in_rpm);
    bool bends = cut_in > 0 && cut_in < to_rad_s;
    double points[3] = {0, bends ? cut_in : to_rad_s, to_rad_s};
    double seconds = NAN;
    double error = 0;
    gsl_integration_workspace *workspace = gsl_integration_workspace_alloc(INTERVALS);
    if (workspace == NULL)
        return NAN;
    int status = gsl_integration_qagp(&integrand, points, bends ? 3 : 2, 0, RELATIVE, INTERVALS,
                                      workspace, &seconds, &error);
    gsl_integration_workspace_free(workspace);
    return status == GSL_SUCCESS && seconds > 0 ? seconds : NAN;
}

sw_spin_up sw_spin_up_in(const sw_plant *plant, double inertia_kg_m2, double wind_m_s) {
    sw_spin_up spin_up = {.wind_m_s = wind_m_s, .seconds = NAN};
    double settled_rad_s = sw_plant_settle(plant, wind_m_s, 0).from_rest_rad_s;
    spin_up.starts = settled_rad_s > 0;
    if (!spin_up.starts)
        return spin_up;
    gsl_error_handler_t *handler = gsl_set_error_handler_off();
    spin_up.seconds = inertia_kg_m2 * slowness_to(plant, wind_m_s, SW_SPUN_UP * settled_rad_s);
    gsl_set_error_handler(handler);
    return spin_up;
}

sw_spin_ups sw_spin_ups_of(const sw_plant *plant) {
    sw_spin_ups spin_ups = {.known = false};
    spin_ups.inertia_kg_m2 = inertia_of(plant, &spin_ups.from_vanes);
    spin_ups.known = isfinite(spin_ups.inertia_kg_m2);
    for (size_t i = 0; i < SW_SPIN_UPS && spin_ups.known; i++)
        spin_ups.row[i] = sw_spin_up_in(plant, spin_ups.inertia_kg_m2, WINDS[i]);
    return spin_ups;
}
