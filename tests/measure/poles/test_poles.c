#include "tests/support.h"

#include "src/measure/poles/poles.h"
#include "tests/measure/support_poles.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static sw_speed_evidence nothing_said(double frequency_hz) {
    return (sw_speed_evidence){.speed = sw_quantity_unknown(),
                               .about_rpm = NAN,
                               .turns = NAN,
                               .turns_u = NAN,
                               .frequency_hz = frequency_hz,
                               .cycles_in_all = NAN};
}

static sw_pole_pairs estimate(const sw_cycles *cycles, const sw_speed_evidence *evidence) {
    sw_pole_pairs found;
    sw_error error;
    assert_ok(sw_poles_estimate(cycles, evidence, &found, &error), &error);
    return found;
}

static double probability_of(const sw_pole_pairs *found, int pole_pairs) {
    for (size_t i = 0; i < found->candidates; i++) {
        if (found->candidate[i].pole_pairs == pole_pairs)
            return found->candidate[i].probability;
    }
    return 0.0;
}

static bool says(const sw_pole_pairs *found, const char *part) {
    for (size_t i = 0; i < found->evidences; i++) {
        if (strstr(found->evidence[i], part))
            return true;
    }
    return false;
}

static void probabilities_are_sorted_and_sum_to_one_at_most(const sw_pole_pairs *found) {
    double sum = 0.0;
    assert_true(found->candidates >= 1);
    for (size_t i = 0; i < found->candidates; i++) {
        double probability = found->candidate[i].probability;
        assert_true(probability >= 0.0 && probability <= 1.0);
        assert_true(i == 0 || probability <= found->candidate[i - 1].probability);
        sum += probability;
    }
    assert_true(sum <= 1.0 + 1e-9); /* rounding of 120 terms */
    assert_close(found->probability, found->candidate[0].probability, 0.0);
}

static void exact_speed_decides(void **state) {
    (void)state;
    /* n = 60 f / p: 100 Hz at 250 rpm are 24 pole pairs */
    sw_speed_evidence evidence = nothing_said(100.0);
    evidence.speed = sw_quantity_of(250.0, 0.5, "rpm");
    sw_pole_pairs found = estimate(NULL, &evidence);
    assert_int_equal(found.value, 24);
    assert_true(found.probability > 0.99);
    probabilities_are_sorted_and_sum_to_one_at_most(&found);
}

static void speed_known_badly_does_not_decide(void **state) {
    (void)state;
    sw_speed_evidence evidence = nothing_said(100.0);
    evidence.speed = sw_quantity_of(250.0, 15.0, "rpm");
    sw_pole_pairs found = estimate(NULL, &evidence);
    assert_int_equal(found.value, 0);
    assert_true(probability_of(&found, 24) > probability_of(&found, 20));
}

static void speed_that_fits_no_whole_number_is_told(void **state) {
    (void)state;
    sw_speed_evidence evidence = nothing_said(100.0);
    evidence.speed = sw_quantity_of(1600.0, 1.0, "rpm"); /* 3.75 pole pairs */
    sw_pole_pairs found = estimate(NULL, &evidence);
    assert_int_equal(found.value, 0);
    assert_true(says(&found, "no whole number"));
}

static void rough_speed_leaves_a_range(void **state) {
    (void)state;
    /* 29.11 Hz at 240 to 360 rpm: 4.85 to 7.28 pole pairs */
    sw_speed_evidence evidence = nothing_said(29.11);
    evidence.about_rpm = 300.0;
    sw_pole_pairs found = estimate(NULL, &evidence);
    assert_int_equal(found.value, 0);
    assert_true(says(&found, "5 to 7 pole pairs are possible"));
    double inside = 0.0;
    for (int p = 5; p <= 7; p++)
        inside += probability_of(&found, p);
    assert_true(inside > 0.95);
    assert_true(says(&found, "To decide"));
}

static void rough_speed_decides_a_single_pair(void **state) {
    (void)state;
    sw_speed_evidence evidence = nothing_said(50.0);
    evidence.about_rpm = 2700.0;
    sw_pole_pairs found = estimate(NULL, &evidence);
    assert_int_equal(found.value, 1);
}

