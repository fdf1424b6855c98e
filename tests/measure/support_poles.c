#include "tests/measure/support_poles.h"
#include "shared/constants.h"

#include <complex.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdlib.h>

enum { TABLE = 128, ORDER_MULTIPLE = 6, STEPS = 32 };

static const model_family FAMILIES[] = {
    {"pump 1-phase 2 poles", 1, 1, 0},
    {"9/6", 3, 3, 9},
    {"9/8", 3, 4, 9},
    {"12/8", 3, 4, 12},
    {"9/12", 3, 6, 9},
    {"12/14", 3, 7, 12},
    {"18/16", 3, 8, 18},
    {"12/16", 3, 8, 12},
    {"27/30", 3, 15, 27},
    {"36/30", 3, 15, 36},
    {"36/42", 3, 21, 36},
    {"51/46", 3, 23, 51},
    {"36/48", 3, 24, 36},
    {"42/56", 3, 28, 42},
    {"63/56", 3, 28, 63},
    {"stepper 2-phase 100 poles", 2, 50, 40},
};

const model_family *model_families(size_t *count) {
    *count = sizeof FAMILIES / sizeof *FAMILIES;
    return FAMILIES;
}

static double between(gsl_rng *random, double low, double high) {
    return low + (high - low) * gsl_rng_uniform(random);
}

static double log_between(gsl_rng *random, double low, double high) {
    return exp(between(random, log(low), log(high)));
}

model_motor model_draw(const model_family *family, gsl_rng *random) {
    model_motor motor = {.family = *family};
    motor.strength_spread = log_between(random, 0.003, 0.03);
    motor.place_spread = log_between(random, 0.002, 0.01);
    motor.runout = log_between(random, 0.0005, 0.01);
    motor.hold_rpm = log_between(random, 200.0, 1500.0);
    motor.ramp_s = between(random, 0.5, 1.5);
    motor.hold_s = between(random, 2.0, 8.0);
    motor.coast_s = between(random, 0.5, 3.0);
    motor.wobble = log_between(random, 0.002, 0.03);
    motor.wobble_hz = log_between(random, 0.3, 3.0);
    motor.ripple[0] = log_between(random, 0.0003, 0.01);
    motor.ripple[1] = motor.ripple[0] * between(random, 0.1, 0.7);
    for (int i = 0; i < 2; i++) {
        motor.gear[i] = log_between(random, 0.0003, 0.005);
        motor.gear_ratio[i] = log_between(random, 2.5, 60.0);
    }
    motor.noise = log_between(random, 0.001, 0.1);
    return motor;
}

/* Coil i's share in the measured voltage by the star of slots: phase A, less phase B when there
 * are three. */
static double coil_share(const model_family *family, int coil) {
    double angle = fmod(360.0 * family->pole_pairs * coil / family->slots + 3600.0, 360.0);
    double sector = family->phases == 3 ? 60.0 : 90.0;
    int index = (int)floor(fmod(angle + sector / 2.0 + 1e-9, 360.0) / sector);

    static const double LINE_B[] = {0.0, 0.0, 1.0, 0.0, 0.0, -1.0};
    static const double TWO[] = {1.0, 0.0, -1.0, 0.0};
    if (family->phases == 2)
        return TWO[index];
    double phase_a = index == 0 ? 1.0 : index == 3 ? -1.0 : 0.0;

    return phase_a - LINE_B[index];
}

/* How the winding sees order nu; with run-out of the stator the coils are not alike. */
static double complex winding(const model_motor *motor, int nu, double runout_angle) {
    const model_family *family = &motor->family;
    if (family->slots == 0)
        return nu % family->pole_pairs == 0 ? 1.0 : 0.0;
    double complex sum = 0.0;
    for (int i = 0; i < family->slots; i++) {
        double at = 2.0 * M_PI * i / family->slots;
        double gap = 1.0 + motor->runout * cos(at - runout_angle);
        sum += coil_share(family, i) * gap * cexp(-I * (nu * at));
    }
    return sum * sin(M_PI * nu / family->slots) / family->slots;
}

