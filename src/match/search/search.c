/* The search is exhaustive on what is discrete (battery, machines, wiring, rectifier, stock size),
 * so that humps in the yearly energy cannot mislead it. It goes in three passes, each on what the
 * one before left: a sketch of everything (coarse winds and tables), then the best dozen on a
 * closer grid, then the first few finely, with exact tables. What a size made to measure would add
 * is found over the whole span of ratios: an even grid of sketches first, since energy has kinks
 * where the rotor starts or stalls, then a golden section between the neighbours of its best point.
 *
 * Energy counts from the starting wind. Running energy weighs in at a thousandth, which decides
 * among drives that never start by themselves. */
#include "src/match/search/search.h"

#include "src/match/search/choice.h"
#include "src/match/search/electrical.h"

#include <math.h>
#include <stdlib.h>

enum { GOLDEN_ROUNDS = 12, RATIO_GRID = 24, LOOKED_AT_CLOSELY = 12, FINALISTS = 5 };

static const double RUNNING_WEIGHT = 1e-3;

/* Another machine costs work and bearings: it must bring so much more. */
const double SW_MACHINE_WEIGHT = 0.9;

/* Belt, chain and a motor on the shaft want the rotor's shaft rebuilt. How much more they must give
 * for that is a judgement. */
const double SW_NO_WHEEL_WEIGHT = 0.67;

/* Winds that blow for less than this in a year do not set grip and heat. */
static const double WORKING_HOURS = 10;

static double objective(const sw_search *search, const sw_choice *choice) {
    bool rebuilt = search->wheel_first && choice->gear.drive != SW_DRIVE_FRICTION;
    return (rebuilt ? SW_NO_WHEEL_WEIGHT : 1) * pow(SW_MACHINE_WEIGHT, choice->drive.wheels - 1) *
           (choice->started_kwh + RUNNING_WEIGHT * choice->running_kwh);
}

static size_t gears_of(const sw_search_request *request, sw_gear gear[SW_GEAR_LIMIT]) {
    sw_gear_wish wish = {request->rotor->rim_diameter_mm, request->wheel_mm, request->drives};
    return sw_shop_gears(request->shop, &wish, gear);
}

static void make_exact(const sw_search_request *request, sw_search *search, size_t electrical) {
    sw_electrical *it = &search->electrical[electrical];
    if (!it->exact)
        sw_electrical_tabulate(request->motor, search->top_rpm, true, it);
}

void sw_search_refine(const sw_search_request *request, sw_search *search, sw_choice *choice) {
    make_exact(request, search, choice->electrical);
    if (search->electrical[choice->electrical].generator != NULL)
        sw_choice_evaluate(request, search, &SW_GRID_FINE, choice);
}

static void try_gears(const sw_search_request *request, sw_search *search, size_t electrical) {
    sw_gear gear[SW_GEAR_LIMIT];
    size_t gears = gears_of(request, gear);
    bool several = search->electrical[electrical].wiring.machines > 1;
    for (size_t i = 0; i < gears && search->choices < SW_CHOICE_LIMIT; i++) {
        if (several && gear[i].drive != SW_DRIVE_FRICTION)
            continue; /* several machines have room on a rim only */
        sw_choice choice = sw_choice_of(request, search, electrical, gear[i]);
        sw_choice_evaluate(request, search, &SW_GRID_SKETCH, &choice);
        search->choice[search->choices++] = choice;
    }
}

/* Speed a table must reach: unloaded rotor in the top wind through the largest ratio. */
static double table_top_rpm(const sw_search_request *request, double top_wind) {
    sw_gear gear[SW_GEAR_LIMIT];
    size_t gears = gears_of(request, gear);
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
    const sw_electrical *electrical = &search->electrical[choice->electrical];
    if (!electrical->reachable)
        return electrical->other_battery ? 3 : 2;
    return choice->rejection == SW_REJECTED_NOT ? 0 : 1;
}

/* A choice with what it is sorted by: qsort cannot be told about the search without a global. */
typedef struct ranked {
    int class;
    double objective;
    size_t place; /* equal ones keep their order */
    sw_choice choice;
} ranked;

