#include "src/match/match.h"

#include "shared/constants.h"

#include "src/match/deliver/charging.h"
#include "src/match/search/alternatives.h"
#include "src/match/search/electrical.h"
#include "src/match/sheet/cautions.h"
#include "src/match/sheet/guesses.h"

#include <math.h>
#include <string.h>

static const double FINE_WIND_STEP = 0.2;
/* Rivals that every draw looks at. */
enum { RIVALS = 4 };

/* Less than this part does not move the year's energy. */
static const double LEAST_SHIFT = 0.003;

static const double HOURS_A_YEAR = 8760;

/* What is left after battery resistance, cable, converter and standby. */
static double usable_kwh(const sw_match_request *request, const sw_match *match) {
    double wind[SW_CURVE_LIMIT];
    double power[SW_CURVE_LIMIT];
    bool converter = match->load.kind == SW_LOAD_CONVERTER;
    for (size_t i = 0; i < match->curve.count; i++) {
        const sw_power_point *point = &match->curve.point[i];
        wind[i] = point->wind_m_s;
        power[i] = sw_plant_at(&match->plant, SW_GENERATOR_STORED, point->started_rad_s);
        if (converter)
            power[i] *= match->load.efficiency;
    }
    double stored = sw_year_kwh(wind, power, match->curve.count, request->site, 1);
    return fmax(0, stored - match->load.standby_w * HOURS_A_YEAR / 1000);
}

/* What the motor would give if what was assumed of it is bad. */
static void be_cautious(const sw_match_request *request, sw_match *match) {
    sw_motor bad;
    sw_electrical copy = match->search.electrical[match->best.electrical];
    sw_plant plant = match->plant;
    sw_power_curve curve;
    match->cautious_started_kwh = match->started_kwh;
    match->cautious_running_kwh = match->running_kwh;
    match->cautious_start_wind = match->curve.start_wind;
    if (!sw_assumed_any(&match->assumed))
        return;
    sw_usual_motor(request->motor, SW_USUAL_CAUTIOUS, &bad);
    copy.generator = NULL;
    plant.motor = &bad;
    if (match->assumed.inductance && !sw_load_tracks(&match->load))
        sw_electrical_tabulate(&bad, match->search.top_rpm, true, &copy);
    if (copy.generator != NULL)
        plant.generator = copy.generator;
    sw_power_curve_make(&plant, match->best.top_wind, FINE_WIND_STEP, 0, &curve);
    match->cautious_started_kwh =
        fmin(match->started_kwh, sw_year_started_kwh(&curve, request->site, 1));
    match->cautious_running_kwh =
        fmin(match->running_kwh, sw_year_running_kwh(&curve, request->site, 1));
    match->cautious_start_wind = curve.start_wind;
    sw_generator_free(copy.generator);
}

static void recommend(const sw_match_request *request, const sw_search_request *searched,
                      sw_match *match) {
    match->recommended = true;
    match->best = match->search.choice[0];
    match->load = match->search.electrical[match->best.electrical].load;
    match->plant = sw_search_plant(searched, &match->search, &match->best);
    sw_power_curve_make(&match->plant, match->best.top_wind, FINE_WIND_STEP, 0, &match->curve);
    match->best.start_wind = match->curve.start_wind;
    match->best.cut_in_wind = match->curve.cut_in_wind;
    match->started_kwh = sw_year_started_kwh(&match->curve, request->site, 1);
    match->running_kwh = sw_year_running_kwh(&match->curve, request->site, 1);
    be_cautious(request, match);
    match->search.choice[0].start_wind = match->curve.start_wind;
    match->search.choice[0].cut_in_wind = match->curve.cut_in_wind;
    match->usable_kwh = usable_kwh(request, match);
    match->cut_in_rpm = sw_generator_cut_in_rpm(match->plant.generator);
    sw_alternative_list(searched, match);
    if (!request->brief)
        match->stages = sw_stages_of(searched, &match->search, &match->best, match->started_kwh);
}

