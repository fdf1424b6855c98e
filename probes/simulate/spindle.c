/* A hand drill, a hand, and a shaft let go.
 *
 * While driven, the speed is what the trigger finger holds (a ramp, then the set speed with a
 * slow wander) times 1 + sum a_k cos(k angle + phase): once and twice a turn from chuck and
 * coupling, gear lines at ratios that are no whole numbers and so never lock to the shaft, and
 * the motor's own cogging, whose amplitude is T / (J k w^2). The angle is that speed's integral in
 * closed form, base + sum (a_k / k) sin(k base + phase), so that the EMF is the derivative of the
 * flux whatever the spin.
 *
 * Let go with the drill on, the same lines go on while drill and motor brake together. A freed
 * shaft follows J dw/dt = -(T0 + T1 w + T2 w^2) - cogging(angle) - unbalance(angle), stepped by
 * the midpoint rule. Cogging faster than the steps averages out: its mean over a step is
 * sinc(k w step / 2) of it.
 */
#include "probes/simulate/spindle.h"

#include "probes/simulate/draw.h"

#include <gsl/gsl_math.h>
#include <math.h>

static const double EASING_PER_S = 0.5;     /* of the speed: a trigger eased by hand */
static const double TRIGGER_S = 0.08;       /* how fast a drill follows its trigger */
static const double LARGEST_RIPPLE = 0.2;   /* cogging when hardly turning */
static const double SIDE_COGGING = 0.2;     /* at slots and poles a turn, share of the main */
static const double CREEP_RAD_PER_S = 0.05; /* below this, dry friction fades to zero */

static int multiple(int a, int b) {
    int x = a;
    int y = b;
    while (y != 0) {
        int rest = x % y;
        x = y;
        y = rest;
    }
    return a / x * b;
}

/* Periods of the cogging torque a turn. */
static int cogging_order(const sw_sim_motor *motor) {
    int poles = 2 * motor->pole_pairs;
    if (motor->kind == SW_SIM_BRUSHED || motor->winding == SW_SIM_SLOTS)
        return multiple(motor->slots, poles);
    return motor->winding == SW_SIM_U_CORE ? poles : 2 * poles;
}

static void add_line(sw_spindle *spindle, double order, double amplitude, double torque_nm) {
    if ((amplitude <= 0 && torque_nm <= 0) || spindle->lines >= SW_SPINDLE_LINES)
        return;
    double phase = sw_draw_between(spindle->random, 0, 2 * M_PI);
    spindle->line[spindle->lines++] = (sw_spindle_line){order, amplitude, torque_nm, phase, 0};
}

static void list_lines(sw_spindle *spindle) {
    const sw_sim_spin *spin = &spindle->spec->spin;
    const sw_sim_motor *motor = &spindle->spec->motor;
    add_line(spindle, 1, spin->turn_ripple, 0);
    add_line(spindle, 2, spin->second_ripple, 0);
    for (int g = 0; g < SW_SIM_GEAR_LIMIT; g++)
        add_line(spindle, spin->gear_ratio[g], spin->gear_ripple[g], 0);
    add_line(spindle, cogging_order(motor), 0, motor->cogging_nm);
    if (motor->winding == SW_SIM_SLOTS && motor->kind == SW_SIM_MAGNET_AC) {
        add_line(spindle, motor->slots, 0, SIDE_COGGING * motor->cogging_nm);
        add_line(spindle, 2.0 * motor->pole_pairs, 0, SIDE_COGGING * motor->cogging_nm);
    }
}

static double radians_per_s(double rpm) {
    return rpm * 2 * M_PI / 60;
}

double sw_spindle_hold_from(const sw_sim_spin *spin) {
    if (spin->ramp_rpm_per_s <= 0)
        return 0;
    return spin->lead_in_s + spin->speed_rpm / spin->ramp_rpm_per_s + 7 * TRIGGER_S;
}

/* The speed to be held may change while it turns. */
static void ease(sw_spindle *spindle, double step_s) {
    const sw_sim_spin *spin = &spindle->spec->spin;
    double change = spin->speed_rpm - spindle->held_rpm;
    double most = EASING_PER_S * fmax(spin->speed_rpm, spindle->held_rpm) * step_s;
    spindle->held_rpm += fabs(change) > most ? copysign(most, change) : change;
}

/* Of ease: dn/dt = -c n on the way down, c n_to on the way up; then the drill follows. */
double sw_spindle_easing_s(double from_rpm, double to_rpm) {
    if (!(from_rpm > 0) || !(to_rpm > 0))
        return 7 * TRIGGER_S;
    double eased_s = to_rpm < from_rpm ? log(from_rpm / to_rpm) / EASING_PER_S
                                       : (1 - from_rpm / to_rpm) / EASING_PER_S;
    return eased_s + 7 * TRIGGER_S;
}

static double wanted_speed(const sw_spindle *spindle, double time_s) {
    const sw_sim_spin *spin = &spindle->spec->spin;
    if (spin->ramp_rpm_per_s <= 0)
        return radians_per_s(spindle->held_rpm);
    double rpm = spin->ramp_rpm_per_s * (time_s - spin->lead_in_s);
    return radians_per_s(fmin(fmax(rpm, 0), spindle->held_rpm));
}

/* Two equal poles after white noise; the second halves the variance. */
static void wander_on(sw_spindle *spindle, double step_s) {
    const sw_sim_spin *spin = &spindle->spec->spin;
    if (spin->wobble <= 0 || spin->wobble_hz <= 0)
        return;
    double a = 2 * M_PI * spin->wobble_hz * step_s;
    spindle->wander_raw +=
        -a * spindle->wander_raw + sw_draw_normal(spindle->random, spin->wobble * sqrt(4 * a));
    spindle->wander += a * (spindle->wander_raw - spindle->wander);
}

