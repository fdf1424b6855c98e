/* Contact force of a wheel that a spring presses on a rim.
 *
 * The rim's surface moves in and out as e sin(W t), W = lumps a turn times rotor speed. Motor and
 * arm of mass m hang on a spring k and stand on a tyre kt that damps a little. Their motion x obeys
 * m x'' = -k x + kt* (rim - x), so the contact force swings by
 *   e |kt* (k - m W^2) / (k + kt* - m W^2)|,  kt* = kt (1 + j eta);
 * with a rigid tyre that is e |k - m W^2|: the spring's k e at a crawl, nothing at the carriage's
 * own swing sqrt(k/m), and m e W^2, with which the wheel leaves the rim, far above. The steady
 * answer of a linear carriage: what happens after the wheel has hopped is not followed.
 *
 * On an arm the drive force F adds gain F to the spring's force or takes it away. At the largest F
 * the sum must hold; the rest of the speeds need less and have it, because both sides grow in
 * proportion. A leading arm never lets the spring go below a quarter of what is needed: something
 * has to start the grip. */
#include "src/match/contact/grip.h"

#include "shared/constants.h"

#include <math.h>

enum { FREQUENCIES = 200 };

/* A spring so soft that run-out changes the force by a quarter of what is needed. */
static const double SOFT_SHARE = 0.25;

static const double LEAST_PRELOAD_SHARE = 0.25;

/* Loss factor of rubber and polyurethane: common practice, no source. */
static const double TYRE_LOSS = 0.15;

static double soft_spring_n_mm(double needed_n, double run_out_mm) {
    return run_out_mm > 0 ? SOFT_SHARE * needed_n / run_out_mm : 0;
}

static bool rigid(const sw_bounce *bounce) {
    return !(bounce->tyre_n_mm > 0);
}

double sw_bounce_n(const sw_bounce *bounce, double lumps_rad_s) {
    double e = 1e-3 * bounce->run_out_mm;
    double k = 1e3 * bounce->spring_n_mm;
    double free = k - bounce->moving_kg * lumps_rad_s * lumps_rad_s;
    if (rigid(bounce))
        return e * fabs(free);
    double kt = 1e3 * bounce->tyre_n_mm;
    double loss = TYRE_LOSS * kt;
    return e * fabs(free) * hypot(kt, loss) / hypot(free + kt, loss);
}

double sw_bounce_resonance_rad_s(const sw_bounce *bounce) {
    if (rigid(bounce) || !(bounce->moving_kg > 0))
        return INFINITY;
    return sqrt(1e3 * (bounce->spring_n_mm + bounce->tyre_n_mm) / bounce->moving_kg);
}

double sw_bounce_most_n(const sw_bounce *bounce, double lumps_rad_s) {
    double resonance = sw_bounce_resonance_rad_s(bounce);
    double most = resonance < lumps_rad_s ? sw_bounce_n(bounce, resonance) : 0;
    for (int i = 0; i <= FREQUENCIES; i++)
        most = fmax(most, sw_bounce_n(bounce, lumps_rad_s * i / FREQUENCIES));
    return most;
}

double sw_bounce_hop_rad_s(const sw_bounce *bounce, double mean_n, double most_rad_s) {
    double step = most_rad_s / (5 * FREQUENCIES);
    for (int i = 0; i <= 5 * FREQUENCIES; i++)
        if (sw_bounce_n(bounce, i * step) > mean_n)
            return i * step;
    return INFINITY;
}

/* mu N r >= S (T + N f), solved for N. */
static double needed(const sw_press_request *request) {
    double grip_mm = request->friction * 0.5 * request->wheel_mm;
    double spare_mm = grip_mm - request->safety * request->rolling_mm;
    return spare_mm > 0 ? request->safety * request->torque_nm / (1e-3 * spare_mm) : INFINITY;
}

sw_press sw_press_of(const sw_press_request *request) {
    sw_press press = {0};
    press.needed_n = needed(request);
    press.tangential_n = (request->torque_nm + press.needed_n * 1e-3 * request->rolling_mm) /
                         (0.5e-3 * request->wheel_mm);
    press.spring_n_mm = isnan(request->spring_n_mm)
                            ? soft_spring_n_mm(press.needed_n, request->run_out_mm)
                            : request->spring_n_mm;
    sw_bounce bounce = {press.spring_n_mm, request->tyre_n_mm, request->moving_kg,
                        request->run_out_mm};
    double swing_n = sw_bounce_most_n(&bounce, request->lumps * request->rotor_rad_s);
    double arm_n = request->arm_gain * press.tangential_n;
    press.mean_n = fmax(press.needed_n - arm_n, LEAST_PRELOAD_SHARE * press.needed_n) + swing_n;
    press.least_n = press.mean_n + arm_n - swing_n;
    press.most_n = press.mean_n + fmax(arm_n, 0) + swing_n;
    press.scale_kg = press.mean_n / SW_GRAVITY_M_S2;
    return press;
}

double sw_grip_force_n(double contact_n, double friction, double arm_gain) {
    double left = 1 - friction * arm_gain;
    return left > 0 ? friction * contact_n / left : INFINITY;
}
