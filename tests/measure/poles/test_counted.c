/* What a count of turns may decide, and what it may not. */
#include "tests/support.h"

#include "src/measure/poles/poles_parts.h"

#include <math.h>
#include <string.h>

static const double CYCLES = 733;

/* Undecided between 24 and 12 pole pairs, next to nothing for the others. */
static void undecided(double *total) {
    for (int p = 0; p <= SW_POLE_PAIR_LIMIT; p++)
        total[p] = p == 0 ? 0.0 : 0.001;
    total[24] = 0.65;
    total[12] = 0.20;
    sw_poles_normalise(total);
}

static sw_statements count(double turns, double *total) {
    sw_speed_evidence evidence = {.speed = sw_quantity_unknown(),
                                  .about_rpm = NAN,
                                  .turns = turns,
                                  .turns_u = NAN,
                                  .frequency_hz = 90,
                                  .cycles_in_all = CYCLES};
    sw_statements said = {.count = 0};
    undecided(total);
    sw_poles_turns(&evidence, total, &said);
    return said;
}

/* 733 cycles in 61 turns are 12.02 pole pairs. One count in twenty is a blunder, so 12 may become
 * likely, not certain; in 30.5 turns they are 24.03, which was the likelier before. */
static void one_count_is_no_certainty(void **state) {
    (void)state;
    double total[SW_POLE_PAIR_LIMIT + 1];
    count(61, total);
    assert_true(total[12] > SW_POLE_ANSWER_PROBABILITY && total[12] < 0.97);
    assert_true(total[24] > 0.02);
    count(30.5, total);
    assert_true(total[24] > 0.95);
}

/* 35 turns are 20.94 pole pairs, which nothing else speaks for. */
static void a_count_alone_against_all_decides_nothing(void **state) {
    (void)state;
    double total[SW_POLE_PAIR_LIMIT + 1];
    sw_statements said = count(35, total);
    assert_true(total[21] < SW_POLE_ANSWER_PROBABILITY);
    assert_non_null(strstr(said.item[0].sentence, "all else speaks against"));
    said = count(30, total); /* 24.43: half a turn off */
    assert_null(strstr(said.item[0].sentence, "all else speaks against"));
}

/* 48 turns are 15.27 pole pairs, 3.5 standard uncertainties from 15. */
static void a_count_that_fits_nothing_changes_nothing(void **state) {
    (void)state;
    double before[SW_POLE_PAIR_LIMIT + 1];
    double total[SW_POLE_PAIR_LIMIT + 1];
    undecided(before);
    count(48, total);
    /* 15 itself may gain; its likelihood is below 0.003 of a right count's */
    assert_close(total[24], before[24], 0.005);
    assert_close(total[12], before[12], 0.005);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_count_is_no_certainty),
        cmocka_unit_test(a_count_alone_against_all_decides_nothing),
        cmocka_unit_test(a_count_that_fits_nothing_changes_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
