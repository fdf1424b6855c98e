#include "src/match/sheet/claim.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A claim counts as kept from here on; below so many hours a year a wind does not count. */
static const double KEPT_SHARE = 0.9;
static const double FEW_HOURS = 10;

static const double TOP_WIND = 45;
static const double WIND_STEP = 0.1;

/* Faster than that no scrap motor turns twice: common practice, no source. */
static const double TOP_RPM = 20000;
static const double SPEED_STEP = 1.1;

enum { PART_ROOM = 80, HALVINGS = 40 };

static sw_status parse_part(const char *text, const char *unit, double high, const sw_units *units,
                            double *out, sw_error *error) {
    sw_quantity quantity;
    sw_status status = sw_quantity_parse(units, text, unit, &quantity, error);
    if (status != SW_OK)
        return status;
    if (!(quantity.value > 0 && quantity.value <= high))
        return sw_fail(error, SW_VALUE, "found %g %s, expected above 0 and up to %g",
                       quantity.value, unit, high);
    *out = quantity.value;
    return SW_OK;
}

sw_status sw_claim_parse(const char *text, const sw_units *units, sw_claim *claim,
                         sw_error *error) {
    char power[PART_ROOM];
    const char *at = strstr(text, " at ");
    const char *sign = strchr(text, '@');
    const char *end = at != NULL ? at : sign;
    size_t length = end != NULL ? (size_t)(end - text) : strlen(text);
    *claim = (sw_claim){NAN, NAN};
    if (length >= sizeof power)
        return sw_fail(error, SW_VALUE, "expected watts and speed, for example 500W at 800rpm");
    snprintf(power, sizeof power, "%.*s", (int)length, text);
    sw_status status = parse_part(power, "W", 1e6, units, &claim->power_w, error);
    if (status == SW_OK && end != NULL)
        status = parse_part(end + (at != NULL ? strlen(" at ") : strlen("@")), "rpm", TOP_RPM,
                            units, &claim->speed_rpm, error);
    return status;
}

double sw_claim_power_w(const sw_operating_point *point) {
    return point->ac_power_w > 0 ? point->ac_power_w : point->dc_power_w;
}

static bool at_speed(const sw_claim_request *request, double speed_rpm, sw_operating_point *point) {
    return sw_deliver(request->motor, &request->wiring, request->load, speed_rpm, point, NULL) ==
           SW_OK;
}

/* Least speed that gives the claimed watts: steps upwards from a slow turn by hand, then
 * halving. Power rises with speed until the winding's reactance levels the current. */
static void find_needed(const sw_claim_request *request, sw_claim_finding *it) {
    double low_rpm = 0;
    double high_rpm = 20;
    sw_operating_point point = {0};
    while (high_rpm < TOP_RPM) {
        it->tried_rpm = high_rpm;
        if (!at_speed(request, high_rpm, &point))
            return;
        if (sw_claim_power_w(&point) >= request->claim.power_w)
            break;
        low_rpm = high_rpm;
        high_rpm *= SPEED_STEP;
    }
    it->reached = sw_claim_power_w(&point) >= request->claim.power_w;
    it->needed = point;
    for (int i = 0; it->reached && i < HALVINGS; i++) {
        double middle_rpm = (low_rpm + high_rpm) / 2;
        bool known = at_speed(request, middle_rpm, &point);
        if (known && sw_claim_power_w(&point) < request->claim.power_w) {
            low_rpm = middle_rpm;
            continue;
        }
        high_rpm = middle_rpm;
        if (known)
            it->needed = point;
    }
}

static sw_answer within(double value, sw_quantity limit) {
    if (!sw_quantity_known(limit))
        return SW_NOT_SAID;
    return value <= limit.value ? SW_YES : SW_NO;
}

/* An estimate can forbid, never allow. */
static void weigh_heat(const sw_motor *motor, sw_claim_finding *it) {
    it->heat = sw_winding_heat_of(motor);
    it->hot_w = sw_winding_hot_w(
        &it->heat, it->reached ? it->needed.copper_loss_w : it->delivered.copper_loss_w, 1);
    if (it->reached && it->winding_bears == SW_NOT_SAID && it->heat.known &&
        it->hot_w > it->heat.high_w)
        it->winding_bears = SW_NO;
}

/* Least wind whose torque on the turning rotor carries generator, drag, drive and bearings. */
static double least_wind(const sw_claim_request *request, const sw_claim_finding *it) {
    for (double wind_m_s = WIND_STEP; wind_m_s <= TOP_WIND; wind_m_s += WIND_STEP)
        if (sw_rotor_torque_nm(request->plant->rotor, request->site->density, wind_m_s,
                               it->rotor_rad_s) >= it->rotor_nm)
            return wind_m_s;
    return INFINITY;
}

static sw_answer grips(const sw_claim_request *request, const sw_claim_finding *it) {
    const sw_drive *drive = &request->plant->drive;
    if (!drive->kind->pressed)
        return SW_NOT_SAID;
    double most_nm = request->friction * drive->contact_n * 0.5e-3 * drive->wheel_mm;
    return it->needed.shaft_torque_nm <= most_nm ? SW_YES : SW_NO;
}

static void drive_it(const sw_claim_request *request, sw_claim_finding *it) {
    const sw_drive *drive = &request->plant->drive;
    it->driven = true;
    it->rotor_rad_s = sw_drive_rotor_rad_s(drive, it->needed.speed_rpm);
    it->rotor_nm = sw_drive_rotor_torque_nm(drive, it->needed.shaft_torque_nm) +
                   request->plant->rotor->bearing_torque.value;
    it->wind_m_s = least_wind(request, it);
    bool blows = it->wind_m_s < request->site->shutdown_wind;
    it->hours = blows ? sw_site_hours(request->site, it->wind_m_s, INFINITY, 1) : 0;
    it->rotor_gets = it->hours >= FEW_HOURS ? SW_YES : SW_NO;
    it->wheel_grips = grips(request, it);
}

sw_claim_finding sw_claim_check(const sw_claim_request *request) {
    sw_claim_finding it = {.claim = request->claim, .wind_m_s = NAN, .hours = NAN};
    if (isfinite(request->claim.speed_rpm))
        it.delivered_known = at_speed(request, request->claim.speed_rpm, &it.delivered);
    it.at_most = !sw_quantity_known(request->motor->winding_inductance) &&
                 request->motor->kind != SW_BRUSHED;
    /* an upper bound that reaches the claim keeps nothing */
    it.kept = it.delivered_known && !it.at_most &&
              sw_claim_power_w(&it.delivered) >= KEPT_SHARE * request->claim.power_w;
    find_needed(request, &it);
    it.current_stated = sw_quantity_known(request->motor->limit_current);
    if (it.reached)
        it.winding_bears = within(it.needed.phase_current_rms_a, request->motor->limit_current);
    weigh_heat(request->motor, &it);
    if (!it.reached)
        return it;
    it.speed_borne = within(it.needed.speed_rpm, request->motor->limit_speed);
    if (request->plant != NULL)
        drive_it(request, &it);
    return it;
}
