#include "src/match/grip.h"

#include "shared/constants.h"

#include <math.h>

/* A spring so soft that run-out changes the force by a quarter of what is needed. */
static const double SOFT_SHARE = 0.25;

static double soft_spring_n_mm(double needed_n, double run_out_mm) {
    return run_out_mm > 0 ? SOFT_SHARE * needed_n / run_out_mm : 0;
}

/* mu N r >= S (T + N f), solved for N. */
static double needed(const sw_press_request *request) {
    double grip_mm = request->friction * 0.5 * request->wheel_mm;
    double spare_mm = grip_mm - request->safety * request->rolling_mm;
    return spare_mm > 0 ? request->safety * request->torque_nm / (1e-3 * spare_mm) : INFINITY;
}

sw_press sw_press_of(const sw_press_request *request) {
    sw_press press = {0};
    double swing = request->lumps * request->rotor_rad_s;
    double throw_n = request->moving_kg * request->run_out_mm * 1e-3 * swing * swing;
    press.needed_n = needed(request);
    press.tangential_n = (request->torque_nm + press.needed_n * 1e-3 * request->rolling_mm) /
                         (0.5e-3 * request->wheel_mm);
    press.spring_n_mm = isnan(request->spring_n_mm)
                            ? soft_spring_n_mm(press.needed_n, request->run_out_mm)
                            : request->spring_n_mm;
    double swing_n = press.spring_n_mm * request->run_out_mm;
    press.mean_n = press.needed_n + swing_n + throw_n;
    press.least_n = press.mean_n - swing_n - throw_n;
    press.most_n = press.mean_n + swing_n + throw_n;
    press.scale_kg = press.mean_n / SW_GRAVITY_M_S2;
    return press;
}

double sw_grip_torque_nm(double contact_n, double friction, double wheel_mm) {
    return contact_n * friction * 0.5e-3 * wheel_mm;
}