static void enough_turns_decide_and_few_are_refused(void **state) {
    (void)state;
    sw_speed_evidence evidence = nothing_said(60.0);
    evidence.turns = 48.0;
    evidence.cycles_in_all = 720.0; /* 15 pole pairs, u = 15 * 0.25 / 48 = 0.08 */
    sw_pole_pairs found = estimate(NULL, &evidence);
    assert_int_equal(found.value, 15);
    evidence.turns = 10.0;
    evidence.cycles_in_all = 150.0; /* u = 0.375 > 0.3 */
    found = estimate(NULL, &evidence);
    assert_int_equal(found.value, 0);
    assert_true(says(&found, "too few"));
    assert_true(says(&found, "at least 13 turns")); /* 15 * 0.25 / 0.3 = 12.5 */
}

static void counts_speak_for_themselves(void **state) {
    (void)state;
    sw_speed_evidence evidence = nothing_said(80.0);
    evidence.magnets = 46;
    sw_pole_pairs found = estimate(NULL, &evidence);
    assert_int_equal(found.candidate[0].pole_pairs, 23);
    evidence.magnets = 0;
    evidence.detents = 7;
    found = estimate(NULL, &evidence);
    assert_int_equal(found.candidate[0].pole_pairs, 7);
    evidence.magnets = 14;
    found = estimate(NULL, &evidence);
    assert_int_equal(found.value, 7);
}

static const model_family *family_named(const char *name) {
    size_t count = 0;
    const model_family *family = model_families(&count);
    for (size_t i = 0; i < count; i++) {
        if (strcmp(family[i].name, name) == 0)
            return &family[i];
    }
    fail_msg("no family %s", name);
    return NULL;
}

static gsl_rng *random_of(unsigned long seed) {
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    assert_non_null(random);
    gsl_rng_set(random, seed);
    printf("seed %lu\n", seed);
    return random;
}

/* A motor whose magnets differ plainly, without noise to speak of. */
static sw_cycles plain_motor(const char *family, gsl_rng *random, double *frequency_hz) {
    model_motor motor = model_draw(family_named(family), random);
    sw_cycles cycles = {0};
    motor.strength_spread = 0.02;
    motor.hold_rpm = 300.0;
    motor.wobble = 0.003;
    motor.wobble_hz = 0.5;
    motor.noise = 0.003;
    model_cycles(&motor, random, &cycles, frequency_hz);
    return cycles;
}

static void pattern_decides_where_every_magnet_shows(void **state) {
    (void)state;
    gsl_rng *random = random_of(11);
    static const struct {
        const char *family;
        int pole_pairs;
    } cases[] = {{"12/14", 7}, {"51/46", 23}, {"9/8", 4}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        double frequency_hz = NAN;
        sw_cycles cycles = plain_motor(cases[i].family, random, &frequency_hz);
        sw_speed_evidence evidence = nothing_said(frequency_hz);
        evidence.about_rpm = 340.0; /* 300 in truth */
        evidence.phases = 3;
        sw_pole_pairs found = estimate(&cycles, &evidence);
        assert_int_equal(found.value, cases[i].pole_pairs);
        assert_true(says(&found, "The wave repeats every") ||
                    says(&found, "The speed ripples with the turn"));
        probabilities_are_sorted_and_sum_to_one_at_most(&found);
        sw_cycles_free(&cycles);
    }
    gsl_rng_free(random);
}

