/* Which coil is bridged, from two lines and the star of slots: every phase, every coil, either way
 * round, with sound windings' usual unlikeness on top. */
#include "tests/support.h"

#include "src/measure/constant/windings.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <string.h>

/* Coils' phasors by the star of slots, spokes in six belts as a hand would sort them. */
static void phases_of(int slots, int pole_pairs, int lost, double complex e[3], int *lost_phase) {
    static const int PHASE[6] = {0, 2, 1, 0, 2, 1};
    memset(e, 0, 3 * sizeof *e);
    for (int j = 0; j < slots; j++) {
        double angle = fmod(360.0 * pole_pairs * j / slots, 360);
        int belt = (int)floor(fmod(angle + 30 + 1e-6, 360) / 60);
        double complex coil = cexp(I * angle * M_PI / 180) * (belt % 2 == 0 ? 1 : -1);
        if (j == lost)
            *lost_phase = PHASE[belt];
        else
            e[PHASE[belt]] += coil;
    }
}

static sw_live lines_of(const double complex e[3], bool backwards, gsl_rng *random) {
    double complex r = (e[1] - e[2]) / (e[0] - e[2]);
    if (backwards)
        r = conj(r);
    /* a third of what sound windings differ by at most */
    r *= 1 + gsl_ran_gaussian(random, 0.003) + I * gsl_ran_gaussian(random, 0.003);
    return (sw_live){.count = 2, .channel = {0, 1}, .ratio = {1, r}, .u = 1e-4};
}

static void every_coil_is_placed(void **state) {
    (void)state;
    static const int STATORS[][2] = {{12, 7}, {18, 8}, {18, 10}, {27, 15}, {36, 24}, {36, 16}};
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 12);
    print_message("seed 12\n");
    for (size_t s = 0; s < sizeof STATORS / sizeof *STATORS; s++) {
        int right = 0;
        int wrong = 0;
        int slots = STATORS[s][0];
        for (int j = 0; j < 2 * slots; j++) {
            double complex e[3];
            int phase = -1;
            sw_winding_cause found;
            phases_of(slots, STATORS[s][1], j / 2, e, &phase);
            sw_live v = lines_of(e, j % 2 == 1, random);
            bool told = sw_windings_by_coils(&v, slots, STATORS[s][1], &found);
            right += told && found.phases == 1 && found.phase[phase];
            wrong += told && !(found.phases > 0 && found.phase[phase]);
        }
        print_message("%d slots, %d pole pairs: %d of %d placed, %d elsewhere\n", slots,
                      STATORS[s][1], right, 2 * slots, wrong);
        assert_true(right >= 0.9 * 2 * slots);
        assert_true(wrong <= 0.03 * 2 * slots);
    }
    gsl_rng_free(random);
}

static void a_scale_and_a_sound_winding_are_no_coil(void **state) {
    (void)state;
    double complex e[3];
    int none = 0;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 13);
    print_message("seed 13\n");
    phases_of(18, 8, -1, e, &none);
    int accused = 0;
    for (int i = 0; i < 200; i++) {
        sw_winding_cause found;
        sw_live v = lines_of(e, i % 2 == 1, random);
        v.ratio[1] *= 0.9 + 0.002 * (i % 100); /* 0.9 to 1.1 */
        bool told = sw_windings_by_coils(&v, 18, 8, &found);
        accused += told && found.phases > 0 && !found.scale && found.lack > 0.04;
    }
    print_message("%d of 200 channels with a scale taken for a coil\n", accused);
    assert_true(accused <= 10);
    gsl_rng_free(random);
}

static void stators_that_give_no_winding(void **state) {
    (void)state;
    sw_live v = {.count = 2, .channel = {0, 1}, .ratio = {1, cexp(-I * M_PI / 3)}, .u = 1e-4};
    sw_winding_cause found;
    assert_false(sw_windings_by_coils(&v, 10, 7, &found));
    assert_false(sw_windings_by_coils(&v, 9, 9, &found)); /* all spokes alike */
    assert_false(sw_windings_by_coils(&v, 0, 7, &found));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_coil_is_placed),
        cmocka_unit_test(a_scale_and_a_sound_winding_are_no_coil),
        cmocka_unit_test(stators_that_give_no_winding),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
