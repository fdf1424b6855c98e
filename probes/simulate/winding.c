/* Coils by the star of slots.
 *
 * The EMF of coil j turns by p x 360 deg x j / Q from the first: the star of slots (Pyrhonen,
 * Jokinen, Hrabovcova, Design of Rotating Electrical Machines, ch. 2; Bianchi and Dai Pre 2006).
 * Each spoke belongs to the belt it points into: for three phases six belts of 60 deg, A, -C, B,
 * -A, C, -B; for two phases four of 90 deg; for one phase two of 180 deg. Whole-number arithmetic
 * decides at the borders, so that belts are half open and every phase gets as many spokes.
 *
 * The flux that a coil links is the field over its window; for a field of k periods a turn a
 * window of width s has the factor 2 sin(k s / 2) / k. Pitch and distribution then come out of
 * one sum, and whatever the winding hides of the magnets' differences is hidden here as well.
 */
#include "probes/simulate/winding.h"

#include "probes/simulate/draw.h"
#include "probes/simulate/faults.h"
#include "shared/number.h"

#include <complex.h>
#include <gsl/gsl_math.h>
#include <math.h>

int sw_winding_symmetry(const sw_sim_motor *motor) {
    if (motor->winding == SW_SIM_CLAW)
        return motor->pole_pairs;
    return motor->slots > 0 ? sw_common_divisor(motor->slots, motor->pole_pairs) : 1;
}

static void add_coil(sw_sim_coils *coils, int phase, double angle, double span, double weight) {
    if (coils->count < SW_SIM_COIL_LIMIT)
        coils->coil[coils->count++] = (sw_sim_coil){phase, angle, span, weight};
}

/* Belt of a spoke: 2 x phases belts, numbered along the star from -half a belt on. */
static int belt_of(int spoke, int slots, int belts) {
    return ((2 * belts * spoke + slots) / (2 * slots)) % belts;
}

static sw_status lay_slots(const sw_sim_motor *motor, sw_sim_coils *coils, sw_error *error) {
    /* Which phase and which way round each belt is. */
    static const int PHASE[4][6] = {{0}, {0, 0}, {0, 1, 0, 1}, {0, 2, 1, 0, 2, 1}};
    static const int SIGN[4][6] = {{0}, {1, -1}, {1, 1, -1, -1}, {1, -1, 1, -1, 1, -1}};
    int slots = motor->slots;
    int spokes = slots / sw_common_divisor(slots, motor->pole_pairs);
    if (slots < 1 || slots > SW_SIM_COIL_LIMIT || motor->phases < 1 || motor->phases > 3)
        return sw_fail(error, SW_UNSUPPORTED, "%d slots and %d phases cannot be simulated", slots,
                       motor->phases);
    if (spokes % motor->phases != 0)
        return sw_fail(error, SW_UNSUPPORTED,
                       "%d slots and %d poles allow no balanced winding of %d phases", slots,
                       2 * motor->pole_pairs, motor->phases);
    double step = 2 * M_PI / slots;
    for (int j = 0; j < slots; j++) {
        int spoke = (int)((long)motor->pole_pairs * j % slots);
        int belt = belt_of(spoke, slots, 2 * motor->phases);
        add_coil(coils, PHASE[motor->phases][belt], step * j, step * motor->span,
                 SIGN[motor->phases][belt]);
    }
    return SW_OK;
}

/* A bobbin core embraces most of half a turn; its stepped gap, made so that the rotor starts by
 * itself, gathers flux on one side. */
static void lay_u_core(sw_sim_coils *coils) {
    const double degree = M_PI / 180;
    add_coil(coils, 0, 0, 150 * degree, 1.0);
    add_coil(coils, 0, 50 * degree, 60 * degree, 0.3);
}

/* Eight stator poles, alternately of the two phases, each with six teeth at the rotor's tooth
 * pitch. Neighbouring poles are 45 deg apart: a quarter period when 8 pole pairs leave a
 * remainder of 2, as 50 do. */
static sw_status lay_hybrid(const sw_sim_motor *motor, sw_sim_coils *coils, sw_error *error) {
    if (motor->pole_pairs % 8 != 2 || motor->pole_pairs < 18)
        return sw_fail(error, SW_UNSUPPORTED,
                       "found %d pole pairs, expected 8 n + 2 of a toothed two-phase motor",
                       motor->pole_pairs);
    double pitch = 2 * M_PI / motor->pole_pairs;
    int teeth = (int)(M_PI / 4 / pitch);
    for (int pole = 0; pole < 8; pole++)
        for (int tooth = 0; tooth < teeth; tooth++)
            add_coil(coils, pole % 2, M_PI / 4 * pole + pitch * (tooth - 0.5 * (teeth - 1)),
                     pitch / 2, pole % 4 < 2 ? 1.0 : -1.0);
    return SW_OK;
}

/* Every phase is one ring coil whose claws reach over every pole pair. */
static void lay_claw(const sw_sim_motor *motor, sw_sim_coils *coils) {
    double pitch = 2 * M_PI / motor->pole_pairs;
    double shift = motor->phases == 2 ? pitch / 4 : pitch / motor->phases;
    for (int phase = 0; phase < motor->phases; phase++)
        for (int pair = 0; pair < motor->pole_pairs; pair++)
            add_coil(coils, phase, pitch * pair + shift * phase, pitch / 2, 1.0);
}

sw_status sw_winding_lay(const sw_sim_motor *motor, sw_sim_coils *coils, sw_error *error) {
    coils->count = 0;
    switch (motor->winding) {
    case SW_SIM_U_CORE:
        lay_u_core(coils);
        return SW_OK;
    case SW_SIM_HYBRID:
        return lay_hybrid(motor, coils, error);
    case SW_SIM_CLAW:
        lay_claw(motor, coils);
        return SW_OK;
    case SW_SIM_SLOTS:
    default:
        return lay_slots(motor, coils, error);
    }
}

static void weaken_first_phase(double share, sw_sim_coils *coils) {
    for (size_t c = 0; c < coils->count; c++)
        if (coils->coil[c].phase == 0)
            coils->coil[c].weight *= 1 - share;
}

sw_status sw_winding_tolerances(const sw_sim_motor *motor, unsigned long seed, sw_sim_coils *coils,
                                sw_error *error) {
    gsl_rng *random = sw_draw_new(seed, SW_SIM_STREAM_COILS);
    if (random == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the simulated winding");
    double towards = sw_draw_between(random, 0, 2 * M_PI);
    for (size_t c = 0; c < coils->count; c++) {
        sw_sim_coil *coil = &coils->coil[c];
        double gap = 1 + motor->stator_offset * cos(coil->angle_rad - towards);
        coil->weight *= gap * (1 + sw_draw_tolerance(random, motor->coil_sd));
    }
    weaken_first_phase(motor->weak_coil, coils);
    sw_sim_fault_coils(motor, coils);
    gsl_rng_free(random);
    return SW_OK;
}

double sw_winding_factor(const sw_sim_coils *coils, int phase, int order) {
    double complex sum = 0;
    double all = 0;
    for (size_t c = 0; c < coils->count; c++) {
        const sw_sim_coil *coil = &coils->coil[c];
        if (coil->phase != phase)
            continue;
        sum += coil->weight * sin(order * coil->span_rad / 2) * cexp(I * (order * coil->angle_rad));
        all += fabs(coil->weight);
    }
    return all > 0 ? cabs(sum) / all : 0;
}
