#include "tests/support.h"

#include "src/match/site/air.h"

#include <math.h>

static void sea_level_is_the_standard(void **state) {
    (void)state;
    assert_close(sw_air_density(0, NAN), 1.225, 0.00005); /* four digits of the standard */
    assert_close(sw_air_density(0, 15), 1.225, 0.00005);
}

static void thinner_when_higher_or_warmer(void **state) {
    (void)state;
    for (double z = -400; z < 5000; z += 100) {
        assert_true(sw_air_density(z + 100, NAN) < sw_air_density(z, NAN));
        assert_true(sw_air_density(z, 30) < sw_air_density(z, 10));
    }
}

/* rho ~ p / T: at a fixed altitude 0 pressure does not depend on temperature. */
static void goes_with_inverse_kelvin_at_sea_level(void **state) {
    (void)state;
    assert_close(sw_air_density(0, -20) * 253.15, sw_air_density(0, 40) * 313.15, 1e-9);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sea_level_is_the_standard),
        cmocka_unit_test(thinner_when_higher_or_warmer),
        cmocka_unit_test(goes_with_inverse_kelvin_at_sea_level),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
