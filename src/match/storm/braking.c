/* A shorted winding holds best where its reactance equals its resistance and worse above. More
 * resistance moves that peak up without lowering it, so a resistor in each wire brakes a fast
 * rotor, and the short takes over where the two curves cross: at the geometric mean of the two
 * peaks' speeds, as T is alike where w^2 L^2 = R1 R2. */
#include "src/match/storm/braking.h"

#include "shared/constants.h"

#include <math.h>

enum { SAMPLES = 200 };

static double grip_of(const sw_storm *storm) {
    return isnan(storm->grip_rotor_nm) ? INFINITY : storm->grip_rotor_nm;
}

static double most_nm(const sw_storm *storm, const sw_plant *plant, double rotor_rad_s) {
    double most = 0;
    for (int i = 1; i <= SAMPLES; i++)
        most = fmax(most, sw_brake_at_rotor_nm(&storm->brake, plant, storm->grip_rotor_nm,
                                               rotor_rad_s * i / SAMPLES));
    return most;
}

static sw_brake_stop_request request_of(const sw_storm *storm, const sw_plant *plant, size_t row,
                                        const sw_braking *braking) {
    double runaway = storm->row[row].rotor_rad_s;
    return (sw_brake_stop_request){.plant = plant,
                                   .brake = &storm->brake,
                                   .wind_m_s = storm->row[row].wind_m_s,
                                   .from_rad_s = runaway,
                                   .crawl_rad_s = SW_STORM_CRAWL * runaway,
                                   .inertia_kg_m2 = braking->inertia_kg_m2,
                                   .copper_kg = braking->copper_kg,
                                   .grip_nm = grip_of(storm)};
}

/* A resistor from the runaway speed to where the short is better, then the short. */
static void try_resistor(const sw_storm *storm, const sw_plant *plant, sw_braking *braking) {
    double runaway_rpm = storm->row[storm->site_row].generator_rpm;
    double ohm = sw_brake_resistor_ohm(&storm->brake, runaway_rpm);
    if (!(ohm > 0) || braking->row[storm->site_row].stops)
        return;
    sw_brake through = sw_brake_through(&storm->brake, ohm);
    sw_brake_stop_request request = request_of(storm, plant, storm->site_row, braking);
    double crawl = request.crawl_rad_s;
    double share = storm->brake.phase_ohm / through.phase_ohm;
    request.brake = &through;
    request.crawl_rad_s = fmax(
        crawl, sw_drive_rotor_rad_s(&plant->drive, sqrt(storm->brake.peak_rpm * through.peak_rpm)));
    sw_brake_stop first = sw_brake_stop_of(&request);
    request.brake = &storm->brake;
    request.from_rad_s = first.end_rad_s;
    request.crawl_rad_s = crawl;
    sw_brake_stop then = sw_brake_stop_of(&request);
    braking->resistor_helps = then.stops;
    braking->resistor_ohm = ohm;
    braking->resistor_w = (1 - share) * sw_brake_heat_w(&through, runaway_rpm);
    braking->both_s = first.seconds + then.seconds;
    braking->both_rise_k = share * first.rise_k + then.rise_k;
}

sw_braking sw_braking_of(const sw_storm *storm, const sw_plant *plant, double motor_kg) {
    sw_braking braking = {.known = storm->brake.known};
    if (!braking.known)
        return braking;
    braking.inertia_kg_m2 = sw_rotor_inertia_or_guess(plant->rotor, &braking.inertia_guessed);
    braking.copper_kg = sw_motor_copper_or_guess(plant->motor, motor_kg, &braking.copper_guessed);
    if (sw_quantity_known(plant->motor->inertia))
        braking.inertia_kg_m2 += plant->drive.wheels * plant->motor->inertia.value *
                                 plant->drive.ratio * plant->drive.ratio;
    for (size_t i = 0; i < SW_STORM_ROWS; i++) {
        sw_brake_stop_request request = request_of(storm, plant, i, &braking);
        braking.row[i] = sw_brake_stop_of(&request);
        braking.short_nm[i] = most_nm(storm, plant, storm->row[i].rotor_rad_s);
    }
    for (size_t i = 0; i < SW_STORM_ROWS && braking.row[i].stops; i++)
        braking.least_wind_stopped = storm->row[i].wind_m_s;
    try_resistor(storm, plant, &braking);
    return braking;
}
