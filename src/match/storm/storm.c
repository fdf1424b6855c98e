#include "src/match/storm/storm.h"

#include "src/match/contact/grip.h"

#include <math.h>
#include <stdlib.h>

const double SW_STORM_CRAWL = 0.2;

typedef struct braked {
    const sw_plant *plant;
    const sw_brake *brake;
    double grip_nm;
} braked;

static double braked_nm(const void *context, double speed_rad_s) {
    const braked *it = context;
    return sw_plant_idle_nm(it->plant, speed_rad_s) +
           sw_brake_at_rotor_nm(it->brake, it->plant, it->grip_nm, speed_rad_s);
}

/* Crest of the wave over the rms of its fundamental; a sine's when the shape is not known. */
static double crest_of(const sw_motor *motor) {
    const sw_quantity *peak = &motor->constants.peak_line_v_per_krpm;
    if (!sw_quantity_known(*peak) || !sw_quantity_known(motor->voltage_constant))
        return sqrt(2.0);
    return peak->value / 1000 / motor->voltage_constant.value;
}

static void open_volts(const sw_storm_request *request, sw_storm_row *row) {
    const sw_motor *motor = request->plant->motor;
    if (!sw_quantity_known(motor->voltage_constant)) {
        row->ac_v = NAN;
        row->dc_v = NAN;
        return;
    }
    double factor = sw_connection_factor(motor->connection, request->connection);
    double volts = motor->voltage_constant.value * row->generator_rpm * factor;
    bool brushed = motor->kind == SW_BRUSHED;
    row->ac_v = brushed ? 0 : volts;
    row->dc_v = brushed ? volts : volts * crest_of(motor);
}

static void brake_row(const sw_plant *plant, const sw_storm *storm, sw_storm_row *row) {
    const sw_brake *brake = &storm->brake;
    braked it = {plant, brake, storm->grip_rotor_nm};
    double static_nm = sw_plant_static_nm(plant);
    sw_balance balance =
        sw_plant_settle_under(plant, row->wind_m_s, (sw_torque){braked_nm, &it}, static_nm, 600);
    double slowest = 0;
    for (size_t i = balance.roots; i-- > 0;)
        if (balance.root[i].stable)
            slowest = balance.root[i].speed_rad_s;
    row->brake_holds = slowest < SW_STORM_CRAWL * row->rotor_rad_s;
    row->brake_stops = balance.running_rad_s < SW_STORM_CRAWL * row->rotor_rad_s;
}

static double largest_torque(const sw_plant *plant, double wind_m_s) {
    double most = 0;
    double top = sw_rotor_no_load(plant->rotor, wind_m_s) * wind_m_s / plant->rotor->radius_m;
    for (int i = 0; i <= 200; i++)
        most =
            fmax(most, sw_rotor_torque_nm(plant->rotor, plant->density, wind_m_s, top * i / 200));
    return most;
}

static sw_storm_row row_of(const sw_storm_request *request, const sw_storm *storm,
                           double wind_m_s) {
    const sw_plant *plant = request->plant;
    sw_storm_row row = {.wind_m_s = wind_m_s};
    sw_balance balance = sw_plant_settle_idle(plant, wind_m_s);
    bool rim = isfinite(plant->rotor->rim_diameter_mm);
    row.rotor_rad_s = balance.running_rad_s;
    row.generator_rpm = sw_plant_generator_rpm(plant, row.rotor_rad_s);
    row.tip_m_s = row.rotor_rad_s * plant->rotor->radius_m;
    row.rim_m_s = rim ? row.rotor_rad_s * 0.5e-3 * plant->rotor->rim_diameter_mm : row.tip_m_s;
    open_volts(request, &row);
    row.rotor_peak_nm = largest_torque(plant, wind_m_s);
    if (storm->brake.known)
        brake_row(plant, storm, &row);
    return row;
}

static int rising(const void *a, const void *b) {
    double x = *(const double *)a;
    double y = *(const double *)b;
    return (x > y) - (x < y);
}

sw_storm sw_storm_of(const sw_storm_request *request) {
    const sw_plant *plant = request->plant;
    sw_storm storm = {.brake = sw_brake_of(plant->motor, request->connection)};
    storm.grip_rotor_nm = plant->drive.kind->pressed
                              ? plant->drive.wheels * 0.5e-3 * plant->drive.driver_mm *
                                    sw_grip_force_n(plant->drive.contact_n, request->friction_wet,
                                                    plant->drive.arm_gain)
                              : NAN;
    double wind[SW_STORM_ROWS] = {20, 25, 30, request->storm_wind};
    qsort(wind, SW_STORM_ROWS, sizeof *wind, rising);
    for (size_t i = 0; i < SW_STORM_ROWS; i++) {
        storm.row[i] = row_of(request, &storm, wind[i]);
        if (wind[i] == request->storm_wind)
            storm.site_row = i;
    }
    const sw_storm_row *worst = &storm.row[storm.site_row];
    const sw_quantity *inertia = &plant->rotor->inertia;
    const sw_quantity *limit = &plant->motor->limit_speed;
    storm.rotor_peak_nm = worst->rotor_peak_nm;
    storm.turning_energy_j = sw_quantity_known(*inertia)
                                 ? 0.5 * inertia->value * worst->rotor_rad_s * worst->rotor_rad_s
                                 : NAN;
    storm.limit_passed = sw_quantity_known(*limit) && worst->generator_rpm > limit->value;
    return storm;
}
