#include "src/match/sheet/guesses.h"

#include <math.h>

/* Documented defaults of what nobody stated: relative standard uncertainties, and the rim of a
 * wheel that was built at home. Common practice, no source. */
static const double CONSTANT_U = 0.03;
static const double RESISTANCE_U = 0.05;
static const double INDUCTANCE_U = 0.15;
static const double DRAG_U = 0.3;
static const double WIND_U = 0.1;
static const double RUN_OUT_MM = 3;
static const double MOVING_KG = 2;
static const double GRIP_SAFETY = 1.5;

/* More than this bends a home-made rim and wears a small motor's bearing (common practice, no
 * source). */
static const double MOST_CONTACT_N = 300;

/* The option of the call, else the rotor's document, else the guess. */
static double first_known(double option, double document, double guess) {
    if (!isnan(option))
        return option;
    return isnan(document) ? guess : document;
}

sw_rim sw_guess_rim(const sw_match_request *request) {
    const sw_carriage *carriage = &request->rotor->carriage;
    return (sw_rim){
        .run_out_mm = first_known(request->run_out_mm, carriage->run_out_mm, RUN_OUT_MM),
        .moving_kg = first_known(request->moving_kg, carriage->moving_kg, MOVING_KG),
        .safety = GRIP_SAFETY,
        .most_n = isnan(carriage->most_n) ? MOST_CONTACT_N : carriage->most_n,
        .spring_n_mm = carriage->spring_n_mm,
        .lumps = carriage->lumps > 0 ? carriage->lumps : 1,
        .tyre_n_mm = carriage->tyre_n_mm,
        .arm_gain = sw_carriage_arm_gain(carriage),
    };
}

static sw_quantity with_u(sw_quantity quantity, double relative) {
    quantity.u = sw_quantity_u_or(quantity, relative);
    return quantity;
}

static void list_site(const sw_site *site, sw_remarks *guessed) {
    if (site->mean_wind_guessed)
        sw_remark_add(guessed, SW_GUESS_WIND, with_u(site->mean_wind, WIND_U),
                      sw_quantity_unknown());
    if (site->weibull_guessed)
        sw_remark_add(guessed, SW_GUESS_WEIBULL, sw_quantity_of(site->weibull_k, NAN, "1"),
                      sw_quantity_unknown());
    if (site->storm_guessed)
        sw_remark_add(guessed, SW_GUESS_STORM, site->storm_wind, sw_quantity_unknown());
}

static void list_rotor(const sw_rotor *rotor, sw_remarks *guessed) {
    if (rotor->power_guessed)
        sw_remark_add(
            guessed, SW_GUESS_ROTOR_POWER,
            sw_quantity_of(rotor->peak_power, rotor->power_u_relative * rotor->peak_power, "1"),
            sw_quantity_unknown());
    if (rotor->static_guessed)
        sw_remark_add(guessed, SW_GUESS_ROTOR_START,
                      sw_quantity_of(rotor->static_torque_min, NAN, "1"), sw_quantity_unknown());
    if (rotor->bearing_guessed)
        sw_remark_add(guessed, SW_GUESS_BEARING, rotor->bearing_torque, sw_quantity_unknown());
}

/* Half or double, which a plus-minus does not tell: the words do. */
static sw_quantity without_u(sw_quantity assumed) {
    return sw_quantity_of(assumed.value, NAN, assumed.unit);
}

/* motor: as it was measured; used: filled up. */
static void list_motor(const sw_motor *motor, const sw_motor *used, sw_remarks *guessed) {
    const sw_quantity *constant = &motor->voltage_constant;
    const sw_quantity *resistance = &motor->winding_resistance;
    if (sw_quantity_known(*constant) && isnan(constant->u))
        sw_remark_add(guessed, SW_GUESS_CONSTANT, with_u(*constant, CONSTANT_U),
                      sw_quantity_unknown());
    if (sw_quantity_known(*resistance) && isnan(resistance->u))
        sw_remark_add(guessed, SW_GUESS_RESISTANCE, with_u(*resistance, RESISTANCE_U),
                      sw_quantity_unknown());
    if (motor->kind == SW_MAGNET_AC && !sw_quantity_known(motor->winding_inductance))
        sw_remark_add(guessed, SW_GUESS_INDUCTANCE, without_u(used->winding_inductance),
                      sw_quantity_unknown());
    if (!sw_quantity_known(motor->drag_torque.constant) &&
        !sw_quantity_known(motor->drag_torque.linear) &&
        !sw_quantity_known(motor->drag_torque.quadratic))
        sw_remark_add(guessed, SW_GUESS_DRAG, without_u(used->drag_torque.constant),
                      sw_quantity_unknown());
    if (!sw_quantity_known(motor->cogging_torque))
        sw_remark_add(guessed, SW_GUESS_COGGING, without_u(used->cogging_torque),
                      sw_quantity_unknown());
}

