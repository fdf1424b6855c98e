/* Typical motors of the scrap pile.
 *
 * Slots, poles and windings: teardown notes and tables named in reference/ (27/30 wheel hubs,
 * 46-magnet bicycle hubs, 12/14 model motors, 50 pole pairs of 1.8 degree steppers were read in
 * public texts; 36/48 and 42/56 drums, 12/8 disk spindles are common practice, no source). Volts,
 * ohms, millihenries, inertia and drag are round figures of that size of machine, common
 * practice, no source; each motor is drawn around them. Resistance and inductance go with the
 * square of the volts, as turns do.
 */
#include "probes/simulate/simulate.h"

#include "probes/simulate/draw.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

typedef struct family {
    const char *name;
    const char *about;
    sw_sim_kind kind;
    sw_sim_winding winding;
    int phases;
    int poles;
    int slots;
    int span;
    int segment;     /* poles on one magnet segment */
    double volts[2]; /* line to line, rms, per 1000 rpm (brushed: DC) */
    double ohm;      /* line to line, at the middle of the volts */
    double mh;
    double inertia;
    double drag[3];
    double cogging;
    double rpm[2]; /* how fast people spin it */
} family;

#define AC SW_SIM_MAGNET_AC
#define SLOTS SW_SIM_SLOTS
static const family FAMILIES[] = {
    {"pump-2",
     "drain pump, one phase, two poles in a U core",
     AC,
     SW_SIM_U_CORE,
     1,
     2,
     2,
     1,
     1,
     {45, 75},
     160,
     900,
     4e-6,
     {2e-3, 3e-6, 0},
     5e-3,
     {500, 2400}},
    {"fan-4",
     "small fan, one phase, four poles",
     AC,
     SLOTS,
     1,
     4,
     4,
     1,
     4,
     {1.5, 6},
     12,
     6,
     8e-6,
     {6e-4, 1e-6, 1e-8},
     8e-4,
     {500, 2200}},
    {"pump-6",
     "circulation pump, three phases, six poles, 9 slots",
     AC,
     SLOTS,
     3,
     6,
     9,
     1,
     2,
     {20, 60},
     18,
     55,
     3e-5,
     {4e-3, 1e-5, 0},
     8e-3,
     {400, 2000}},
    {"fan-8",
     "fan motor, three phases, eight poles, 12 slots",
     AC,
     SLOTS,
     3,
     8,
     12,
     1,
     2,
     {15, 60},
     22,
     45,
     2e-3,
     {0.01, 4e-5, 2e-6},
     0.012,
     {300, 1500}},
    {"disk-8",
     "disk spindle, three phases, eight poles, 12 slots",
     AC,
     SLOTS,
     3,
     8,
     12,
     1,
     8,
     {0.8, 1.5},
     2.5,
     0.7,
     1.4e-4,
     {1e-3, 3e-6, 1e-9},
     3e-4,
     {400, 2200}},
    {"alternator-12",
     "car alternator on magnets, twelve poles, 36 slots",
     AC,
     SLOTS,
     3,
     12,
     36,
     3,
     1,
     {5, 14},
     0.16,
     0.4,
     3.5e-3,
     {0.08, 2e-4, 1e-6},
     0.06,
     {300, 1800}},
    {"model-14",
     "model motor, three phases, 14 poles, 12 slots",
     AC,
     SLOTS,
     3,
     14,
     12,
     1,
     1,
     {1.5, 9},
     0.15,
     0.05,
     6e-5,
     {6e-3, 1e-5, 0},
     6e-3,
     {300, 1600}},
    {"wheel-16",
     "wheel motor, three phases, 16 poles, 18 slots",
     AC,
     SLOTS,
     3,
     16,
     18,
     1,
     1,
     {15, 50},
     0.3,
     0.5,
     3e-3,
     {0.06, 3e-4, 0},
     0.03,
     {250, 1200}},
    {"hub-20",
     "geared hub, its inner rotor, 20 poles, 18 slots",
     AC,
     SLOTS,
     3,
     20,
     18,
     1,
     1,
     {8, 20},
     0.2,
     0.2,
     1.2e-3,
     {0.04, 2e-4, 0},
     0.02,
     {300, 1200}},
    {"drum-24",
     "washer drum, inner rotor, 24 poles, 27 slots",
     AC,
     SLOTS,
     3,
     24,
     27,
     1,
     2,
     {90, 300},
     6,
     30,
     0.012,
     {0.25, 1e-3, 0},
     0.1,
     {200, 900}},
    {"hub-30",
     "scooter wheel hub, 30 poles, 27 slots",
     AC,
     SLOTS,
     3,
     30,
     27,
     1,
     1,
     {30, 75},
     0.35,
     0.6,
     8e-3,
     {0.12, 1e-3, 0},
     0.04,
     {150, 700}},
    {"hub-32",
     "motorcycle wheel hub, 32 poles, 36 slots",
     AC,
     SLOTS,
     3,
     32,
     36,
     1,
     1,
     {50, 120},
     0.15,
     0.4,
     0.06,
     {0.35, 3e-3, 0},
     0.08,
     {150, 650}},
    {"drum-36",
     "washer drum, 36 poles, 27 slots",
     AC,
     SLOTS,
     3,
     36,
     27,
     1,
     3,
     {90, 350},
     6,
     30,
     0.02,
     {0.4, 1.5e-3, 0},
     0.3,
     {150, 700}},
    {"hub-40",
     "wheel hub, 40 poles, 36 slots",
     AC,
     SLOTS,
     3,
     40,
     36,
     1,
     1,
     {50, 120},
     0.2,
     0.4,
     0.06,
     {0.3, 2.5e-3, 0},
     0.06,
     {150, 600}},
    {"hub-42",
     "wheel hub, 42 poles, 36 slots",
     AC,
     SLOTS,
     3,
     42,
     36,
     1,
     1,
     {50, 120},
     0.2,
     0.4,
     0.06,
     {0.3, 2.5e-3, 0},
     0.06,
     {150, 600}},
    {"hub-46",
     "bicycle wheel hub, 46 poles, 51 slots",
     AC,
     SLOTS,
     3,
     46,
     51,
     1,
     1,
     {60, 150},
     0.25,
     0.4,
     0.08,
     {0.35, 3e-3, 0},
     0.05,
     {150, 600}},
    {"drum-48",
     "washer drum, 48 poles, 36 slots",
     AC,
     SLOTS,
     3,
     48,
     36,
     1,
     4,
     {110, 600},
     9,
     45,
     0.025,
     {0.5, 2e-3, 0},
     0.4,
     {150, 650}},
    {"drum-56",
     "washer drum, 56 poles, 42 slots",
     AC,
     SLOTS,
     3,
     56,
     42,
     1,
     4,
     {100, 450},
     7,
     30,
     0.03,
     {0.6, 2.5e-3, 0},
     0.4,
     {150, 600}},
    {"ring-72",
     "direct drive, 72 poles, 54 slots",
     AC,
     SLOTS,
     3,
     72,
     54,
     1,
     1,
     {150, 600},
     4,
     15,
     0.2,
     {0.8, 5e-3, 0},
     0.5,
     {80, 350}},
    {"ring-80",
     "direct drive, 80 poles, 84 slots",
     AC,
     SLOTS,
     3,
     80,
     84,
     1,
     1,
     {150, 600},
     3,
     10,
     0.25,
     {0.8, 5e-3, 0},
     0.2,
     {80, 350}},
    {"ring-112",
     "direct drive, 112 poles, 84 slots",
     AC,
     SLOTS,
     3,
     112,
     84,
     1,
     1,
     {200, 800},
     4,
     12,
     0.4,
     {1.0, 8e-3, 0},
     0.6,
     {60, 250}},
    {"stepper-24",
     "can stepper, two phases, 7.5 degree steps",
     AC,
     SW_SIM_CLAW,
     2,
     24,
     24,
     1,
     24,
     {12, 45},
     40,
     30,
     2e-6,
     {5e-3, 5e-6, 0},
     5e-3,
     {200, 1200}},
    {"stepper-100",
     "stepper, two phases, 1.8 degree steps",
     AC,
     SW_SIM_HYBRID,
     2,
     100,
     48,
     1,
     100,
     {10, 60},
     2.5,
     5,
     3e-5,
     {0.03, 1.5e-4, 0},
     0.02,
     {100, 700}},
    {"brushed-2",
     "small brushed motor, two poles, 12 bars",
     SW_SIM_BRUSHED,
     SLOTS,
     1,
     2,
     12,
     1,
     1,
     {4, 25},
     1.5,
     1.5,
     2e-5,
     {0.015, 1e-5, 0},
     6e-3,
     {300, 2000}},
    {"brushed-4",
     "treadmill motor, four poles, 25 bars",
     SW_SIM_BRUSHED,
     SLOTS,
     1,
     4,
     25,
     1,
     1,
     {15, 50},
     1.2,
     4,
     4e-3,
     {0.12, 2e-4, 0},
     0.04,
     {200, 1500}},
    {"no-magnets",
     "induction motor, what magnetism is left",
     SW_SIM_NO_MAGNETS,
     SLOTS,
     3,
     4,
     36,
     8,
     1,
     {0.02, 0.3},
     20,
     80,
     3e-3,
     {0.05, 1e-4, 1e-6},
     1e-4,
     {300, 2000}},
    {"sensor-16",
     "speed sensor of a washer motor, a coil of many turns",
     AC,
     SW_SIM_CLAW,
     1,
     16,
     16,
     1,
     16,
     {1.5, 8},
     160,
     120,
     8e-4,
     {0.03, 1e-4, 1e-7},
     5e-4,
     {300, 2000}},
};
#undef AC
#undef SLOTS
enum { FAMILY_COUNT = sizeof FAMILIES / sizeof *FAMILIES };