static int better_first(const void *a, const void *b) {
    const ranked *x = a;
    const ranked *y = b;
    if (x->class != y->class)
        return x->class < y->class ? -1 : 1;
    if (x->objective != y->objective)
        return x->objective > y->objective ? -1 : 1;
    return x->place < y->place ? -1 : 1;
}

static sw_status sort_choices(sw_search *search, sw_error *error) {
    ranked *list = calloc(search->choices + 1, sizeof *list);
    if (list == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the search");
    for (size_t i = 0; i < search->choices; i++)
        list[i] = (ranked){choice_class(search, &search->choice[i]),
                           objective(search, &search->choice[i]), i, search->choice[i]};
    qsort(list, search->choices, sizeof *list, better_first);
    for (size_t i = 0; i < search->choices; i++)
        search->choice[i] = list[i].choice;
    free(list);
    return SW_OK;
}

/* The first so many that could be recommended again on a closer grid, and their order by that. */
static sw_status look_closer(const sw_search_request *request, sw_search *search, size_t most,
                             bool finely, sw_error *error) {
    for (size_t i = 0; i < most && i < search->choices; i++) {
        sw_choice *choice = &search->choice[i];
        if (choice_class(search, choice) != 0)
            break;
        if (finely)
            sw_search_refine(request, search, choice);
        else
            sw_choice_evaluate(request, search, &SW_GRID_COARSE, choice);
    }
    return sort_choices(search, error);
}

/* The best choice's energy at another ratio: the wheel changes, the driver stays. */
static double at_ratio(const sw_search_request *request, const sw_search *search,
                       const sw_choice_grid *grid, double log_ratio) {
    const sw_choice *best = &search->choice[0];
    sw_gear gear = best->gear;
    gear.wheel_mm = gear.driver_mm / exp(log_ratio);
    sw_choice choice = sw_choice_of(request, search, best->electrical, gear);
    sw_choice_evaluate(request, search, grid, &choice);
    return choice.rejection == SW_REJECTED_NOT ? objective(search, &choice) : 0;
}

/* Sizes made to measure reach half as far again as those in stock. */
static const double BEYOND = 0.405; /* ln 1.5 */

/* Ratios that a wheel, pulley or sprocket of any size could have. */
static void ratio_span(const sw_search_request *request, const sw_search *search, double *low,
                       double *high) {
    sw_gear gear[SW_GEAR_LIMIT];
    size_t gears = gears_of(request, gear);
    *low = *high = log(search->choice[0].drive.ratio);
    for (size_t i = 0; i < gears; i++) {
        if (gear[i].drive != search->choice[0].gear.drive)
            continue;
        double ratio = log(gear[i].driver_mm / gear[i].wheel_mm);
        *low = fmin(*low, ratio - BEYOND);
        *high = fmax(*high, ratio + BEYOND);
    }
}

/* Golden section for the largest energy between two ratios. */
static double golden(const sw_search_request *request, const sw_search *search, double low,
                     double high) {
    const double part = 0.5 * (sqrt(5.0) - 1);
    double a = high - part * (high - low);
    double b = low + part * (high - low);
    double at_a = at_ratio(request, search, &SW_GRID_COARSE, a);
    double at_b = at_ratio(request, search, &SW_GRID_COARSE, b);
    for (int i = 0; i < GOLDEN_ROUNDS; i++) {
        if (at_a > at_b) {
            high = b;
            b = a;
            at_b = at_a;
            a = high - part * (high - low);
            at_a = at_ratio(request, search, &SW_GRID_COARSE, a);
        } else {
            low = a;
            a = b;
            at_a = at_b;
            b = low + part * (high - low);
            at_b = at_ratio(request, search, &SW_GRID_COARSE, b);
        }
    }
    return at_a > at_b ? a : b;
}

static void refine_ratio(const sw_search_request *request, sw_search *search) {
    double low = 0;
    double high = 0;
    double own = log(search->choice[0].drive.ratio);
    ratio_span(request, search, &low, &high);
    double step = (high - low) / RATIO_GRID;
    double best = own;
    double most = at_ratio(request, search, &SW_GRID_SKETCH, own);
    for (int i = 0; i <= RATIO_GRID; i++) {
        double energy = at_ratio(request, search, &SW_GRID_SKETCH, low + i * step);
        if (energy <= most)
            continue;
        most = energy;
        best = low + i * step;
    }
    double ratio = golden(request, search, best - step, best + step);
    /* on the grid that the stock size was weighed on, else the grids' difference passes for gain */
    double energy = at_ratio(request, search, &SW_GRID_FINE, ratio);
    if (energy <= search->best_ratio_weight)
        return;
    search->best_ratio = exp(ratio);
    search->best_ratio_weight = energy;
}

sw_plant sw_search_plant(const sw_search_request *request, const sw_search *search,
                         const sw_choice *choice) {
    sw_plant plant = sw_plant_of(request->rotor, request->motor,
                                 search->electrical[choice->electrical].generator, choice->drive,
                                 request->site->density);
    sw_plant_track(&plant, choice->top_wind, SW_TRACK_POINTS - 1);
    return plant;
}

static sw_status finish(const sw_search_request *request, sw_search *search, sw_error *error) {
    sw_status status = sort_choices(search, error);
    if (status == SW_OK)
        status = look_closer(request, search, LOOKED_AT_CLOSELY, false, error);
    if (status == SW_OK)
        status = look_closer(request, search, FINALISTS, true, error);
    if (status != SW_OK)
        return status;
    const sw_choice *best = &search->choice[0];
    search->found = search->choices > 0 && choice_class(search, best) == 0;
    search->best_ratio = best->drive.ratio;
    search->stock_weight = objective(search, best);
    search->best_ratio_weight = search->stock_weight;
    if (search->found && best->gear.drive != SW_DRIVE_DIRECT && isnan(request->wheel_mm))
        refine_ratio(request, search);
    return SW_OK;
}

static sw_status run(const sw_search_request *request, sw_search *search, sw_error *error) {
    search->choice = calloc(SW_CHOICE_LIMIT, sizeof *search->choice);
    if (search->choice == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the search");
    search->top_wind = sw_site_top_wind(request->site);
    search->working_wind =
        fmin(search->top_wind, sw_site_wind_exceeded(request->site, WORKING_HOURS));
    search->lost_wind = isfinite(request->site->shutdown_wind) ? request->site->shutdown_wind
                                                               : search->working_wind;
    search->top_rpm = table_top_rpm(request, search->top_wind);
    sw_status status = sw_electrical_list(request, search->electrical, &search->electricals, error);
    if (status != SW_OK)
        return status;
    for (size_t i = 0; i < search->electricals; i++) {
        sw_electrical_tabulate(request->motor, search->top_rpm, i == 0, &search->electrical[i]);
        if (search->electrical[i].generator != NULL)
            try_gears(request, search, i);
    }
    if (search->electricals > 0 && search->electrical[0].generator == NULL)
        return sw_fail(error, SW_NO_CONVERGENCE, "%s", search->electrical[0].why_not);
    return finish(request, search, error);
}

static sw_status check_drives(const sw_search_request *request, sw_error *error) {
    const unsigned wheel = SW_DRIVE_BIT(SW_DRIVE_FRICTION);
    bool given = isfinite(request->wheel_mm);
    if ((given || request->drives == wheel) && !isfinite(request->rotor->rim_diameter_mm))
        return sw_fail(error, SW_MISMATCH,
                       "a wheel is %s, but the rotor has no rim_diameter for it to run on",
                       given ? "given" : "asked for");
    if (given && request->drives != 0 && (request->drives & wheel) == 0)
        return sw_fail(error, SW_MISMATCH,
                       "a wheel is given, but a wheel is not among the drives that are allowed");
    return SW_OK;
}

sw_status sw_search_run(const sw_search_request *request, sw_search *search, sw_error *error) {
    *search = (sw_search){.heat = sw_winding_heat_of(request->motor),
                          .wheel_first =
                              request->drives == 0 && isfinite(request->rotor->rim_diameter_mm)};
    sw_status status = check_drives(request, error);
    if (status == SW_OK)
        status = run(request, search, error);
    if (status != SW_OK)
        sw_search_free(search);
    return status;
}

void sw_search_free(sw_search *search) {
    for (size_t i = 0; i < search->electricals; i++)
        sw_generator_free(search->electrical[i].generator);
    free(search->choice);
    *search = (sw_search){0};
}