/* What the wheel does to itself and to the motor's bearing. */
static sw_status check_wheel(const sw_match_request *request, const sw_rim *rim, sw_match *match,
                             sw_error *error) {
    const sw_surface *surface = sw_shop_surface(request->shop, match->plant.drive.wheel_mm);
    sw_bearing_request bearing = {.plant = &match->plant,
                                  .curve = &match->curve,
                                  .site = request->site,
                                  .reference_dir = request->shop->reference_dir,
                                  .working_wind = match->best.working_wind};
    sw_wheel_check_request wheel = {
        .plant = &match->plant,
        .press = &match->best.press,
        .surface = surface,
        .run_out_mm = rim->run_out_mm,
        .moving_kg = rim->moving_kg,
        .tyre_n_mm =
            isnan(rim->tyre_n_mm) ? sw_range_middle(surface->stiffness_n_mm) : rim->tyre_n_mm,
        .most_n = rim->most_n,
        .lumps = rim->lumps,
        .storm_rotor_rad_s = match->storm.row[match->storm.site_row].rotor_rad_s,
        .storm_wind = match->storm.row[match->storm.site_row].wind_m_s};
    match->wheel = sw_wheel_check_of(&wheel);
    return match->wheel.pressed ? sw_bearing_load_of(&bearing, &match->bearing, error) : SW_OK;
}

static sw_verdict_request verdict_request(const sw_match_request *request, const sw_match *match) {
    return (sw_verdict_request){.motor = request->motor,
                                .search = &match->search,
                                .missing = &match->missing,
                                .guessed = &match->guessed,
                                .thresholds = request->thresholds != NULL ? request->thresholds
                                                                          : &SW_THRESHOLDS,
                                .mean_wind = request->site->mean_wind.value,
                                .started_kwh = match->started_kwh,
                                .running_kwh = match->running_kwh,
                                .potential_kwh = match->potential_kwh,
                                .cut_in_rpm = match->cut_in_rpm,
                                .start_by = request->start_by,
                                .start_wind = match->best.start_wind,
                                .may_be_little = match->sure.below_worth};
}

/* The recommended option's table with one value of the winding a standard uncertainty higher; the
 * electrical copy owns it. */
static const sw_generator *shifted_table(const sw_match *match, const sw_motor *motor,
                                         sw_quantity *value, double u, sw_electrical *copy) {
    *copy = match->search.electrical[match->best.electrical];
    copy->generator = NULL;
    if (!sw_quantity_known(*value) || !(u > LEAST_SHIFT) || sw_load_tracks(&match->load))
        return NULL; /* the sketches of a tracking converter are too rough for it */
    value->value *= 1 + u;
    sw_electrical_tabulate(motor, match->search.top_rpm, true, copy);
    return copy->generator;
}

static sw_rival rival_of(const sw_match_request *request, const sw_match *match,
                         const sw_choice *choice) {
    sw_rival rival = {.surface = sw_shop_surface(request->shop, choice->drive.wheel_mm),
                      .top_wind = choice->top_wind,
                      .started_kwh = choice->started_kwh,
                      .running_kwh = choice->running_kwh};
    rival.plant = sw_plant_of(request->rotor, &match->motor,
                              match->search.electrical[choice->electrical].generator, choice->drive,
                              request->site->density);
    return rival;
}

/* The next in the search's order are what might turn out better: they were worked out finely. */
static void list_rivals(const sw_match_request *request, const sw_match *match,
                        sw_sure_request *sure) {
    sure->chosen = rival_of(request, match, &match->best);
    sure->chosen.press = &match->best.press;
    sure->chosen.working_wind = match->best.working_wind;
    sure->chosen.started_kwh = match->started_kwh;
    sure->chosen.running_kwh = match->running_kwh;
    for (size_t i = 1; i < match->search.choices && sure->rivals < RIVALS; i++) {
        const sw_choice *choice = &match->search.choice[i];
        if (!match->search.electrical[choice->electrical].reachable ||
            choice->rejection != SW_REJECTED_NOT)
            return;
        sure->rival[sure->rivals++] = rival_of(request, match, choice);
    }
}

