/* The contact force of a pressed wheel depends on the torque in the hardest working wind, that
 * torque on the speed, and the speed a little on the force: a few rounds settle it. Where the force
 * would be more than rim and bearing bear, the wheel works only up to the wind that the allowed
 * force holds, and nothing counts above. */
#include "src/match/search/choice.h"

#include <math.h>

enum { COARSE_STEPS = 72, TORQUE_SAMPLES = 48, SKETCHED_TRACK = 6 };

const sw_choice_grid SW_GRID_SKETCH = {true, 1.0, 40, 2, 4};
const sw_choice_grid SW_GRID_COARSE = {false, 0.5, COARSE_STEPS, 3, 7};
const sw_choice_grid SW_GRID_FINE = {false, 0.2, 0, 3, 7};

/* A wheel must hold up to this many times the mean wind, else it is no drive. */
static const double LEAST_GRIP_WIND = 1.5;

/* Largest torque at all generators' shafts up to a speed: it need not rise with speed. */
static double largest_nm(const sw_plant *plant, double speed_rpm) {
    double most = 0;
    for (int i = 1; i <= TORQUE_SAMPLES; i++) {
        double at_rpm = speed_rpm * i / TORQUE_SAMPLES;
        double rotor_rad_s = sw_drive_rotor_rad_s(&plant->drive, at_rpm);
        double torque = sw_plant_at(plant, SW_GENERATOR_TORQUE, rotor_rad_s) +
                        plant->drive.wheels * sw_motor_drag_nm(plant->motor, at_rpm);
        most = fmax(most, torque);
    }
    return most;
}

static double cogging_nm(const sw_motor *motor) {
    return sw_quantity_known(motor->cogging_torque) ? motor->cogging_torque.value : 0;
}

static sw_press press_for(const sw_search_request *request, const sw_choice_grid *grid, double wind,
                          sw_plant *plant) {
    size_t steps = grid->sketch ? grid->balance_steps : COARSE_STEPS;
    sw_press press = {0};
    const sw_surface *surface = sw_shop_surface(request->shop, plant->drive.wheel_mm);
    plant->drive.contact_n = 0;
    for (int i = 0; i < grid->press_rounds && isfinite(plant->drive.contact_n); i++) {
        double rotor_rad_s = sw_plant_settle(plant, wind, steps).running_rad_s;
        double torque_nm =
            largest_nm(plant, sw_plant_generator_rpm(plant, rotor_rad_s)) / plant->drive.wheels;
        sw_press_request asked = {.torque_nm = fmax(torque_nm, cogging_nm(request->motor)),
                                  .wheel_mm = plant->drive.wheel_mm,
                                  .rolling_mm = plant->drive.rolling_mm,
                                  .friction = sw_range_middle(surface->wet),
                                  .safety = request->rim.safety,
                                  .run_out_mm = request->rim.run_out_mm,
                                  .moving_kg = request->rim.moving_kg,
                                  .rotor_rad_s = rotor_rad_s,
                                  .lumps = request->rim.lumps,
                                  .spring_n_mm = request->rim.spring_n_mm,
                                  .tyre_n_mm = isnan(request->rim.tyre_n_mm)
                                                   ? sw_range_middle(surface->stiffness_n_mm)
                                                   : request->rim.tyre_n_mm,
                                  .arm_gain = request->rim.arm_gain};
        press = sw_press_of(&asked);
        plant->drive.contact_n = press.mean_n;
    }
    return press;
}

static void press_wheel(const sw_search_request *request, const sw_choice_grid *grid,
                        sw_plant *plant, sw_choice *choice) {
    double high = choice->working_wind;
    double low = LEAST_GRIP_WIND * request->site->mean_wind.value;
    choice->press = press_for(request, grid, high, plant);
    if (choice->press.mean_n <= request->rim.most_n || low >= high)
        return;
    for (int i = 0; i < grid->grip_rounds; i++) {
        double middle = 0.5 * (low + high);
        if (press_for(request, grid, middle, plant).mean_n <= request->rim.most_n)
            low = middle;
        else
            high = middle;
    }
    choice->press = press_for(request, grid, low, plant);
    choice->working_wind = low;
    choice->top_wind = low;
}

/* Volts that meet a converter which stops drawing, in the hardest wind that may turn the rotor. One
 * wind for all: a motor without load pulls so little that hardly a wheel slips, so that grip, which
 * may end sooner under load and in the wet, keeps no volts away. */
static bool too_many_volts(const sw_search_request *request, const sw_plant *plant,
                           const sw_electrical *electrical, double wind) {
    double volts = 0;
    const sw_load *load = &electrical->load;
    if (load->kind != SW_LOAD_CONVERTER || !isfinite(load->input_max_v))
        return false;
    double idle = sw_plant_settle_idle(plant, wind).running_rad_s;
    sw_deliver_load seen = sw_load_electrical(load);
    return sw_deliver_open_volts(request->motor, &electrical->wiring, &seen,
                                 sw_plant_generator_rpm(plant, idle), &volts, NULL) == SW_OK &&
           volts > load->input_max_v;
}

