/* A motor of a family, with its tolerances, spun and recorded in a usual way. */
#include "probes/simulate/simulate.h"

#include "probes/simulate/draw.h"
#include "probes/simulate/family_table.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

const char *sw_sim_family_name(size_t index) {
    return sw_sim_family_row_at(index) != NULL ? sw_sim_family_row_at(index)->name : NULL;
}

const char *sw_sim_family_about(size_t index) {
    return sw_sim_family_row_at(index) != NULL ? sw_sim_family_row_at(index)->about : NULL;
}

static double around(gsl_rng *random, double value, double factor) {
    return value * sw_draw_log(random, 1 / factor, factor);
}

static void draw_volts(const sw_sim_family_row *row, gsl_rng *random, sw_sim_motor *motor) {
    double per_krpm = sw_draw_log(random, row->volts[0], row->volts[1]);
    double turns = per_krpm / sqrt(row->volts[0] * row->volts[1]);
    motor->volts_per_rpm = per_krpm / 1000;
    /* n = 60 f / p */
    motor->volts_per_hertz =
        row->kind == SW_SIM_BRUSHED ? 0 : motor->volts_per_rpm * 60 / motor->pole_pairs;
    motor->resistance_ohm = around(random, row->ohm * turns * turns, 1.25);
    motor->inductance_h = around(random, row->mh * turns * turns / 1000, 1.25);
}

/* Magnets of one moulded ring differ little one by one but are magnetised unevenly round the
 * turn; glued ones differ singly. Gaps of steppers are a few hundredths of a millimetre, so that
 * their run-out is a large share. */
static void draw_tolerances(const sw_sim_family_row *row, gsl_rng *random, sw_sim_motor *motor) {
    bool toothed = row->winding == SW_SIM_HYBRID;
    bool moulded = row->segment >= row->poles;
    double single = toothed ? 0.15 : moulded ? 0.4 : 1;
    motor->strength_sd = single * sw_draw_log(random, 0.006, 0.025);
    motor->batch_sd = moulded ? 0 : sw_draw_log(random, 0.004, 0.02);
    motor->position_sd_deg = single * sw_draw_between(random, 0.3, 1.0);
    motor->runout = (toothed ? 3 : 1) * sw_draw_log(random, 0.004, 0.03);
    motor->stator_offset = (toothed ? 2 : 1) * sw_draw_log(random, 0.003, 0.025);
    motor->coil_sd = sw_draw_log(random, 2e-4, 2e-3);
    motor->magnet_arc = sw_draw_between(random, 0.72, 0.98);
    motor->magnet_edge =
        toothed ? sw_draw_between(random, 0.18, 0.25) : sw_draw_between(random, 0.04, 0.14);
    motor->unbalance_nm = 0.03 * row->drag[0] * sw_draw_between(random, 0, 1);
}

static void draw_motor(const sw_sim_family_row *row, gsl_rng *random, sw_sim_motor *motor) {
    *motor = (sw_sim_motor){.kind = row->kind,
                            .winding = row->winding,
                            .phases = row->phases,
                            .pole_pairs = row->poles / 2,
                            .slots = row->slots,
                            .span = row->span,
                            .segment_poles = row->segment};
    snprintf(motor->family, sizeof motor->family, "%s", row->name);
    draw_volts(row, random, motor);
    draw_tolerances(row, random, motor);
    motor->inertia_kgm2 = around(random, row->inertia, 1.4);
    motor->drag_constant_nm = around(random, row->drag[0], 1.6);
    motor->drag_linear = around(random, row->drag[1], 1.6);
    motor->drag_quadratic = around(random, row->drag[2], 1.6);
    motor->cogging_nm = around(random, row->cogging, 2);
    motor->brush_drop_v = row->kind == SW_SIM_BRUSHED ? sw_draw_between(random, 0.8, 2) : 0;
}

static void draw_coast(gsl_rng *random, sw_sim_spin *spin) {
    double chance = sw_draw_between(random, 0, 1);
    spin->coast = chance < 0.35   ? SW_SIM_COAST_NO
                  : chance < 0.75 ? SW_SIM_COAST_FREE
                                  : SW_SIM_COAST_DRILL;
    double ramp_s = spin->speed_rpm / spin->ramp_rpm_per_s;
    spin->release_s = spin->lead_in_s + ramp_s + sw_draw_between(random, 4, 7);
    spin->seconds =
        spin->release_s + (spin->coast == SW_SIM_COAST_NO ? 0 : sw_draw_between(random, 2, 5));
}

/* A hand drill; ratios of its gears are near 11 and 38 a turn and never whole. */
static void draw_spin(const sw_sim_family_row *row, gsl_rng *random, sw_sim_spin *spin) {
    *spin = (sw_sim_spin){.lead_in_s = sw_draw_between(random, 0.2, 0.8),
                          .ramp_rpm_per_s = sw_draw_log(random, 100, 350),
                          .speed_rpm = sw_draw_log(random, row->rpm[0], row->rpm[1])};
    spin->ramp_rpm_per_s = fmax(spin->ramp_rpm_per_s, spin->speed_rpm / 6);
    spin->wobble = sw_draw_log(random, 0.002, 0.02);
    spin->wobble_hz = sw_draw_between(random, 0.5, 3);
    spin->turn_ripple = sw_draw_log(random, 3e-4, 6e-3);
    spin->second_ripple = sw_draw_log(random, 1e-4, 2e-3);
    spin->gear_ratio[0] = sw_draw_between(random, 11.15, 11.85);
    spin->gear_ratio[1] = sw_draw_between(random, 37.15, 37.85);
    spin->gear_ripple[0] = sw_draw_log(random, 1e-4, 2e-3);
    spin->gear_ripple[1] = sw_draw_log(random, 1e-4, 1e-3);
    spin->drill_inertia_kgm2 = sw_draw_log(random, 2e-3, 2e-2);
    spin->drill_friction_nm = sw_draw_between(random, 0.2, 0.6);
    spin->drill_linear = sw_draw_log(random, 1e-3, 5e-3);
    draw_coast(random, spin);
}