static void pattern_of_hidden_symmetry_is_no_proof(void **state) {
    (void)state;
    /* 36 slots, 48 poles: magnets alone repeat every 2 cycles, so 22, 24, 26 look alike */
    gsl_rng *random = random_of(12);
    double frequency_hz = NAN;
    model_motor motor = model_draw(family_named("36/48"), random);
    sw_cycles cycles = {0};
    motor.ripple[0] = motor.ripple[1] = 0.0;
    motor.runout = 0.0;
    motor.gear[0] = motor.gear[1] = 0.0;
    motor.hold_rpm = 300.0;
    model_cycles(&motor, random, &cycles, &frequency_hz);
    sw_speed_evidence evidence = nothing_said(frequency_hz);
    evidence.about_rpm = 300.0;
    sw_pole_pairs found = estimate(&cycles, &evidence);
    assert_int_equal(found.value, 0);
    assert_true(probability_of(&found, 24) > 0.05);
    sw_cycles_free(&cycles);
    gsl_rng_free(random);
}

/* 14 magnets; whoever counts 16 is told so, not believed. */
static void a_count_against_the_pattern_is_told_apart(void **state) {
    (void)state;
    gsl_rng *random = random_of(16);
    double frequency_hz = NAN;
    sw_cycles cycles = plain_motor("12/14", random, &frequency_hz);
    sw_speed_evidence evidence = nothing_said(frequency_hz);
    evidence.about_rpm = 340.0;
    evidence.magnets = 16;
    sw_pole_pairs found = estimate(&cycles, &evidence);
    assert_int_equal(found.value, 7);
    assert_false(says(&found, "16 magnets"));
    assert_int_equal(found.againsts, 1);
    assert_non_null(strstr(found.against[0], "16 magnets counted"));
    evidence.magnets = 14;
    found = estimate(&cycles, &evidence);
    assert_true(says(&found, "14 magnets"));
    assert_int_equal(found.againsts, 0);
    sw_cycles_free(&cycles);
    gsl_rng_free(random);
}

/* What the wave showed before the magnets were counted it shows after. 36 slots and 48 poles: the
 * magnets repeat every 2 cycles, whatever even number of pole pairs it is. */
static void a_count_hides_no_pattern(void **state) {
    (void)state;
    gsl_rng *random = random_of(11);
    double frequency_hz = NAN;
    sw_cycles cycles = plain_motor("36/48", random, &frequency_hz);
    sw_speed_evidence evidence = nothing_said(frequency_hz);
    evidence.phases = 3;
    sw_pole_pairs found = estimate(&cycles, &evidence);
    assert_true(says(&found, "The wave repeats every 2 cycles"));
    evidence.magnets = 48;
    found = estimate(&cycles, &evidence);
    assert_int_equal(found.candidate[0].pole_pairs, 24);
    assert_true(says(&found, "The wave repeats every 2 cycles"));
    sw_cycles_free(&cycles);
    gsl_rng_free(random);
}

static void too_few_cycles_leave_the_pattern_silent(void **state) {
    (void)state;
    gsl_rng *random = random_of(13);
    double frequency_hz = NAN;
    sw_cycles cycles = plain_motor("12/14", random, &frequency_hz);
    sw_cycles some = {6, cycles.cycle + 20};
    sw_speed_evidence evidence = nothing_said(frequency_hz);
    evidence.about_rpm = 300.0;
    sw_pole_pairs found = estimate(&some, &evidence);
    sw_pole_pairs silent = estimate(NULL, &evidence);
    assert_int_equal(found.value, 0);
    assert_close(probability_of(&found, 7), probability_of(&silent, 7), 1e-12);
    assert_true(says(&found, "too few to see a turn"));
    sw_cycles_free(&cycles);
    gsl_rng_free(random);
}

