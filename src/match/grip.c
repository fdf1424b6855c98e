#include "src/match/grip.h"

#include <math.h>

static const double GRAVITY = 9.80665;

/* A spring so soft that run-out changes the force by a quarter of what is needed. */
static const double SOFT_SHARE = 0.25;

static double soft_spring_n_mm(double needed_n, double run_out_mm) {
    return run_out_mm > 0 ? SOFT_SHARE * needed_n / run_out_mm : 0;
}

sw_press sw_press_of(const sw_press_request *request) {
    sw_press press = {0};
    double swing = request->lumps * request->rotor_rad_s;
    double throw_n = request->moving_kg * request->run_out_mm * 1e-3 * swing * swing;
    press.tangential_n = request->torque_nm / (0.5e-3 * request->wheel_mm);
    press.needed_n = request->safety * press.tangential_n / request->friction;
    press.spring_n_mm = isnan(request->spring_n_mm)
                            ? soft_spring_n_mm(press.needed_n, request->run_out_mm)
                            : request->spring_n_mm;
    double swing_n = press.spring_n_mm * request->run_out_mm;
    press.mean_n = press.needed_n + swing_n + throw_n;
    press.least_n = press.mean_n - swing_n - throw_n;
    press.most_n = press.mean_n + swing_n + throw_n;
    press.scale_kg = press.mean_n / GRAVITY;
    return press;
}

double sw_grip_torque_nm(double contact_n, double friction, double wheel_mm) {
    return contact_n * friction * 0.5e-3 * wheel_mm;
}