static sw_status how_sure(const sw_match_request *request, sw_match *match, sw_error *error) {
    sw_motor ohmic = match->motor;
    sw_motor inductive = match->motor;
    sw_electrical copy[2];
    sw_verdict_request verdict = verdict_request(request, match);
    sw_sure_request sure = {.site = request->site,
                            .verdict = &verdict,
                            .potential = &match->potential,
                            .seed = request->seed};
    sw_guess_doubts(request, &match->motor, sure.u);
    list_rivals(request, match, &sure);
    sure.more_ohm = shifted_table(match, &ohmic, &ohmic.winding_resistance,
                                  sure.u[SW_DOUBT_RESISTANCE], &copy[0]);
    sure.more_henry = shifted_table(match, &inductive, &inductive.winding_inductance,
                                    sure.u[SW_DOUBT_INDUCTANCE], &copy[1]);
    sw_status status = sw_sure_work_out(&sure, &match->sure, error);
    for (size_t i = 0; i < sizeof copy / sizeof *copy; i++)
        sw_generator_free(copy[i].generator);
    return status;
}

/* The machine as the storm has to be reckoned with: nothing that was assumed may calm it, neither
 * drag nor an inductance that limits the current; copy owns its table. */
static sw_plant worst_plant(const sw_match_request *request, const sw_match *match,
                            sw_electrical *copy) {
    sw_plant plant = match->plant;
    *copy = match->search.electrical[match->best.electrical];
    copy->generator = NULL;
    plant.motor = request->motor;
    if (match->assumed.inductance && !sw_load_tracks(&match->load))
        sw_electrical_tabulate(request->motor, match->search.top_rpm, true, copy);
    if (copy->generator != NULL)
        plant.generator = copy->generator;
    return plant;
}

/* Storm, brake, vanes and what is bought for them. */
static void prepare_for_storm(const sw_match_request *request, const sw_rim *rim, sw_match *match) {
    const sw_electrical *used = &match->search.electrical[match->best.electrical];
    const sw_surface *surface = sw_shop_surface(request->shop, match->plant.drive.wheel_mm);
    sw_electrical copy;
    sw_plant worst = worst_plant(request, match, &copy);
    sw_storm_request storm = {.plant = &worst,
                              .connection = used->wiring.connection,
                              .storm_wind = request->site->storm_wind.value,
                              .friction_wet = surface->wet.low};
    match->storm = sw_storm_of(&storm);
    match->braking = sw_braking_of(&match->storm, &worst, rim->moving_kg);
    match->vane = sw_vane_storm_of(request->rotor, request->site->density,
                                   match->storm.row[match->storm.site_row].wind_m_s,
                                   match->storm.row[match->storm.site_row].rotor_rad_s);
    sw_build_sheet_request sheet = {.plant = &worst,
                                    .usual = copy.generator != NULL ? &match->plant : NULL,
                                    .choice = &match->best,
                                    .load = &match->load,
                                    .shop = request->shop,
                                    .storm = &match->storm,
                                    .braking = &match->braking,
                                    .working_wind = match->best.working_wind,
                                    .lost_wind = match->search.lost_wind,
                                    .storm_wind = request->site->storm_wind.value};
    sw_build_sheet_fill(&sheet, &match->sheet);
    sw_generator_free(copy.generator);
}

static sw_status work_out_rest(const sw_match_request *request, const sw_rim *rim, sw_match *match,
                               sw_error *error) {
    sw_status status = how_sure(request, match, error);
    if (status != SW_OK)
        return status;
    prepare_for_storm(request, rim, match);
    match->spin_up = sw_spin_ups_of(&match->plant);
    match->budget = sw_budget_of(&match->plant, &match->curve, request->site, match->potential_kwh,
                                 match->started_kwh, match->usable_kwh);
    sw_seasons_request seasons = {.plant = &match->plant,
                                  .curve = &match->curve,
                                  .site = request->site,
                                  .load = &match->load,
                                  .reference_dir = request->shop->reference_dir};
    status = sw_seasons_of(&seasons, &match->seasons, error);
    if (status == SW_OK)
        status = sw_magnet_risk_of(request->shop->reference_dir, request->motor->magnet_kind,
                                   &match->magnets, error);
    if (status == SW_OK)
        status = check_wheel(request, rim, match, error);
    if (status != SW_OK)
        return status;
    match->full = true;
    sw_caution_list(request, match, &match->cautions);
    return SW_OK;
}

