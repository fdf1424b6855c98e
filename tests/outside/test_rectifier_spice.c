/* The program against a general circuit simulator on fresh random circuits.
 *
 *   test_rectifier_spice              30 circuits of a seed that is printed (SPINWORTH_SEED)
 *   test_rectifier_spice --table N    print a table of N circuits of that seed
 *
 * Skipped, visibly, where ngspice is not installed. */
#include "tests/outside/spice_case.h"

#include "tests/support.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { CASES = 30, LEAST = 24, SKIPPED = 77, DIRECTORY_ROOM = 256 };

static unsigned long seed_of_run(void) {
    const char *given = getenv("SPINWORTH_SEED");
    return given != NULL ? strtoul(given, NULL, 10) : (unsigned long)time(NULL);
}

/* Draw, simulate; with a table print, else compare. Number of circuits that disagree; those that
 * the simulator gives up on ("timestep too small") are counted apart. */
static int go_through(int cases, bool table, int *given_up) {
    const unsigned long seed = seed_of_run();
    char directory[DIRECTORY_ROOM];
    int bad = 0;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    support_temporary_directory(directory, sizeof directory);
    gsl_rng_set(random, seed);
    fprintf(table ? stderr : stdout, "seed %lu (SPINWORTH_SEED)\n", seed);
    if (table) {
        spice_case_print_header(stdout);
    }
    for (int i = 0; i < cases; i++) {
        const spice_case c = spice_case_draw((spice_circuit)(i % SPICE_CIRCUITS), random);
        spice_result simulated;
        spice_result solved;
        sw_error error;
        if (!spice_case_simulate(&c, directory, &simulated)) {
            fprintf(stderr, "circuit %d: the simulator gave no figures\n", i);
            ++*given_up;
        } else if (table) {
            spice_case_print(stdout, &c, &simulated);
        } else if (spice_case_solve(&c, &solved, &error) != SW_OK) {
            printf("circuit %d: %s\n", i, error.message);
            bad++;
        } else if (!spice_case_agrees(&c, &simulated, &solved)) {
            printf("circuit %d disagrees\n", i);
            bad++;
        }
    }
    support_remove_tree(directory);
    gsl_rng_free(random);
    return bad;
}

static void random_circuits_agree(void **state) {
    (void)state;
    int given_up = 0;
    assert_int_equal(go_through(CASES, false, &given_up), 0);
    assert_true(CASES - given_up >= LEAST);
}

int main(int argc, char **argv) {
    if (!spice_present()) {
        printf("SKIPPED: ngspice is not installed (Debian package ngspice)\n");
        return SKIPPED;
    }
    if (argc == 3 && strcmp(argv[1], "--table") == 0) {
        int given_up = 0;
        return go_through((int)strtol(argv[2], NULL, 10), true, &given_up) + given_up;
    }
    const struct CMUnitTest tests[] = {cmocka_unit_test(random_circuits_agree)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
