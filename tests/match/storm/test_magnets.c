/* What the magnets bear, by kind. */
#include "tests/support.h"

#include "src/match/storm/magnets.h"

/* Ferrite loses coercivity in the cold, the rare earths in the heat (any magnet maker's glossary);
 * the worst of the table's ranges: ferrite 0.5 %/K over 40 K, neodymium 0.65 %/K over 60 K. */
static void cold_ferrite_and_hot_neodymium(void **state) {
    (void)state;
    sw_magnet_risk risk;
    sw_error error;
    assert_ok(sw_magnet_risk_of(TEST_REFERENCE_DIR, SW_MAGNET_FERRITE, &risk, &error), &error);
    assert_close(risk.worst_degc, -20, 0);
    assert_close(risk.coercivity_left, 0.8, 1e-9);
    assert_ok(sw_magnet_risk_of(TEST_REFERENCE_DIR, SW_MAGNET_NEODYMIUM, &risk, &error), &error);
    assert_close(risk.worst_degc, 80, 0);
    assert_close(risk.coercivity_left, 0.61, 1e-9);
}

/* Alnico bears a fraction of what any other magnet does. */
static void every_kind_has_its_row(void **state) {
    (void)state;
    sw_magnet_risk alnico;
    sw_error error;
    assert_ok(sw_magnet_risk_of(TEST_REFERENCE_DIR, SW_MAGNET_ALNICO, &alnico, &error), &error);
    for (int kind = SW_MAGNET_FERRITE; kind < SW_MAGNET_ALNICO; kind++) {
        sw_magnet_risk risk;
        assert_ok(sw_magnet_risk_of(TEST_REFERENCE_DIR, (sw_magnet_kind)kind, &risk, &error),
                  &error);
        assert_true(risk.coercivity[0] > 0 && risk.coercivity[0] < risk.coercivity[1]);
        assert_true(alnico.coercivity[1] < risk.coercivity[0]);
    }
}

static void unknown_magnets_are_told_as_ferrite(void **state) {
    (void)state;
    sw_magnet_risk risk;
    sw_error error;
    assert_ok(sw_magnet_risk_of(TEST_REFERENCE_DIR, SW_MAGNET_UNKNOWN, &risk, &error), &error);
    assert_int_equal(risk.kind, SW_MAGNET_UNKNOWN);
    assert_close(risk.worst_degc, -20, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cold_ferrite_and_hot_neodymium),
        cmocka_unit_test(every_kind_has_its_row),
        cmocka_unit_test(unknown_magnets_are_told_as_ferrite),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
