/* The program against rectifier_table.csv: circuits simulated once with ngspice (version and
 * command in make_rectifier_table.sh), so that this check needs no simulator. */
#include "tests/outside/spice_case.h"

#include "tests/support.h"

#include <string.h>

enum { LINE_ROOM = 1024, ROWS = 40 };

static void table_agrees(void **state) {
    (void)state;
    char line[LINE_ROOM];
    int rows = 0;
    int bad = 0;
    FILE *table = fopen(TEST_SOURCE_DIR "/outside/rectifier_table.csv", "r");
    assert_non_null(table);
    assert_non_null(fgets(line, sizeof line, table));
    while (fgets(line, sizeof line, table) != NULL) {
        spice_case c;
        spice_result simulated;
        spice_result solved;
        sw_error error;
        memset(&error, 0, sizeof error);
        assert_true(spice_case_scan(line, &c, &simulated));
        assert_ok(spice_case_solve(&c, &solved, &error), &error);
        rows++;
        bad += !spice_case_agrees(&c, &simulated, &solved);
    }
    fclose(table);
    assert_int_equal(rows, ROWS);
    assert_int_equal(bad, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(table_agrees)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
