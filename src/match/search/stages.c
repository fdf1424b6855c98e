/* Each number of motors has its own curve of power over wind. Lowered one after another, the
 * machine follows the upper envelope: at each wind the number that gives most. Only the first motor
 * has to be started against, the others meet a rim that turns. A wheel that is lifted off costs
 * nothing, neither cogging nor rolling. Tried with the wheel that is recommended and with the one
 * that is best for all motors at once. */
#include "src/match/search/stages.h"

#include "src/match/year/power_curve.h"

#include <math.h>
#include <stdlib.h>

enum { WINDS = 160 };

/* What a second lever and its attention must bring. */
static const double LEAST_SHARE = 1.08;
static const double LEAST_KWH = 3;

typedef struct member {
    sw_choice choice;
    sw_plant plant;
    sw_power_curve curve;
} member;

static bool same_but_machines(const sw_electrical *a, const sw_electrical *b) {
    bool voltage = isnan(a->nominal_v) ? isnan(b->nominal_v) : a->nominal_v == b->nominal_v;
    return voltage && a->rewiring == b->rewiring && a->wiring.rectifier == b->wiring.rectifier &&
           a->wiring.rewind == b->wiring.rewind && a->generator != NULL;
}

/* The electrical option like the recommended one with so many motors; -1 = none. */
static int option_of(const sw_search *search, const sw_choice *best, int machines) {
    const sw_electrical *used = &search->electrical[best->electrical];
    for (size_t i = 0; i < search->electricals; i++)
        if (search->electrical[i].wiring.machines == machines &&
            same_but_machines(&search->electrical[i], used))
            return (int)i;
    return -1;
}

static size_t gather(const sw_search_request *request, sw_search *search, const sw_choice *best,
                     sw_gear gear, member list[SW_MACHINE_LIMIT]) {
    size_t count = 0;
    for (int n = 1; n <= request->machines && n <= SW_MACHINE_LIMIT; n++) {
        int option = option_of(search, best, n);
        if (option < 0)
            break;
        member *it = &list[count];
        it->choice = *best;
        it->choice.electrical = (size_t)option;
        it->choice.gear = gear;
        it->choice.drive =
            sw_drive_of(sw_drive_kind_of(gear.drive), sw_shop_surface(request->shop, gear.wheel_mm),
                        gear.driver_mm, gear.wheel_mm);
        it->choice.drive.wheels = n;
        it->choice.drive.arm_gain = best->drive.arm_gain;
        sw_search_refine(request, search, &it->choice);
        if (it->choice.rejection != SW_REJECTED_NOT && n > 1)
            break;
        it->plant = sw_search_plant(request, search, &it->choice);
        sw_power_curve_make(&it->plant, it->choice.top_wind, 0.2, 0, &it->curve);
        count++;
    }
    return count;
}

/* Between the curve's winds in a straight line; nothing beyond its end, where the wheel slips. */
static double power_w(const member *it, double wind_m_s) {
    const sw_power_curve *curve = &it->curve;
    for (size_t i = 1; i < curve->count && wind_m_s <= curve->top_wind; i++) {
        const sw_power_point *low = &curve->point[i - 1];
        const sw_power_point *high = &curve->point[i];
        if (wind_m_s > high->wind_m_s || !(high->wind_m_s > low->wind_m_s))
            continue;
        double part = (wind_m_s - low->wind_m_s) / (high->wind_m_s - low->wind_m_s);
        return low->running_w + part * (high->running_w - low->running_w);
    }
    return 0;
}

static void note_stage(const member *list, size_t n, double wind_m_s, sw_stages *stages) {
    sw_stage *stage = &stages->stage[stages->stages++];
    const member *before = &list[n > 0 ? n - 1 : 0];
    double after = sw_plant_settle(&list[n].plant, wind_m_s, 0).running_rad_s;
    stage->machines = (int)n + 1;
    stage->from_wind = wind_m_s;
    stage->from_rotor_rad_s = sw_plant_settle(&before->plant, wind_m_s, 0).running_rad_s;
    stage->rotor_nm = sw_plant_load_nm(&list[n].plant, after);
}

/* The envelope: at each wind as many motors as give most, never fewer than at a lighter wind. */
static sw_stages envelope(const sw_search_request *request, const member *list, size_t count) {
    double wind[WINDS];
    double power[WINDS];
    sw_stages stages = {.gear = list[0].choice.gear};
    double top = 0;
    size_t used = 0;
    for (size_t n = 0; n < count; n++) {
        top = fmax(top, list[n].curve.top_wind);
        stages.contact_n = fmax(stages.contact_n, list[n].choice.drive.contact_n);
    }
    note_stage(list, 0, list[0].curve.start_wind, &stages);
    for (int i = 0; i < WINDS; i++) {
        wind[i] = top * i / (WINDS - 1);
        for (size_t n = used + 1; n < count; n++)
            if (wind[i] >= list[0].curve.start_wind &&
                power_w(&list[n], wind[i]) > power_w(&list[used], wind[i])) {
                used = n;
                note_stage(list, n, wind[i], &stages);
            }
        power[i] = wind[i] >= list[0].curve.start_wind ? power_w(&list[used], wind[i]) : 0;
    }
    stages.kwh = sw_year_kwh(wind, power, WINDS, request->site, 1);
    return stages;
}

/* The gear that is best when all motors stay on the rim. */
static sw_gear gear_of_all(const sw_search *search, const sw_choice *best, int machines) {
    for (size_t i = 0; i < search->choices; i++) {
        const sw_choice *it = &search->choice[i];
        const sw_electrical *electrical = &search->electrical[it->electrical];
        if (it->rejection == SW_REJECTED_NOT && it->gear.drive == SW_DRIVE_FRICTION &&
            electrical->wiring.machines == machines &&
            same_but_machines(electrical, &search->electrical[best->electrical]))
            return it->gear;
    }
    return best->gear;
}

sw_stages sw_stages_of(const sw_search_request *request, sw_search *search, const sw_choice *best,
                       double against_kwh) {
    sw_stages stages = {0};
    member *list = best->drive.kind->pressed && request->machines > 1
                       ? calloc(SW_MACHINE_LIMIT, sizeof *list)
                       : NULL;
    const sw_gear gear[2] = {best->gear, gear_of_all(search, best, request->machines)};
    for (int i = 0; i < 2 && list != NULL; i++) {
        if (i == 1 && gear[1].wheel_mm == gear[0].wheel_mm)
            break;
        size_t count = gather(request, search, best, gear[i], list);
        if (count < 2 || !isfinite(list[0].curve.start_wind))
            continue;
        sw_stages tried = envelope(request, list, count);
        if (tried.kwh > stages.kwh)
            stages = tried;
    }
    free(list);
    stages.against_kwh = against_kwh;
    stages.pays = stages.stages > 1 && stages.kwh > LEAST_SHARE * against_kwh &&
                  stages.kwh > against_kwh + LEAST_KWH;
    return stages;
}