/* The pattern knows neither seconds nor volts. */
static void scale_of_time_and_volts_does_not_matter(void **state) {
    (void)state;
    gsl_rng *random = random_of(14);
    double frequency_hz = NAN;
    sw_cycles cycles = plain_motor("27/30", random, &frequency_hz);
    sw_speed_evidence evidence = nothing_said(frequency_hz);
    evidence.about_rpm = 300.0;
    sw_pole_pairs before = estimate(&cycles, &evidence);
    for (size_t i = 0; i < cycles.count; i++) {
        sw_cycle *cycle = &cycles.cycle[i];
        cycle->start_s *= 2.0;
        cycle->length_s *= 2.0;
        cycle->length_u_s *= 2.0;
        cycle->flux *= 0.25;
        cycle->flux_u *= 0.25;
        cycle->shape_u *= 0.25;
        for (int k = 0; k < SW_CYCLE_POINTS; k++)
            cycle->shape[k] *= 0.25;
    }
    evidence.frequency_hz /= 2.0;
    evidence.about_rpm /= 2.0;
    sw_pole_pairs after = estimate(&cycles, &evidence);
    assert_int_equal(after.value, before.value);
    /* powers of two scale exactly; logarithms of lengths round differently */
    for (int p = 12; p <= 19; p++)
        assert_close(probability_of(&after, p), probability_of(&before, p), 1e-4);
    sw_cycles_free(&cycles);
    gsl_rng_free(random);
}

static void odd_cycles_do_no_harm(void **state) {
    (void)state;
    sw_cycles cycles = {40, calloc(40, sizeof(sw_cycle))};
    assert_non_null(cycles.cycle);
    sw_speed_evidence evidence = nothing_said(50.0);
    sw_pole_pairs found = estimate(&cycles, &evidence); /* all zero: no usable cycle */
    assert_int_equal(found.value, 0);
    for (size_t i = 0; i < cycles.count; i++)
        cycles.cycle[i] = (sw_cycle){.start_s = (double)i, .length_s = 1.0};
    found = estimate(&cycles, &evidence); /* all alike, without noise */
    assert_int_equal(found.value, 0);
    probabilities_are_sorted_and_sum_to_one_at_most(&found);
    cycles.cycle[20].length_s = NAN;
    cycles.cycle[30].shape[3] = INFINITY;
    found = estimate(&cycles, &evidence);
    probabilities_are_sorted_and_sum_to_one_at_most(&found);
    sw_cycles_free(&cycles);
}

/* Of answers said to be 99 % sure, one in a hundred may be wrong: with about 60 of them, four or
 * more wrong ones have a probability of 0.3 %. */
static void sure_answers_are_right(void **state) {
    (void)state;
    gsl_rng *random = random_of(15);
    size_t families = 0;
    const model_family *family = model_families(&families);
    int sure = 0;
    int wrong = 0;
    for (size_t f = 0; f < families * 5; f++) {
        model_motor motor = model_draw(&family[f % families], random);
        sw_cycles cycles = {0};
        double frequency_hz = NAN;
        model_cycles(&motor, random, &cycles, &frequency_hz);
        sw_speed_evidence evidence = nothing_said(frequency_hz);
        evidence.about_rpm = motor.hold_rpm / (0.85 + 0.3 * gsl_rng_uniform(random));
        sw_pole_pairs found = estimate(&cycles, &evidence);
        if (found.probability >= 0.99) {
            sure++;
            wrong += found.value != motor.family.pole_pairs;
        }
        sw_cycles_free(&cycles);
    }
    printf("sure %d wrong %d\n", sure, wrong);
    assert_true(sure >= 30);
    assert_true(wrong <= 3);
    gsl_rng_free(random);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(exact_speed_decides),
        cmocka_unit_test(speed_known_badly_does_not_decide),
        cmocka_unit_test(speed_that_fits_no_whole_number_is_told),
        cmocka_unit_test(rough_speed_leaves_a_range),
        cmocka_unit_test(rough_speed_decides_a_single_pair),
        cmocka_unit_test(enough_turns_decide_and_few_are_refused),
        cmocka_unit_test(counts_speak_for_themselves),
        cmocka_unit_test(pattern_decides_where_every_magnet_shows),
        cmocka_unit_test(pattern_of_hidden_symmetry_is_no_proof),
        cmocka_unit_test(a_count_against_the_pattern_is_told_apart),
        cmocka_unit_test(a_count_hides_no_pattern),
        cmocka_unit_test(too_few_cycles_leave_the_pattern_silent),
        cmocka_unit_test(scale_of_time_and_volts_does_not_matter),
        cmocka_unit_test(odd_cycles_do_no_harm),
        cmocka_unit_test(sure_answers_are_right),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
