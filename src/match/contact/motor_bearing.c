/* The contact force N and the drive force F stand at right angles on the wheel: their sum hangs on
 * the shaft at an overhang a outside two bearings b apart, so the nearest one bears (1 + a/b) times
 * as much. Over a year the loads add up as turns times load cubed (Palmgren and Miner), which is
 * how ISO 281's life L10 = (C/P)^3 million turns is used when the load changes. Run-out, shock,
 * water and lost grease are not in it: a bearing in the rain fails sooner. */
#include "src/match/contact/motor_bearing.h"

#include "shared/constants.h"

#include <math.h>

/* Of a small motor with a wheel on its shaft's end: common practice, no source. */
static const double OVERHANG_MM = 35;
static const double DISTANCE_MM = 60;

static const char *const USUAL[SW_BEARING_ROWS] = {"608", "6201", "6203"};

double sw_bearing_nearest_n(double force_n, double overhang_mm, double distance_mm) {
    return force_n * (1 + overhang_mm / distance_mm);
}

/* Torque of one machine at its shaft, drag included. */
static double machine_nm(const sw_plant *plant, double rotor_rad_s) {
    double speed_rpm = sw_plant_generator_rpm(plant, rotor_rad_s);
    double all_nm = sw_plant_at(plant, SW_GENERATOR_TORQUE, rotor_rad_s);
    return all_nm / plant->drive.wheels +
           plant->drag_factor * sw_motor_drag_nm(plant->motor, speed_rpm);
}

static double wheel_n(const sw_plant *plant, double rotor_rad_s) {
    double torque_nm = machine_nm(plant, rotor_rad_s);
    double contact_n = sw_drive_contact_n(&plant->drive, plant->drive.wheels * torque_nm);
    double drive_n =
        (torque_nm + 1e-3 * plant->drive.rolling_mm * contact_n) / (0.5e-3 * plant->drive.wheel_mm);
    return hypot(contact_n, drive_n);
}

/* Millions of turns a year times the cubed load on the nearest bearing. */
static double wear_of(const sw_bearing_request *request, const sw_bearing_load *load) {
    const sw_power_curve *curve = request->curve;
    double mturns_n3 = 0;
    for (size_t i = 1; i < curve->count; i++) {
        double speed = 0.5 * (curve->point[i - 1].started_rad_s + curve->point[i].started_rad_s);
        double hours =
            sw_site_hours(request->site, curve->point[i - 1].wind_m_s, curve->point[i].wind_m_s, 1);
        if (!(speed > 0))
            continue;
        double mturns = 1e-6 * 60 * hours * sw_plant_generator_rpm(request->plant, speed);
        double nearest = sw_bearing_nearest_n(wheel_n(request->plant, speed), load->overhang_mm,
                                              load->distance_mm);
        mturns_n3 += mturns * pow(nearest, 3);
    }
    return mturns_n3;
}

static sw_status add_row(const sw_bearing_request *request, const char *name, double mturns_n3,
                         sw_bearing_load *load, sw_error *error) {
    sw_bearing_row *row = &load->row[load->rows];
    sw_status status = sw_bearing_find(request->reference_dir, name, &row->bearing, error);
    if (status != SW_OK)
        return status;
    row->years = mturns_n3 > 0 ? pow(row->bearing.dynamic_n, 3) / mturns_n3 : INFINITY;
    load->rows++;
    return SW_OK;
}

sw_status sw_bearing_load_of(const sw_bearing_request *request, sw_bearing_load *load,
                             sw_error *error) {
    const sw_carriage *carriage = &request->plant->rotor->carriage;
    double working = sw_plant_settle(request->plant, request->working_wind, 0).running_rad_s;
    *load = (sw_bearing_load){0};
    load->overhang_guessed = isnan(carriage->overhang_mm);
    load->overhang_mm = load->overhang_guessed ? OVERHANG_MM : carriage->overhang_mm;
    load->distance_mm =
        isnan(carriage->bearing_distance_mm) ? DISTANCE_MM : carriage->bearing_distance_mm;
    load->wheel_n = wheel_n(request->plant, working);
    load->nearest_n = sw_bearing_nearest_n(load->wheel_n, load->overhang_mm, load->distance_mm);
    load->stated = carriage->bearing[0] != '\0';
    double mturns_n3 = wear_of(request, load);
    if (load->stated)
        return add_row(request, carriage->bearing, mturns_n3, load, error);
    sw_status status = SW_OK;
    for (size_t i = 0; status == SW_OK && i < SW_BEARING_ROWS; i++)
        status = add_row(request, USUAL[i], mturns_n3, load, error);
    return status;
}