static int draw_channels(const sw_sim_motor *motor, gsl_rng *random) {
    double chance = sw_draw_between(random, 0, 1);
    if (motor->kind == SW_SIM_BRUSHED || motor->phases == 1 || chance < 0.4)
        return 1;
    return motor->phases == 3 && chance > 0.8 ? 3 : 2;
}

static void draw_sound_input(const sw_sim_motor *motor, gsl_rng *random, sw_sim_front *front) {
    *front = (sw_sim_front){.rate_hz = sw_draw_between(random, 0, 1) < 0.4 ? 44100 : 48000,
                            .channels = draw_channels(motor, random),
                            .level = sw_draw_between(random, 0.25, 0.7),
                            .bits = sw_draw_between(random, 0, 1) < 0.7 ? 16 : 24};
    front->clock_error = sw_draw_tolerance(random, 40e-6);
    front->input_ohm = sw_draw_log(random, 2e5, 2e6);
    front->low_cut_hz = sw_draw_log(random, 1, 8);
    front->linear_limit = sw_draw_between(random, 0.85, 1.0);
    front->noise = sw_draw_log(random, 3e-5, 1e-3);
    front->flicker = front->noise * sw_draw_between(random, 0.1, 0.5);
    front->hum = sw_draw_log(random, 1e-5, 2e-3);
    front->hum_hz =
        (sw_draw_between(random, 0, 1) < 0.6 ? 50 : 60) * (1 + sw_draw_tolerance(random, 4e-4));
    if (motor->kind == SW_SIM_NO_MAGNETS)
        front->volts_per_unit = sw_draw_log(random, 10, 50);
}

/* Steady volts need a DC-coupled input: a cheap scope with eight bits. */
static void turn_into_scope(gsl_rng *random, sw_sim_front *front) {
    front->scope = true;
    front->rate_hz = 10000;
    front->low_cut_hz = 0;
    front->linear_limit = 0;
    front->bits = 8;
    front->input_ohm = 1e6;
    front->offset = sw_draw_tolerance(random, 0.004);
    front->noise = sw_draw_log(random, 1e-3, 4e-3);
    front->flicker = 0;
}

static void set_family(const sw_sim_family_row *row, gsl_rng *random, sw_sim_spec *spec) {
    draw_motor(row, random, &spec->motor);
    draw_spin(row, random, &spec->spin);
    draw_sound_input(&spec->motor, random, &spec->front);
    if (row->kind == SW_SIM_BRUSHED)
        turn_into_scope(random, &spec->front);
    spec->motor.delta =
        row->phases == 3 && spec->front.channels < 3 && sw_draw_between(random, 0, 1) < 0.1;
}

/* Number of the row, the table's length when there is none of that name. */
static size_t find_family(const char *name, gsl_rng *random) {
    size_t count = 0;
    while (sw_sim_family_row_at(count) != NULL)
        count++;
    if (name == NULL)
        return gsl_rng_uniform_int(random, count);
    size_t at = 0;
    while (at < count && strcmp(sw_sim_family_row_at(at)->name, name) != 0)
        at++;
    return at;
}

sw_status sw_sim_family(const char *name, unsigned long seed, sw_sim_spec *spec, sw_error *error) {
    gsl_rng *random = sw_draw_new(seed, SW_SIM_STREAM_FAMILY);
    if (random == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the simulation");
    size_t at = find_family(name, random);
    const sw_sim_family_row *row = sw_sim_family_row_at(at);
    *spec = (sw_sim_spec){.seed = seed};
    sw_status status = SW_OK;
    if (row != NULL) {
        /* One seed must not give every family the same tolerances. */
        gsl_rng_set(random, (gsl_rng_get(random) + at) & 0xffffffffU);
        set_family(row, random, spec);
    } else
        status = sw_fail(error, SW_NOT_FOUND,
                         "no motor family \"%.40s\"; --list shows those there are", name);
    gsl_rng_free(random);
    return status;
}

void sw_sim_turn_by_hand(sw_sim_spec *spec, double speed_rpm) {
    sw_sim_spin *spin = &spec->spin;
    spin->speed_rpm = speed_rpm;
    spin->ramp_rpm_per_s = speed_rpm; /* a second to get going */
    spin->wobble = 0.08;
    spin->wobble_hz = 1;
    spin->turn_ripple = 0.1;
    spin->second_ripple = 0.04;
    for (int g = 0; g < SW_SIM_GEAR_LIMIT; g++)
        spin->gear_ripple[g] = 0;
    spin->drill_inertia_kgm2 = 0;
    spin->drill_friction_nm = 0;
    spin->drill_linear = 0;
}

void sw_sim_idealise(sw_sim_spec *spec) {
    sw_sim_motor *motor = &spec->motor;
    motor->strength_sd = 0;
    motor->batch_sd = 0;
    motor->position_sd_deg = 0;
    motor->runout = 0;
    motor->stator_offset = 0;
    motor->coil_sd = 0;
    motor->weak_coil = 0;
    motor->unbalance_nm = 0;
    motor->cogging_nm = 0;
    spec->spin = (sw_sim_spin){.seconds = 2, .speed_rpm = spec->spin.speed_rpm};
    spec->front = (sw_sim_front){.rate_hz = 48000,
                                 .channels = spec->front.channels,
                                 .between = spec->front.between,
                                 .volts_per_unit = 1};
}