/* EMF over speed against shaft angle, one turn in TABLE * p steps, fundamental about 1. */
static double *make_wave(const model_motor *motor, gsl_rng *random) {
    int p = motor->family.pole_pairs;
    size_t size = (size_t)TABLE * (size_t)p;
    double *wave = calloc(size + 1, sizeof *wave);
    double *strength = calloc(2 * (size_t)p, sizeof *strength);
    double *place = calloc(2 * (size_t)p, sizeof *place);
    double rotor_angle = between(random, 0.0, 2.0 * M_PI);
    double stator_angle = between(random, 0.0, 2.0 * M_PI);
    for (int j = 0; j < 2 * p; j++) {
        place[j] = (j + gsl_ran_gaussian(random, motor->place_spread)) / (2.0 * p);
        strength[j] = (1.0 + gsl_ran_gaussian(random, motor->strength_spread)) *
                      (1.0 + motor->runout * cos(2.0 * M_PI * place[j] - rotor_angle));
        strength[j] *= j % 2 ? -1.0 : 1.0;
    }
    for (int nu = 1; nu <= ORDER_MULTIPLE * p; nu++) {
        double complex seen = winding(motor, nu, stator_angle);
        if (cabs(seen) < 1e-9)
            continue;
        double complex field = 0.0;
        for (int j = 0; j < 2 * p; j++)
            field += strength[j] * cexp(-2.0 * M_PI * I * nu * place[j]);
        /* a magnet of 0.8 pitches; thin gap smooths high orders */
        field *= sin(0.4 * M_PI * nu / p) / nu * exp(-0.3 * nu / p);
        double complex emf = field * seen * nu;
        for (size_t k = 0; k < size; k++)
            wave[k] += creal(emf * cexp(2.0 * M_PI * I * nu * (double)k / (double)size));
    }
    double complex main = 0.0;
    for (size_t k = 0; k < size; k++)
        main += wave[k] * cexp(-2.0 * M_PI * I * (double)k / TABLE);
    for (size_t k = 0; k < size; k++)
        wave[k] *= (double)size / (2.0 * cabs(main));
    wave[size] = wave[0];
    free(strength);
    free(place);
    return wave;
}

static double wave_at(const model_motor *motor, const double *wave, double turns) {
    double at = (turns - floor(turns)) * TABLE * motor->family.pole_pairs;
    size_t low = (size_t)at;
    double share = at - (double)low;
    return wave[low] + share * (wave[low + 1] - wave[low]);
}

/* The spindle, integrated in steps of 1/STEPS cycle. */
typedef struct spindle {
    double wobble;
    double phase[4];
} spindle;

static double speed_at(const model_motor *motor, const spindle *state, double time_s,
                       double turns) {
    double end_s = motor->ramp_s + motor->hold_s;
    double share = 1.0;
    if (time_s < motor->ramp_s)
        share = fmax(0.08, time_s / motor->ramp_s);
    else if (time_s > end_s)
        share = fmax(0.0, 1.0 - 0.9 * (time_s - end_s) / motor->coast_s);
    double driven = time_s < end_s ? 1.0 : 0.3;
    double locked = motor->ripple[0] * cos(2.0 * M_PI * turns + state->phase[0]) +
                    motor->ripple[1] * cos(4.0 * M_PI * turns + state->phase[1]);
    double gears = 0.0;
    for (int i = 0; i < 2; i++)
        gears +=
            motor->gear[i] * cos(2.0 * M_PI * motor->gear_ratio[i] * turns + state->phase[2 + i]);
    return motor->hold_rpm / 60.0 * share * (1.0 + state->wobble + driven * (locked + gears));
}

static void step_wobble(const model_motor *motor, spindle *state, double step_s, gsl_rng *random) {
    double keep = exp(-2.0 * M_PI * motor->wobble_hz * step_s);
    state->wobble =
        state->wobble * keep + gsl_ran_gaussian(random, motor->wobble * sqrt(1.0 - keep * keep));
}

typedef struct steps {
    size_t count;
    double *time_s;
    double *speed; /* turns a second */
} steps;

static steps run_spindle(const model_motor *motor, gsl_rng *random) {
    double last_s = motor->ramp_s + motor->hold_s + motor->coast_s;
    double step_turns = 1.0 / (STEPS * motor->family.pole_pairs);
    size_t room = (size_t)(1.3 * last_s * motor->hold_rpm / 60.0 / step_turns) + 1000;
    steps all = {0, calloc(room, sizeof(double)), calloc(room, sizeof(double))};
    spindle state = {0.0, {0}};
    for (int i = 0; i < 4; i++)
        state.phase[i] = between(random, 0.0, 2.0 * M_PI);
    double time_s = 0.0;
    while (all.count < room && time_s < last_s) {
        double speed = speed_at(motor, &state, time_s, (double)all.count * step_turns);
        all.time_s[all.count] = time_s;
        all.speed[all.count++] = speed;
        step_wobble(motor, &state, step_turns / speed, random);
        time_s += step_turns / speed;
    }
    return all;
}

