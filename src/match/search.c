/* The search is exhaustive on what is discrete (wiring, rectifier, stock size), so that humps in
 * the yearly energy cannot mislead it; a golden section over the ratio, between the neighbours of
 * the best stock size, tells what a size made to measure would add.
 *
 * Energy counts from the starting wind. Running energy weighs in at a thousandth, which decides
 * among drives that never start by themselves. The contact force of a pressed wheel depends on the
 * torque in the hardest working wind, that torque on the speed, and the speed a little on the
 * force: three rounds settle it. Where the force would be more than rim and bearing bear, the wheel
 * works only up to the wind that the allowed force holds, and nothing counts above. */
#include "src/match/search.h"

#include "src/match/electrical.h"

#include <math.h>
#include <stdlib.h>

enum {
    COARSE_STEPS = 72,
    PRESS_ROUNDS = 3,
    TORQUE_SAMPLES = 48,
    GOLDEN_ROUNDS = 14,
    GRIP_ROUNDS = 7,
    FINALISTS = 5
};

static const double COARSE_WIND_STEP = 0.5;
static const double FINE_WIND_STEP = 0.2;
static const double RUNNING_WEIGHT = 1e-3;

/* A wheel must hold up to this many times the mean wind, else it is no drive. */
static const double LEAST_GRIP_WIND = 1.5;

/* A motor straight on the shaft wants the rotor rebuilt: where there is a rim to press a wheel on,
 * it must give so much more to be recommended. */
static const double DIRECT_WEIGHT = 0.75;

/* Winds that blow for less than this in a year do not set grip and heat. */
static const double WORKING_HOURS = 10;

static double objective(const sw_search *search, const sw_choice *choice) {
    bool handicap = search->rim && choice->gear.drive == SW_DRIVE_DIRECT;
    return (handicap ? DIRECT_WEIGHT : 1) *
           (choice->started_kwh + RUNNING_WEIGHT * choice->running_kwh);
}

/* Largest torque at all generators' shafts up to a speed: it need not rise with speed. */
static double largest_nm(const sw_plant *plant, double speed_rpm) {
    double most = 0;
    for (int i = 1; i <= TORQUE_SAMPLES; i++) {
        double at_rpm = speed_rpm * i / TORQUE_SAMPLES;
        double torque = sw_generator_at(plant->generator, SW_GENERATOR_TORQUE, at_rpm) +
                        plant->drive.wheels * sw_motor_drag_nm(plant->motor, at_rpm);
        most = fmax(most, torque);
    }
    return most;
}

static double cogging_nm(const sw_motor *motor) {
    return sw_quantity_known(motor->cogging_torque) ? motor->cogging_torque.value : 0;
}

