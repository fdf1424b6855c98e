#include "src/match/sheet/cautions.h"

#include "shared/constants.h"

#include <math.h>

static sw_quantity of(double value, const char *unit) {
    return sw_quantity_of(value, NAN, unit);
}

static void caution_volts(const sw_match_request *request, const sw_match *match,
                          sw_remarks *cautions) {
    const sw_storm_row *storm = &match->storm.row[match->storm.site_row];
    sw_quantity ac = of(storm->ac_v, "V");
    sw_quantity dc = of(storm->dc_v, "V");
    const sw_safety_limit *high = &request->shop->extra_low;
    const sw_safety_limit *bare = &request->shop->bare_dry;
    if (storm->ac_v > high->ac_v || storm->dc_v > high->dc_v)
        sw_remark_add(cautions, SW_CAUTION_VOLTS_HIGH, ac, dc);
    else if (storm->ac_v > bare->ac_v || storm->dc_v > bare->dc_v)
        sw_remark_add(cautions, SW_CAUTION_VOLTS_TOUCH, ac, dc);
    if (match->load.kind == SW_LOAD_CONVERTER && storm->dc_v > match->load.input_max_v)
        sw_remark_add(cautions, SW_CAUTION_CONVERTER, dc, of(match->load.input_max_v, "V"));
}

/* Largest wind of the storm's rows that the short stops; 0 = none. */
static double stops_up_to(const sw_storm *storm) {
    double wind = 0;
    for (size_t i = 0; i < SW_STORM_ROWS && storm->row[i].brake_stops; i++)
        wind = storm->row[i].wind_m_s;
    return wind;
}

static void caution_brake(const sw_match *match, sw_remarks *cautions) {
    const sw_storm *storm = &match->storm;
    const sw_storm_row *worst = &storm->row[storm->site_row];
    sw_quantity rotor = of(storm->rotor_peak_nm, "N m");
    double brake_nm = match->braking.known ? match->braking.short_nm[storm->site_row] : NAN;
    if (match->plant.drive.kind->pressed)
        sw_remark_add(cautions, SW_CAUTION_WHEEL_NO_BRAKE, of(storm->grip_rotor_nm, "N m"), rotor);
    else if (!storm->brake.known || !storm->brake.inductance_known)
        sw_remark_add_plain(cautions, SW_CAUTION_BRAKE_UNKNOWN);
    else if (!worst->brake_holds)
        sw_remark_add(cautions, SW_CAUTION_NO_BRAKE, rotor, of(brake_nm, "N m"));
    else if (!worst->brake_stops)
        sw_remark_add(cautions, SW_CAUTION_BRAKE_HOLDS, of(stops_up_to(storm), "m/s"),
                      of(worst->wind_m_s, "m/s"));
}

static void caution_limits(const sw_match_request *request, const sw_match *match,
                           sw_remarks *cautions) {
    const sw_storm_row *storm = &match->storm.row[match->storm.site_row];
    if (match->storm.limit_passed)
        sw_remark_add(cautions, SW_CAUTION_STORM_SPEED, of(storm->generator_rpm, "rpm"),
                      request->motor->limit_speed);
    if (sw_quantity_known(match->load.max_current) &&
        match->sheet.storm_dc_a > match->load.max_current.value)
        sw_remark_add(cautions, SW_CAUTION_CHARGE, of(match->sheet.storm_dc_a, "A"),
                      match->load.max_current);
    if (match->plant.drive.kind->pressed)
        sw_remark_add(cautions, SW_CAUTION_SLIPS, of(match->best.working_wind, "m/s"),
                      sw_quantity_unknown());
}

/* A bearing that lasts fewer years is told. */
static const double LEAST_BEARING_YEARS = 5;

static void caution_bearing(const sw_bearing_load *bearing, sw_remarks *cautions) {
    if (bearing->stated && bearing->rows > 0 && bearing->row[0].years < LEAST_BEARING_YEARS)
        sw_remark_add(cautions, SW_CAUTION_MOTOR_BEARING, of(bearing->nearest_n, "N"),
                      of(bearing->row[0].years, "1"));
}