static void list_load(const sw_load *load, bool load_guessed, sw_remarks *guessed) {
    bool battery = load->kind == SW_LOAD_BATTERY;
    if (load_guessed || load->voltage_guessed)
        sw_remark_add(guessed, SW_GUESS_LOAD, load->voltage, sw_quantity_unknown());
    if (battery && load->resistance_guessed)
        sw_remark_add(guessed, SW_GUESS_BATTERY, load->resistance, sw_quantity_unknown());
    if (load->diode_guessed)
        sw_remark_add_plain(guessed, SW_GUESS_DIODE);
}

/* A uniform range as value and standard uncertainty. */
static sw_quantity of_range(sw_range range, const char *unit) {
    return sw_quantity_of(sw_range_middle(range), (range.high - range.low) / sqrt(12.0), unit);
}

void sw_guess_list(const sw_match_request *request, const sw_match *match, const sw_rim *rim,
                   sw_remarks *guessed) {
    list_site(request->site, guessed);
    list_rotor(request->rotor, guessed);
    list_motor(request->motor, &match->motor, guessed);
    list_load(&match->load, request->load == NULL, guessed);
    if (!match->recommended || !match->plant.drive.kind->pressed)
        return;
    const sw_surface *surface = sw_shop_surface(request->shop, match->plant.drive.wheel_mm);
    const sw_carriage *carriage = &request->rotor->carriage;
    sw_remark_add(guessed, SW_GUESS_FRICTION, of_range(surface->wet, "1"),
                  of_range(surface->rolling_mm, "mm"));
    if ((isnan(request->run_out_mm) && isnan(carriage->run_out_mm)) ||
        (isnan(request->moving_kg) && isnan(carriage->moving_kg)))
        sw_remark_add(guessed, SW_GUESS_RUN_OUT, sw_quantity_of(rim->run_out_mm, NAN, "mm"),
                      sw_quantity_of(rim->moving_kg, NAN, "kg"));
}

static double relative(sw_quantity quantity, double fallback) {
    if (!sw_quantity_known(quantity) || isnan(quantity.u) || quantity.value == 0)
        return fallback;
    return quantity.u / fabs(quantity.value);
}

/* Drag and cogging vary together: the uncertainty of their sum, each by its part of it. */
static double drag_u(const sw_motor *motor) {
    const sw_drag *drag = &motor->drag_torque;
    bool middle = sw_quantity_known(drag->middle_torque);
    sw_quantity torque = middle ? drag->middle_torque : drag->constant;
    double drag_nm = sw_quantity_known(torque) ? fabs(torque.value) : 0;
    double cogging_nm =
        sw_quantity_known(motor->cogging_torque) ? fabs(motor->cogging_torque.value) : 0;
    double sum_nm = drag_nm + cogging_nm;
    if (!(sum_nm > 0))
        return DRAG_U;
    return hypot(drag_nm * relative(torque, DRAG_U),
                 cogging_nm * relative(motor->cogging_torque, DRAG_U)) /
           sum_nm;
}

void sw_guess_doubts(const sw_match_request *request, const sw_motor *motor,
                     double u[SW_DOUBT_COUNT]) {
    u[SW_DOUBT_WIND] = relative(request->site->mean_wind, WIND_U);
    u[SW_DOUBT_ROTOR] = request->rotor->power_u_relative;
    u[SW_DOUBT_CONSTANT] = relative(motor->voltage_constant, CONSTANT_U);
    u[SW_DOUBT_DRAG] = drag_u(motor);
    u[SW_DOUBT_RESISTANCE] = relative(motor->winding_resistance, RESISTANCE_U);
    u[SW_DOUBT_INDUCTANCE] = relative(motor->winding_inductance, INDUCTANCE_U);
    u[SW_DOUBT_DRIVE] = 1;
}
