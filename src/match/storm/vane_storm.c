#include "src/match/storm/vane_storm.h"

sw_vane_storm sw_vane_storm_of(const sw_rotor *rotor, double density, double wind_m_s,
                               double rotor_rad_s) {
    return (sw_vane_storm){
        .wind_m_s = wind_m_s,
        .rotor_rad_s = rotor_rad_s,
        /* F = 1/2 rho v^2 Cd A */
        .wind_n = 0.5 * density * wind_m_s * wind_m_s * rotor->vane_force_area_m2,
        .parked_n = 0.5 * density * wind_m_s * wind_m_s * rotor->force_area_m2,
        /* F = m w^2 r */
        .pull_n = rotor->vane_mass_kg * rotor_rad_s * rotor_rad_s * rotor->vane_arm_m,
    };
}

sw_vane_storm sw_vane_storm_free(const sw_rotor *rotor, double density, double wind_m_s) {
    double rotor_rad_s = sw_rotor_no_load(rotor, wind_m_s) * wind_m_s / rotor->radius_m;
    return sw_vane_storm_of(rotor, density, wind_m_s, rotor_rad_s);
}