static void check_claim(const sw_match_request *request, sw_match *match) {
    sw_deliver_load seen = sw_load_electrical(&match->load);
    const sw_surface *surface =
        sw_shop_surface(request->shop, match->recommended ? match->plant.drive.wheel_mm : NAN);
    sw_claim_request claim = {.claim = *request->claimed,
                              .motor = request->motor,
                              .wiring = sw_wiring_default(request->motor),
                              .load = &seen,
                              .site = request->site,
                              .friction = sw_range_middle(surface->wet)};
    claim.wiring.diode = match->load.diode;
    if (request->motor->kind == SW_BRUSHED)
        claim.wiring.rectifier = SW_RECTIFIER_BLOCKING_DIODE;
    if (match->recommended) {
        claim.wiring = match->search.electrical[match->best.electrical].wiring;
        claim.plant = &match->plant;
    }
    claim.wiring.machines = 1;
    match->claim = sw_claim_check(&claim);
    match->claim_checked = true;
}

static bool can_be_worked_out(const sw_match_request *request, const sw_match *match) {
    return request->motor->kind != SW_NO_GENERATOR && match->missing.count == 0;
}

static void give_verdict(const sw_match_request *request, sw_match *match) {
    sw_verdict_request verdict = verdict_request(request, match);
    match->verdict = sw_verdict_of(&verdict, &match->reasons);
    if (match->full)
        match->outlook = sw_outlook_of(&verdict, &match->curve, &match->potential, request->site);
}

static sw_status run_with(const sw_match_request *request, sw_match *match, sw_error *error) {
    *match = (sw_match){0};
    match->load = request->load != NULL ? *request->load : sw_load_default();
    match->assumed = sw_usual_motor(request->motor, 0, &match->motor);
    sw_rim rim = sw_guess_rim(request);
    sw_search_request searched = {.motor = &match->motor,
                                  .rotor = request->rotor,
                                  .site = request->site,
                                  .load = &match->load,
                                  .shop = request->shop,
                                  .rim = rim,
                                  .wheel_mm = request->wheel_mm,
                                  .drives = request->drives,
                                  .voltages = request->voltages,
                                  .machines = request->machines,
                                  .start_by = request->start_by,
                                  .outlook = !request->brief};
    memcpy(searched.voltage, request->voltage, sizeof searched.voltage);
    sw_status status = SW_OK;
    match->cut_in_rpm = sw_charging_rpm(request->motor, &match->load);
    sw_verdict_missing(request->motor, &match->missing);
    if (can_be_worked_out(request, match))
        status = sw_search_run(&searched, &match->search, error);
    if (status != SW_OK)
        return status;
    sw_potential_of(request->rotor, request->site, &match->potential);
    match->potential_kwh = sw_potential_kwh(&match->potential, request->site, 1);
    match->betz_kwh = sw_potential_betz_kwh(&match->potential, request->site);
    if (match->search.found)
        recommend(request, &searched, match);
    if (request->claimed != NULL && can_be_worked_out(request, match))
        check_claim(request, match);
    if (request->motor->kind != SW_NO_GENERATOR)
        sw_guess_list(request, match, &rim, &match->guessed);
    if (match->recommended && !request->brief)
        status = work_out_rest(request, &rim, match, error);
    if (status == SW_OK)
        give_verdict(request, match);
    else
        sw_match_free(match);
    return status;
}

/* A rotor that names the surface of its rim and wheel has a shop of its own. */
sw_status sw_match_run(const sw_match_request *request, sw_match *match, sw_error *error) {
    const char *surface = request->rotor->carriage.surface;
    sw_shop shop = *request->shop;
    sw_match_request own = *request;
    own.shop = &shop;
    *match = (sw_match){0};
    sw_status status = *surface == '\0' ? SW_OK : sw_shop_take_surface(&shop, surface, error);
    return status == SW_OK ? run_with(&own, match, error) : status;
}

void sw_match_free(sw_match *match) {
    sw_search_free(&match->search);
    *match = (sw_match){0};
}
