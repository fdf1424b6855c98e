/* The largest torque on the way up to the speed of that wind counts, as when the spring was
 * chosen. On an arm the contact force is N = N0 + gain F, so F <= mu N holds from
 * mu = F / (N0 + gain F) on. */
#include "src/match/search/slip.h"

#include <math.h>

enum { SAMPLES = 24, STEPS = 40 };

static double largest_nm(const sw_plant *plant, double rotor_rad_s) {
    double most = sw_quantity_known(plant->motor->cogging_torque)
                      ? plant->drag_factor * plant->motor->cogging_torque.value
                      : 0;
    for (int i = 1; i <= SAMPLES; i++) {
        double at_rad_s = rotor_rad_s * i / SAMPLES;
        double drag_nm = plant->drag_factor *
                         sw_motor_drag_nm(plant->motor, sw_plant_generator_rpm(plant, at_rad_s));
        double generator_nm = sw_plant_at(plant, SW_GENERATOR_TORQUE, at_rad_s);
        most = fmax(most, generator_nm / plant->drive.wheels + drag_nm);
    }
    return most;
}

double sw_slip_friction(const sw_plant *plant, const sw_press *press, double working_wind) {
    const sw_drive *drive = &plant->drive;
    double rotor_rad_s = sw_plant_settle(plant, working_wind, STEPS).running_rad_s;
    double rolling_nm = 1e-3 * drive->rolling_mm * press->mean_n;
    double force_n = (largest_nm(plant, rotor_rad_s) + rolling_nm) / (0.5e-3 * drive->wheel_mm);
    double unloaded_n = press->least_n - drive->arm_gain * press->tangential_n;
    double contact_n = unloaded_n + drive->arm_gain * force_n;
    return contact_n > 0 ? force_n / contact_n : INFINITY;
}