static double drag(const sw_sim_motor *motor, double speed, double creep) {
    return motor->drag_constant_nm * tanh(speed / creep) + motor->drag_linear * speed +
           motor->drag_quadratic * speed * fabs(speed);
}

/* Mean of sin or cos(order angle) over a step, relative to its value in the middle: sin x / x, its
 * series where that is within 4e-10 (the library's took a fifth of the whole time). */
static double averaged(double order, double speed, double step_s) {
    double x = order * speed * step_s / 2;
    double square = x * x;
    if (square < 0.04)
        return 1 - square / 6 * (1 - square / 20 * (1 - square / 42));
    return sin(x) / x;
}

static double ripple_of(const sw_spindle *spindle, const sw_spindle_line *line, double step_s) {
    if (line->torque_nm <= 0)
        return line->amplitude;
    double w = spindle->base_speed;
    double inertia = spindle->spec->motor.inertia_kgm2 + spindle->spec->spin.drill_inertia_kgm2;
    double relative = line->torque_nm / (inertia * line->order * fmax(w * w, 1e-9));
    return fmin(relative, LARGEST_RIPPLE) * averaged(line->order, w, step_s);
}

/* Angle and speed from the base and the ripple lines. An amplitude that changes (cogging, while
 * the speed does) adds its own rate to the speed. */
static void superpose(sw_spindle *spindle, double step_s) {
    spindle->angle_rad = spindle->base_rad;
    spindle->speed = spindle->base_speed;
    for (size_t i = 0; i < spindle->lines; i++) {
        sw_spindle_line *line = &spindle->line[i];
        double a = ripple_of(spindle, line, step_s);
        double x = line->order * spindle->base_rad + line->phase_rad;
        double rate = step_s > 0 ? (a - line->now) / step_s : 0;
        spindle->angle_rad += a / line->order * sin(x);
        spindle->speed += spindle->base_speed * a * cos(x) + rate / line->order * sin(x);
        line->now = a;
    }
}

void sw_spindle_start(sw_spindle *spindle, const sw_sim_spec *spec, gsl_rng *random) {
    *spindle = (sw_spindle){.spec = spec, .random = random, .held_rpm = spec->spin.speed_rpm};
    list_lines(spindle);
    spindle->base_rad = sw_draw_between(random, 0, 2 * M_PI);
    if (spec->spin.ramp_rpm_per_s <= 0)
        spindle->base_speed = radians_per_s(spec->spin.speed_rpm);
    superpose(spindle, 0);
}

static void advance_base(sw_spindle *spindle, double next_speed, double step_s) {
    spindle->base_rad += (spindle->base_speed + next_speed) / 2 * step_s;
    spindle->base_speed = next_speed;
    superpose(spindle, step_s);
}

static void step_driven(sw_spindle *spindle, double time_s, double step_s) {
    wander_on(spindle, step_s);
    ease(spindle, step_s);
    double wanted = wanted_speed(spindle, time_s) * (1 + spindle->wander);
    double lag = spindle->spec->spin.ramp_rpm_per_s > 0 ? 1 - exp(-step_s / TRIGGER_S) : 1;
    advance_base(spindle, spindle->base_speed + lag * (wanted - spindle->base_speed), step_s);
}

static double creep_of(double friction_nm, double inertia, double step_s) {
    return fmax(CREEP_RAD_PER_S, 2 * friction_nm / inertia * step_s);
}

static void step_with_drill(sw_spindle *spindle, double step_s) {
    const sw_sim_motor *motor = &spindle->spec->motor;
    const sw_sim_spin *spin = &spindle->spec->spin;
    double inertia = motor->inertia_kgm2 + spin->drill_inertia_kgm2;
    double creep = creep_of(motor->drag_constant_nm + spin->drill_friction_nm, inertia, step_s);
    double w = spindle->base_speed;
    double torque =
        drag(motor, w, creep) + spin->drill_friction_nm * tanh(w / creep) + spin->drill_linear * w;
    advance_base(spindle, fmax(0, w - torque / inertia * step_s), step_s);
}

static double acceleration(const sw_spindle *spindle, double angle, double speed, double step_s) {
    const sw_sim_motor *motor = &spindle->spec->motor;
    double creep = creep_of(motor->drag_constant_nm, motor->inertia_kgm2, step_s);
    double torque = drag(motor, speed, creep) + motor->unbalance_nm * sin(angle);
    for (size_t i = 0; i < spindle->lines; i++) {
        const sw_spindle_line *line = &spindle->line[i];
        if (line->torque_nm > 0)
            torque += line->torque_nm * averaged(line->order, speed, step_s) *
                      sin(line->order * angle + line->phase_rad);
    }
    return -torque / motor->inertia_kgm2;
}

static void step_free(sw_spindle *spindle, double step_s) {
    double angle = spindle->angle_rad;
    double speed = spindle->speed;
    double first = acceleration(spindle, angle, speed, step_s);
    double middle =
        acceleration(spindle, angle + speed * step_s / 2, speed + first * step_s / 2, step_s);
    spindle->speed = speed + middle * step_s;
    spindle->angle_rad = angle + (speed + spindle->speed) / 2 * step_s;
}

void sw_spindle_step(sw_spindle *spindle, double time_s, double step_s) {
    const sw_sim_spin *spin = &spindle->spec->spin;
    bool let_go = spin->coast != SW_SIM_COAST_NO && time_s >= spin->release_s;
    if (!let_go)
        step_driven(spindle, time_s, step_s);
    else if (spin->coast == SW_SIM_COAST_DRILL)
        step_with_drill(spindle, step_s);
    else
        step_free(spindle, step_s);
    spindle->free = let_go && spin->coast == SW_SIM_COAST_FREE;
}