static sw_press press_for(const sw_search_request *request, double wind, sw_plant *plant) {
    sw_press press = {0};
    const sw_surface *surface = sw_shop_surface(request->shop, plant->drive.wheel_mm);
    plant->drive.contact_n = 0;
    for (int i = 0; i < PRESS_ROUNDS && isfinite(plant->drive.contact_n); i++) {
        double rotor_rad_s = sw_plant_settle(plant, wind, COARSE_STEPS).running_rad_s;
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

static void press_wheel(const sw_search_request *request, sw_plant *plant, sw_choice *choice) {
    double high = choice->working_wind;
    double low = LEAST_GRIP_WIND * request->site->mean_wind.value;
    choice->press = press_for(request, high, plant);
    if (choice->press.mean_n <= request->rim.most_n || low >= high)
        return;
    for (int i = 0; i < GRIP_ROUNDS; i++) {
        double middle = 0.5 * (low + high);
        if (press_for(request, middle, plant).mean_n <= request->rim.most_n)
            low = middle;
        else
            high = middle;
    }
    choice->press = press_for(request, low, plant);
    choice->working_wind = low;
    choice->top_wind = low;
}

static sw_rejection judge(const sw_search_request *request, const sw_choice *choice) {
    const sw_motor *motor = request->motor;
    if (!(choice->running_kwh > 0))
        return SW_REJECTED_NO_POWER;
    if (choice->drive.kind->pressed && choice->press.mean_n > request->rim.most_n)
        return SW_REJECTED_GRIP;
    if (sw_quantity_known(motor->limit_current) &&
        choice->working_winding_amps > motor->limit_current.value)
        return SW_REJECTED_CURRENT;
    if (sw_quantity_known(motor->limit_speed) && choice->working_rpm > motor->limit_speed.value)
        return SW_REJECTED_SPEED;
    return SW_REJECTED_NOT;
}

static void note_working(const sw_plant *plant, sw_choice *choice) {
    double speed = sw_plant_settle(plant, choice->working_wind, COARSE_STEPS).running_rad_s;
    choice->working_rpm = sw_plant_generator_rpm(plant, speed);
    choice->working_winding_amps = sw_plant_at(plant, SW_GENERATOR_WINDING_AMPS, speed);
    choice->working_dc_amps = sw_plant_at(plant, SW_GENERATOR_DC_AMPS, speed);
}

static void evaluate(const sw_search_request *request, const sw_search *search, double wind_step,
                     sw_choice *choice) {
    sw_power_curve curve;
    const sw_electrical *electrical = &search->electrical[choice->electrical];
    size_t balance_steps = wind_step < COARSE_WIND_STEP ? 0 : COARSE_STEPS;
    sw_plant plant = sw_plant_of(request->rotor, request->motor, electrical->generator,
                                 choice->drive, request->site->density);
    choice->working_wind = search->working_wind;
    choice->top_wind = search->top_wind;
    if (choice->drive.kind->pressed)
        press_wheel(request, &plant, choice);
    choice->drive = plant.drive;
    choice->rejection = SW_REJECTED_GRIP;
    if (!isfinite(plant.drive.contact_n))
        return;
    sw_power_curve_make(&plant, choice->top_wind, wind_step, balance_steps, &curve);
    choice->start_wind = curve.start_wind;
    choice->cut_in_wind = curve.cut_in_wind;
    choice->started_kwh = sw_year_started_kwh(&curve, request->site, 1);
    choice->running_kwh = sw_year_running_kwh(&curve, request->site, 1);
    note_working(&plant, choice);
    choice->rejection = judge(request, choice);
}

void sw_search_refine(const sw_search_request *request, const sw_search *search,
                      sw_choice *choice) {
    evaluate(request, search, FINE_WIND_STEP, choice);
}

static sw_choice choice_of(const sw_search_request *request, const sw_search *search,
                           size_t electrical, sw_gear gear) {
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

static void try_gears(const sw_search_request *request, sw_search *search, size_t electrical) {
    sw_gear gear[SW_GEAR_LIMIT];
    size_t gears =
        sw_shop_gears(request->shop, request->rotor->rim_diameter_mm, request->wheel_mm, gear);
    for (size_t i = 0; i < gears && search->choices < SW_CHOICE_LIMIT; i++) {
        sw_choice choice = choice_of(request, search, electrical, gear[i]);
        evaluate(request, search, COARSE_WIND_STEP, &choice);
        search->choice[search->choices++] = choice;
    }
}

/* Speed a table must reach: unloaded rotor in the top wind through the largest ratio. */
static double table_top_rpm(const sw_search_request *request, double top_wind) {
    sw_gear gear[SW_GEAR_LIMIT];
    size_t gears =
        sw_shop_gears(request->shop, request->rotor->rim_diameter_mm, request->wheel_mm, gear);
    double most = 1;
    for (size_t i = 0; i < gears; i++)
        if (gear[i].drive != SW_DRIVE_DIRECT)
            most = fmax(most, gear[i].driver_mm / gear[i].wheel_mm);
    sw_drive direct = sw_drive_of(sw_drive_kind_of(SW_DRIVE_DIRECT), NULL, NAN, NAN);
    double idle_rad_s =
        sw_rotor_no_load(request->rotor, top_wind) * top_wind / request->rotor->radius_m;
    return most * sw_drive_generator_rpm(&direct, idle_rad_s);
}

/* Only class 0 can be recommended. */
static int choice_class(const sw_search *search, const sw_choice *choice) {
    if (!search->electrical[choice->electrical].reachable)
        return 2;
    return choice->rejection == SW_REJECTED_NOT ? 0 : 1;
}

/* Insertion sort: qsort cannot be told about the search without a global. */
static void sort_choices(sw_search *search) {
    for (size_t i = 1; i < search->choices; i++) {
        sw_choice moved = search->choice[i];
        int class = choice_class(search, &moved);
        size_t j = i;
        for (; j > 0; j--) {
            const sw_choice *before = &search->choice[j - 1];
            int before_class = choice_class(search, before);
            if (before_class < class ||
                (before_class == class && objective(search, before) >= objective(search, &moved)))
                break;
            search->choice[j] = *before;
        }
        search->choice[j] = moved;
    }
}

/* The best choice's energy at another ratio: the wheel changes, the driver stays. */
static double at_ratio(const sw_search_request *request, const sw_search *search, double ratio) {
    const sw_choice *best = &search->choice[0];
    sw_gear gear = best->gear;
    gear.wheel_mm = gear.driver_mm / ratio;
    sw_choice choice = choice_of(request, search, best->electrical, gear);
    evaluate(request, search, COARSE_WIND_STEP, &choice);
    return choice.rejection == SW_REJECTED_NOT ? objective(search, &choice) : 0;
}

static void refine_ratio(const sw_search_request *request, sw_search *search) {
    const double golden = 0.5 * (sqrt(5.0) - 1);
    double low = log(search->choice[0].drive.ratio / 1.5);
    double high = log(search->choice[0].drive.ratio * 1.5);
    double a = high - golden * (high - low);
    double b = low + golden * (high - low);
    double at_a = at_ratio(request, search, exp(a));
    double at_b = at_ratio(request, search, exp(b));
    for (int i = 0; i < GOLDEN_ROUNDS; i++) {
        bool left = at_a > at_b;
        if (left) {
            high = b;
            b = a;
            at_b = at_a;
            a = high - golden * (high - low);
            at_a = at_ratio(request, search, exp(a));
        } else {
            low = a;
            a = b;
            at_a = at_b;
            b = low + golden * (high - low);
            at_b = at_ratio(request, search, exp(b));
        }
    }
    search->best_ratio = exp(0.5 * (low + high));
    search->best_ratio_kwh = at_a > at_b ? at_a : at_b;
}

sw_plant sw_search_plant(const sw_search_request *request, const sw_search *search,
                         const sw_choice *choice) {
    return sw_plant_of(request->rotor, request->motor,
                       search->electrical[choice->electrical].generator, choice->drive,
                       request->site->density);
}

/* The first few again on the fine grid, and their order by that. */
static void play_final(const sw_search_request *request, sw_search *search) {
    for (size_t i = 0; i < FINALISTS && i < search->choices; i++)
        if (choice_class(search, &search->choice[i]) == 0)
            sw_search_refine(request, search, &search->choice[i]);
    sort_choices(search);
}

static void finish(const sw_search_request *request, sw_search *search) {
    sort_choices(search);
    play_final(request, search);
    const sw_choice *best = &search->choice[0];
    search->found = choice_class(search, best) == 0;
    search->best_ratio = best->drive.ratio;
    search->best_ratio_kwh = objective(search, best);
    if (search->found && best->gear.drive != SW_DRIVE_DIRECT && isnan(request->wheel_mm))
        refine_ratio(request, search);
}

sw_status sw_search_run(const sw_search_request *request, sw_search *search, sw_error *error) {
    *search = (sw_search){.rim = isfinite(request->rotor->rim_diameter_mm)};
    if (isfinite(request->wheel_mm) && !isfinite(request->rotor->rim_diameter_mm))
        return sw_fail(error, SW_MISMATCH,
                       "a wheel is given, but the rotor has no rim_diameter for it to run on");
    search->choice = calloc(SW_CHOICE_LIMIT, sizeof *search->choice);
    if (search->choice == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the search");
    search->top_wind = sw_site_top_wind(request->site);
    search->working_wind =
        fmin(search->top_wind, sw_site_wind_exceeded(request->site, WORKING_HOURS));
    search->electricals = sw_electrical_list(request->motor, request->load, search->electrical);
    double top_rpm = table_top_rpm(request, search->top_wind);
    for (size_t i = 0; i < search->electricals; i++) {
        sw_electrical_tabulate(request->motor, request->load, top_rpm, &search->electrical[i]);
        if (search->electrical[i].generator != NULL)
            try_gears(request, search, i);
    }
    if (search->electricals > 0 && search->electrical[0].generator == NULL) {
        sw_status status = sw_fail(error, SW_NO_CONVERGENCE, "%s", search->electrical[0].why_not);
        sw_search_free(search);
        return status;
    }
    finish(request, search);
    return SW_OK;
}

void sw_search_free(sw_search *search) {
    for (size_t i = 0; i < search->electricals; i++)
        sw_generator_free(search->electrical[i].generator);
    free(search->choice);
    *search = (sw_search){0};
}
