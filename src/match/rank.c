#include "src/match/rank.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Another wheel is named when it gives so many times as much. */
static const double OTHER_WHEEL_GAIN = 1.25;

/* The remark that decides a verdict: the first in the order of weight. */
static sw_remark deciding(const sw_match *match) {
    static const sw_remark_code WEIGHTY[] = {
        SW_REASON_START_BY,        SW_REASON_START_COSTS,   SW_REASON_STARTS_LATE,
        SW_REASON_POOR_SHARE,      SW_REASON_LITTLE_ENERGY, SW_REASON_NEEDS_PUSH,
        SW_REASON_DOUBLER,         SW_REASON_GUESSED_WIND,  SW_REASON_GUESSED_ROTOR,
        SW_REASON_GUESSED_WINDING, SW_REASON_GUESSED_DRAG};
    bool poor = match->recommended && (match->verdict != SW_VERDICT_USE ||
                                       sw_remarked(&match->reasons, SW_REASON_DOUBLER));
    for (size_t i = 0; poor && i < sizeof WEIGHTY / sizeof *WEIGHTY; i++)
        for (size_t j = 0; j < match->reasons.count; j++)
            if (match->reasons.item[j].code == WEIGHTY[i])
                return match->reasons.item[j];
    return match->reasons.item[0];
}

static double running_w(const sw_plant *plant, double wind_m_s) {
    double rotor_rad_s = sw_plant_settle(plant, wind_m_s, 0).running_rad_s;
    return sw_plant_at(plant, SW_GENERATOR_DC_POWER, rotor_rad_s);
}

static void fill_row(const sw_match *match, sw_rank_row *row) {
    row->verdict = match->verdict;
    row->reason = deciding(match);
    row->recommended = match->recommended;
    if (!match->recommended)
        return;
    row->started_kwh = match->started_kwh;
    row->running_kwh = match->running_kwh;
    row->cautious_started_kwh = match->cautious_started_kwh;
    row->cautious_running_kwh = match->cautious_running_kwh;
    row->cautious_start_wind = match->cautious_start_wind;
    row->assumed = match->assumed;
    row->start_wind = match->curve.start_wind;
    row->cut_in_wind = match->curve.cut_in_wind;
    row->light_w = running_w(&match->plant, SW_RANK_LIGHT_WIND);
    row->strong_w = running_w(&match->plant, SW_RANK_STRONG_WIND);
    row->choice = match->best;
    row->electrical = match->search.electrical[match->best.electrical];
    row->electrical.generator = NULL;
}

/* The site's storm with the load lost. */
static sw_vane_storm vane_storm(const sw_match_request *request, const sw_match *match) {
    double density = request->site->density;
    double wind_m_s = request->site->storm_wind.value;
    if (!match->recommended)
        return sw_vane_storm_free(request->rotor, density, wind_m_s);
    sw_plant plant = match->plant;
    plant.motor = request->motor; /* no drag that was assumed may calm a storm */
    double rotor_rad_s = sw_plant_settle_idle(&plant, wind_m_s).running_rad_s;
    return sw_vane_storm_of(request->rotor, density, wind_m_s, rotor_rad_s);
}

static int assumptions(const sw_rank_row *row) {
    return row->assumed.drag + row->assumed.cogging + row->assumed.inductance;
}

/* By cautious energy from rest, then running; equal ones with less assumed first; those without a
 * recommendation last, by verdict. */
static int better_first(const void *a, const void *b) {
    const sw_rank_row *x = a;
    const sw_rank_row *y = b;
    if (x->failed != y->failed)
        return x->failed ? 1 : -1;
    if (x->cautious_started_kwh != y->cautious_started_kwh)
        return x->cautious_started_kwh > y->cautious_started_kwh ? -1 : 1;
    if (x->cautious_running_kwh != y->cautious_running_kwh)
        return x->cautious_running_kwh > y->cautious_running_kwh ? -1 : 1;
    if (assumptions(x) != assumptions(y))
        return assumptions(x) - assumptions(y);
    return (x->verdict > y->verdict) - (x->verdict < y->verdict);
}

/* With the wheel that is there, against the one that would suit: worth a change? */
static void look_at_other_wheels(const sw_match_request *fixed, sw_rank_row *row) {
    sw_match match;
    sw_match_request free_choice = *fixed;
    free_choice.wheel_mm = NAN;
    free_choice.drives = SW_DRIVE_BIT(SW_DRIVE_FRICTION);
    if (sw_match_run(&free_choice, &match, NULL) != SW_OK)
        return;
    bool other = match.recommended && match.started_kwh > OTHER_WHEEL_GAIN * row->started_kwh;
    if (other)
        row->reason = (sw_remark){SW_REASON_OTHER_WHEEL,
                                  sw_quantity_of(match.plant.drive.wheel_mm, NAN, "mm"),
                                  sw_quantity_of(match.started_kwh, NAN, "kWh")};
    sw_match_free(&match);
}

static void rank_one(const sw_rank_request *request, size_t motor, size_t rotor, sw_rank_row *row) {
    sw_match match;
    sw_match_request one = {.motor = &request->motor[motor],
                            .rotor = &request->rotor[rotor],
                            .site = request->site,
                            .load = request->load,
                            .shop = request->shop,
                            .thresholds = request->thresholds,
                            .wheel_mm = request->wheel_mm > 0 ? request->wheel_mm : NAN,
                            .drives = request->drives,
                            .voltages = request->voltages,
                            .machines = request->machines,
                            .start_by = request->start_by,
                            .run_out_mm = NAN,
                            .moving_kg = NAN,
                            .brief = true};
    memcpy(one.voltage, request->voltage, sizeof one.voltage);
    const char *unread = request->unread != NULL ? request->unread[motor] : NULL;
    *row = (sw_rank_row){.motor = motor, .rotor = rotor, .verdict = SW_VERDICT_NOT_YET};
    if (unread != NULL) {
        row->failed = true;
        sw_error_set(&row->error, SW_FORMAT, "%s", unread);
    } else if (sw_match_run(&one, &match, &row->error) != SW_OK) {
        row->failed = true;
    } else {
        fill_row(&match, row);
        row->vane = vane_storm(&one, &match);
        bool worked_out = match.search.choices > 0;
        sw_match_free(&match);
        if (isfinite(one.wheel_mm) && worked_out)
            look_at_other_wheels(&one, row);
    }
}

sw_status sw_rank_run(const sw_rank_request *request, sw_rank_row **rows, sw_error *error) {
    size_t count = request->motors * request->rotors;
    sw_rank_row *made = calloc(count, sizeof *made);
    if (made == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory to rank %zu motors", request->motors);
    for (size_t i = 0; i < count; i++)
        rank_one(request, i / request->rotors, i % request->rotors, &made[i]);
    qsort(made, count, sizeof *made, better_first);
    *rows = made;
    if (count == 0 || !made[0].failed)
        return SW_OK;
    sw_status status = sw_fail(error, made[0].error.status, "%s", made[0].error.message);
    free(made);
    *rows = NULL;
    return status;
}