static void caution_wheel(const sw_match *match, sw_remarks *cautions) {
    const sw_wheel_check *wheel = &match->wheel;
    if (!wheel->pressed)
        return;
    if (wheel->does_not_fit)
        sw_remark_add(cautions, SW_CAUTION_INSIDE, of(match->plant.drive.wheel_mm, "mm"),
                      sw_quantity_unknown());
    if (wheel->locks)
        sw_remark_add_plain(cautions, SW_CAUTION_ARM_LOCKS);
    else if (wheel->jammed_n > fmax(wheel->jam_most_n, match->plant.drive.contact_n))
        sw_remark_add(cautions, SW_CAUTION_ARM_BITES, of(wheel->jammed_n, "N"),
                      of(wheel->jam_most_n, "N"));
    if (isfinite(wheel->hop_rotor_rad_s))
        sw_remark_add(cautions, SW_CAUTION_HOPS,
                      of(wheel->hop_rotor_rad_s * SW_RPM_PER_RAD_S, "rpm"),
                      of(wheel->hop_wind_m_s, "m/s"));
    if (isfinite(wheel->resonance_rotor_rad_s))
        sw_remark_add(cautions, SW_CAUTION_BOUNCE,
                      of(wheel->resonance_rotor_rad_s * SW_RPM_PER_RAD_S, "rpm"),
                      sw_quantity_unknown());
    caution_bearing(&match->bearing, cautions);
}

/* The first wind at which a rotor from rest settles well below the one that runs already. */
static void caution_two_speeds(const sw_match *match, sw_remarks *cautions) {
    const sw_power_curve *curve = &match->curve;
    for (size_t i = 0; i < curve->count; i++) {
        const sw_power_point *point = &curve->point[i];
        if (point->wind_m_s < curve->start_wind || point->running_rad_s <= 0)
            continue;
        if (point->started_rad_s > 0.9 * point->running_rad_s)
            continue;
        sw_remark_add(cautions, SW_CAUTION_TWO_SPEEDS, of(point->wind_m_s, "m/s"),
                      sw_quantity_unknown());
        return;
    }
}

/* Even the smallest winding sheds so much. */
static const double NO_HEAT_W = 1;

/* Never that it is safe: an estimate of a housing's cooling is right to a factor of three. */
static void caution_heat(const sw_match *match, sw_remarks *cautions) {
    const sw_winding_heat *heat = &match->search.heat;
    const sw_choice *best = &match->best;
    if (sw_quantity_known(match->plant.motor->limit_current) || best->working_heat_w < NO_HEAT_W)
        return;
    if (!heat->known)
        sw_remark_add(cautions, SW_CAUTION_HEAT_UNKNOWN, of(best->working_heat_w, "W"),
                      of(best->working_wind, "m/s"));
    else if (best->working_heat_w > heat->low_w)
        sw_remark_add(cautions, SW_CAUTION_HEAT, of(best->working_heat_w, "W"),
                      of(heat->middle_w, "W"));
}

void sw_caution_list(const sw_match_request *request, const sw_match *match, sw_remarks *cautions) {
    bool start_open = sw_remarked(&match->guessed, SW_GUESS_COGGING) ||
                      sw_remarked(&match->guessed, SW_GUESS_DRAG);
    caution_brake(match, cautions);
    caution_volts(request, match, cautions);
    caution_limits(request, match, cautions);
    caution_wheel(match, cautions);
    caution_heat(match, cautions);
    caution_two_speeds(match, cautions);
    if (start_open && isfinite(match->curve.start_wind))
        sw_remark_add(cautions, SW_CAUTION_START_AT_LEAST, of(match->curve.start_wind, "m/s"),
                      of(match->cautious_start_wind, "m/s"));
    sw_remark_add_plain(cautions, SW_CAUTION_STRUCTURE);
}