/* A limit that somebody stated counts for more than the estimate from the motor's size, which is
 * wide: only what no such motor sheds is ruled out, the rest is cautioned about. */
static bool too_hot(const sw_motor *motor, const sw_winding_heat *heat, const sw_choice *choice) {
    return !sw_quantity_known(motor->limit_current) && heat->known &&
           choice->working_heat_w > heat->high_w;
}

static sw_rejection judge(const sw_search_request *request, const sw_search *search,
                          const sw_plant *plant, const sw_electrical *electrical,
                          const sw_choice *choice) {
    const sw_motor *motor = request->motor;
    if (!(choice->running_kwh > 0))
        return SW_REJECTED_NO_POWER;
    if (choice->drive.kind->pressed && choice->press.mean_n > request->rim.most_n)
        return SW_REJECTED_GRIP;
    if (sw_quantity_known(motor->limit_current) &&
        choice->working_winding_amps > motor->limit_current.value)
        return SW_REJECTED_CURRENT;
    if (too_hot(motor, &search->heat, choice))
        return SW_REJECTED_HEAT;
    if (sw_quantity_known(motor->limit_speed) && choice->working_rpm > motor->limit_speed.value)
        return SW_REJECTED_SPEED;
    if (request->start_by > 0 && choice->start_wind > request->start_by)
        return SW_REJECTED_START;
    return too_many_volts(request, plant, electrical, search->lost_wind) ? SW_REJECTED_VOLTS
                                                                         : SW_REJECTED_NOT;
}

static void note_working(const sw_search *search, const sw_plant *plant, const sw_choice_grid *grid,
                         sw_choice *choice) {
    size_t steps = grid->sketch ? grid->balance_steps : COARSE_STEPS;
    double speed = sw_plant_settle(plant, choice->working_wind, steps).running_rad_s;
    choice->working_rpm = sw_plant_generator_rpm(plant, speed);
    choice->working_winding_amps = sw_plant_at(plant, SW_GENERATOR_WINDING_AMPS, speed);
    choice->working_heat_w = sw_winding_hot_w(
        &search->heat, sw_plant_at(plant, SW_GENERATOR_COPPER, speed), plant->drive.wheels);
}

static void note_year(const sw_search_request *request, const sw_choice_grid *grid,
                      const sw_plant *plant, sw_choice *choice) {
    sw_power_curve curve;
    (grid->sketch ? sw_power_curve_sketch : sw_power_curve_make)(
        plant, choice->top_wind, grid->wind_step, grid->balance_steps, &curve);
    choice->start_wind = curve.start_wind;
    choice->cut_in_wind = curve.cut_in_wind;
    choice->started_kwh = sw_year_started_kwh(&curve, request->site, 1);
    choice->running_kwh = sw_year_running_kwh(&curve, request->site, 1);
}

sw_choice sw_choice_of(const sw_search_request *request, const sw_search *search, size_t electrical,
                       sw_gear gear) {
    sw_choice choice = {
        .electrical = electrical, .gear = gear, .start_wind = INFINITY, .cut_in_wind = INFINITY};
    choice.drive =
        sw_drive_of(sw_drive_kind_of(gear.drive), sw_shop_surface(request->shop, gear.wheel_mm),
                    gear.driver_mm, gear.wheel_mm);
    choice.drive.wheels = search->electrical[electrical].wiring.machines;
    if (choice.drive.wheels < 1)
        choice.drive.wheels = 1;
    if (choice.drive.kind->pressed)
        choice.drive.arm_gain = request->rim.arm_gain;
    return choice;
}

void sw_choice_evaluate(const sw_search_request *request, const sw_search *search,
                        const sw_choice_grid *grid, sw_choice *choice) {
    const sw_electrical *electrical = &search->electrical[choice->electrical];
    sw_plant plant = sw_plant_of(request->rotor, request->motor, electrical->generator,
                                 choice->drive, request->site->density);
    choice->working_wind = search->working_wind;
    choice->top_wind = search->top_wind;
    sw_plant_track(&plant, choice->top_wind, SKETCHED_TRACK);
    if (choice->drive.kind->pressed)
        press_wheel(request, grid, &plant, choice);
    choice->drive = plant.drive;
    choice->rejection = SW_REJECTED_GRIP;
    if (!isfinite(plant.drive.contact_n))
        return;
    if (!grid->sketch)
        sw_plant_track(&plant, choice->top_wind, SW_TRACK_POINTS - 1);
    note_year(request, grid, &plant, choice);
    note_working(search, &plant, grid, choice);
    choice->rejection = judge(request, search, &plant, electrical, choice);
}