const char *sw_sim_family_name(size_t index) {
    return index < FAMILY_COUNT ? FAMILIES[index].name : NULL;
}

const char *sw_sim_family_about(size_t index) {
    return index < FAMILY_COUNT ? FAMILIES[index].about : NULL;
}

static double around(gsl_rng *random, double value, double factor) {
    return value * sw_draw_log(random, 1 / factor, factor);
}

static void draw_volts(const family *row, gsl_rng *random, sw_sim_motor *motor) {
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
static void draw_tolerances(const family *row, gsl_rng *random, sw_sim_motor *motor) {
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

static void draw_motor(const family *row, gsl_rng *random, sw_sim_motor *motor) {
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
static void draw_spin(const family *row, gsl_rng *random, sw_sim_spin *spin) {
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

static void set_family(const family *row, gsl_rng *random, sw_sim_spec *spec) {
    draw_motor(row, random, &spec->motor);
    draw_spin(row, random, &spec->spin);
    draw_sound_input(&spec->motor, random, &spec->front);
    if (row->kind == SW_SIM_BRUSHED)
        turn_into_scope(random, &spec->front);
    spec->motor.delta =
        row->phases == 3 && spec->front.channels < 3 && sw_draw_between(random, 0, 1) < 0.1;
}

static const family *find_family(const char *name, gsl_rng *random) {
    if (name == NULL)
        return &FAMILIES[gsl_rng_uniform_int(random, FAMILY_COUNT)];
    for (size_t i = 0; i < FAMILY_COUNT; i++)
        if (strcmp(FAMILIES[i].name, name) == 0)
            return &FAMILIES[i];
    return NULL;
}

sw_status sw_sim_family(const char *name, unsigned long seed, sw_sim_spec *spec, sw_error *error) {
    gsl_rng *random = sw_draw_new(seed, SW_SIM_STREAM_FAMILY);
    if (random == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the simulation");
    const family *row = find_family(name, random);
    *spec = (sw_sim_spec){.seed = seed};
    sw_status status = SW_OK;
    if (row != NULL) {
        /* One seed must not give every family the same tolerances. */
        gsl_rng_set(random, (gsl_rng_get(random) + (unsigned long)(row - FAMILIES)) & 0xffffffffU);
        set_family(row, random, spec);
    } else
        status = sw_fail(error, SW_NOT_FOUND,
                         "no motor family \"%.40s\"; --list shows those there are", name);
    gsl_rng_free(random);
    return status;
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
