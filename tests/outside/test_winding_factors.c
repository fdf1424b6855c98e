/* Winding factors of the simulated stators against the published table.
 *
 * Values: star of slots for three-phase tooth windings as tabulated by Libert and Soulard,
 * "Investigation on Pole-Slot Combinations for Permanent-Magnet Machines with Concentrated
 * Windings" (ICEM 2004) and Hanselman, "Brushless Permanent Magnet Motor Design" (from memory;
 * 9/6, 12/8 and the rows of 9 slots read in public texts). Fifth-harmonic factors: recomputed
 * by hand from the spokes. */
#include "tests/support.h"

#include "probes/simulate/winding.h"

typedef struct row {
    int slots;
    int poles;
    double factor;
} row;

static double factor_of(int slots, int poles, int span, int harmonic) {
    sw_sim_motor motor = {.winding = SW_SIM_SLOTS,
                          .phases = 3,
                          .pole_pairs = poles / 2,
                          .slots = slots,
                          .span = span};
    static sw_sim_coils coils;
    sw_error error;
    assert_ok(sw_winding_lay(&motor, &coils, &error), &error);
    return sw_winding_factor(&coils, 0, harmonic * poles / 2);
}

static void test_tooth_coils(void **state) {
    (void)state;
    static const row ROWS[] = {
        {3, 2, 0.866},    {6, 4, 0.866},    {6, 8, 0.866},    {9, 6, 0.866},    {9, 8, 0.9452},
        {9, 10, 0.9452},  {9, 12, 0.866},   {12, 8, 0.866},   {12, 10, 0.933},  {12, 14, 0.933},
        {12, 16, 0.866},  {15, 14, 0.9514}, {15, 16, 0.9514}, {18, 14, 0.9019}, {18, 16, 0.9452},
        {18, 20, 0.9452}, {18, 22, 0.9019}, {21, 20, 0.9531}, {24, 20, 0.933},  {24, 22, 0.9495},
        {24, 26, 0.9495}, {24, 28, 0.933},  {27, 24, 0.9452}, {27, 30, 0.9452}, {27, 36, 0.866},
        {36, 30, 0.933},  {36, 32, 0.9452}, {36, 40, 0.9452}, {36, 42, 0.933},  {36, 48, 0.866},
        {39, 38, 0.9544}, {42, 32, 0.8897}, {42, 40, 0.9531}, {42, 56, 0.866},  {45, 40, 0.9452},
        {48, 52, 0.9495}, {51, 46, 0.9438}, {63, 56, 0.9452}, {63, 70, 0.9452},
    };
    /* The table has four digits: half a unit of the last, a little more for the three-digit ones.
     */
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++)
        assert_close(factor_of(ROWS[i].slots, ROWS[i].poles, 1, 1), ROWS[i].factor, 1e-4);
}

static void test_fifth_harmonic(void **state) {
    (void)state;
    assert_close(factor_of(12, 10, 1, 5), 0.067, 5e-4);
    assert_close(factor_of(27, 30, 1, 5), 0.1398, 1e-4);
    assert_close(factor_of(9, 6, 1, 5), 0.866, 1e-4);
    assert_close(factor_of(36, 48, 1, 5), 0.866, 1e-4);
}

static void test_full_pitch(void **state) {
    (void)state;
    /* One slot a pole and phase, coils over a full pole pitch: factor 1 by definition. */
    assert_close(factor_of(36, 12, 3, 1), 1.0, 1e-12);
    /* Three slots a pole and phase (distribution 0.9598, textbook) with full pitch. */
    assert_close(factor_of(36, 4, 9, 1), 0.9598, 1e-4);
    /* The same shortened to 8 of 9 slots: pitch factor cos 10 deg = 0.9848. */
    assert_close(factor_of(36, 4, 8, 1), 0.9598 * 0.9848, 1e-4);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_tooth_coils),
        cmocka_unit_test(test_fifth_harmonic),
        cmocka_unit_test(test_full_pitch),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
