#include "src/match/year/budget.h"

#include "shared/constants.h"

#include <math.h>

/* Powers that are worked out wind by wind; what is left of the rotor's best is off its best. */
static const sw_loss WORKED_OUT[] = {SW_LOSS_BEARINGS, SW_LOSS_DRIVE,  SW_LOSS_DRAG,
                                     SW_LOSS_COPPER,   SW_LOSS_DIODES, SW_LOSS_TOO_LIGHT};
enum { WORKED = sizeof WORKED_OUT / sizeof *WORKED_OUT };

/* What the rotor would give at its best Cp, less what turning takes as it is. */
static double too_light_w(const sw_plant *plant, double wind_m_s, const double *loss_w) {
    double passing_w = 0.5 * plant->density * plant->rotor->swept_area_m2 * pow(wind_m_s, 3);
    double left_w = wind_m_s > 0 ? passing_w * sw_rotor_peak(plant->rotor, wind_m_s, NULL) : 0;
    for (size_t i = 0; i < WORKED; i++)
        left_w -= WORKED_OUT[i] == SW_LOSS_TOO_LIGHT ? 0 : loss_w[WORKED_OUT[i]];
    return fmax(left_w, 0);
}

/* Power of each loss at one point of the curve; that off the best speed is left to the caller. */
static void losses_at(const sw_plant *plant, double speed_rad_s, double loss_w[SW_LOSS_COUNT]) {
    double speed_rpm = sw_plant_generator_rpm(plant, speed_rad_s);
    double shaft_rad_s = speed_rpm / SW_RPM_PER_RAD_S;
    double drag_w = plant->drive.wheels * sw_motor_drag_nm(plant->motor, speed_rpm) * shaft_rad_s;
    double electric_w = sw_plant_at(plant, SW_GENERATOR_TORQUE, speed_rad_s) * shaft_rad_s;
    double bearing_w = speed_rad_s * plant->rotor->bearing_torque.value;
    double taken_w = speed_rad_s * sw_plant_load_nm(plant, speed_rad_s);
    loss_w[SW_LOSS_BEARINGS] = bearing_w;
    loss_w[SW_LOSS_DRAG] = drag_w;
    loss_w[SW_LOSS_DRIVE] = taken_w - bearing_w - drag_w - electric_w;
    loss_w[SW_LOSS_COPPER] = sw_plant_at(plant, SW_GENERATOR_COPPER, speed_rad_s);
    loss_w[SW_LOSS_DIODES] = sw_plant_at(plant, SW_GENERATOR_DIODE, speed_rad_s);
}

sw_budget sw_budget_of(const sw_plant *plant, const sw_power_curve *curve, const sw_site *site,
                       double best_kwh, double dc_kwh, double usable_kwh) {
    sw_budget budget = {.best_kwh = best_kwh, .usable_kwh = usable_kwh};
    double wind[SW_CURVE_LIMIT];
    double power[SW_LOSS_COUNT][SW_CURVE_LIMIT];
    for (size_t i = 0; i < curve->count; i++) {
        double loss_w[SW_LOSS_COUNT] = {0};
        wind[i] = curve->point[i].wind_m_s;
        if (curve->point[i].started_rad_s > 0)
            losses_at(plant, curve->point[i].started_rad_s, loss_w);
        if (!(curve->point[i].started_w > 0))
            loss_w[SW_LOSS_TOO_LIGHT] = too_light_w(plant, wind[i], loss_w);
        for (size_t j = 0; j < SW_LOSS_COUNT; j++)
            power[j][i] = loss_w[j];
    }
    double taken_kwh = dc_kwh;
    for (size_t i = 0; i < WORKED; i++) {
        sw_loss loss = WORKED_OUT[i];
        budget.loss_kwh[loss] = sw_year_kwh(wind, power[loss], curve->count, site, 1);
        taken_kwh += budget.loss_kwh[loss];
    }
    budget.loss_kwh[SW_LOSS_OFF_BEST] = best_kwh - taken_kwh;
    budget.loss_kwh[SW_LOSS_AFTER] = dc_kwh - usable_kwh;
    budget.loss_free_kwh = dc_kwh + budget.loss_kwh[SW_LOSS_DRAG] +
                           budget.loss_kwh[SW_LOSS_COPPER] + budget.loss_kwh[SW_LOSS_DIODES];
    return budget;
}