static double time_at(const steps *all, double cycle) {
    double at = fmax(0.0, fmin(cycle * STEPS, (double)(all->count - 2)));
    size_t low = (size_t)at;
    return all->time_s[low] + (at - (double)low) * (all->time_s[low + 1] - all->time_s[low]);
}

/* Cycle position (in cycles) at a time; searched from `from` on. */
static double cycle_at(const steps *all, double time_s, size_t *from) {
    while (*from + 2 < all->count && all->time_s[*from + 1] < time_s)
        (*from)++;
    double low = all->time_s[*from];
    return ((double)*from + (time_s - low) / (all->time_s[*from + 1] - low)) / STEPS;
}

/* Upward zero crossing of the fundamental over the cycle that begins near `cycle`. */
static double crossing(const model_motor *motor, const double *wave, double cycle) {
    double complex sum = 0.0;
    for (int k = 0; k < STEPS; k++) {
        double at = cycle + ((double)k - STEPS / 2.0) / STEPS;
        sum += wave_at(motor, wave, at / motor->family.pole_pairs) * cexp(-2.0 * M_PI * I * at);
    }
    return cycle - (carg(sum) + M_PI / 2.0) / (2.0 * M_PI);
}

static double nearest_turn(double value) {
    return value - round(value);
}

void model_cycles(const model_motor *motor, gsl_rng *random, sw_cycles *cycles,
                  double *frequency_hz) {
    double *wave = make_wave(motor, random);
    steps all = run_spindle(motor, random);
    int p = motor->family.pole_pairs;
    double hold_hz = motor->hold_rpm / 60.0 * p;
    size_t most = all.count / STEPS;
    most = most > 4 ? most - 4 : 0;
    cycles->cycle = calloc(most + 1, sizeof *cycles->cycle);
    cycles->count = 0;
    double *start = calloc(most + 2, sizeof *start);
    double *noise_s = calloc(most + 2, sizeof *noise_s);
    /* the least-squares phase of one cycle: u = noise sqrt(2 / points) radians */
    for (size_t i = 0; i <= most; i++) {
        double base = (double)i + 1.0;
        double at = base + nearest_turn(crossing(motor, wave, base) - base);
        size_t step = (size_t)(base * STEPS);
        double here_hz = all.speed[step] * p;
        noise_s[i] = motor->noise * hold_hz / here_hz * sqrt(2.0 / STEPS) / (2.0 * M_PI * here_hz);
        start[i] = time_at(&all, at) + gsl_ran_gaussian(random, noise_s[i]);
    }
    size_t from = 0;
    double sum_hz = 0.0;
    size_t held = 0;
    for (size_t i = 0; i < most; i++) {
        sw_cycle *cycle = &cycles->cycle[cycles->count++];
        cycle->start_s = start[i];
        cycle->length_s = fmax(start[i + 1] - start[i], 1e-6);
        cycle->length_u_s = noise_s[i] * sqrt(2.0);
        double mean_hz = 1.0 / cycle->length_s;
        cycle->shape_u = motor->noise * hold_hz / mean_hz;
        cycle->flux_u = cycle->shape_u * sqrt(2.0 / STEPS);
        for (int k = 0; k < SW_CYCLE_POINTS; k++) {
            double time_s = start[i] + cycle->length_s * k / SW_CYCLE_POINTS;
            double at = cycle_at(&all, time_s, &from);
            double speed = all.speed[(size_t)(at * STEPS)] * p / mean_hz;
            cycle->shape[k] =
                speed * wave_at(motor, wave, at / p) + gsl_ran_gaussian(random, cycle->shape_u);
            cycle->flux +=
                2.0 * cycle->shape[k] * sin(2.0 * M_PI * k / SW_CYCLE_POINTS) / SW_CYCLE_POINTS;
            if (k > 0)
                continue;
            from = from > STEPS ? from - STEPS : 0;
        }
        if (start[i] > motor->ramp_s && start[i] < motor->ramp_s + motor->hold_s) {
            sum_hz += cycle->length_s;
            held++;
        }
    }
    *frequency_hz = held ? (double)held / sum_hz : hold_hz;
    free(start);
    free(noise_s);
    free(wave);
    free(all.time_s);
    free(all.speed);
}
