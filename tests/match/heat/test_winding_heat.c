/* What a motor's housing sheds: against hand-worked figures, the physics' limits, and that nothing
 * is promised when nothing is known. */
#include "tests/support.h"

#include "shared/motor.h"
#include "src/match/heat/winding_heat.h"

#include <math.h>

static sw_motor sized(double diameter_mm, double length_mm) {
    sw_motor motor;
    sw_motor_init(&motor);
    motor.diameter = sw_quantity_of(diameter_mm, NAN, "mm");
    motor.length = sw_quantity_of(length_mm, NAN, "mm");
    return motor;
}

static void nothing_known_gives_no_figure(void **state) {
    (void)state;
    sw_motor motor;
    sw_motor_init(&motor);
    sw_winding_heat heat = sw_winding_heat_of(&motor);
    assert_false(heat.known);
    assert_close(heat.high_w, 0, 0);
    assert_true(isnan(sw_motor_weight_kg(&motor)));
    motor.diameter = sw_quantity_of(100, NAN, "mm"); /* a width alone is no surface */
    assert_false(sw_winding_heat_of(&motor).known);
}

/* By hand for 100 mm x 100 mm, 80 degC in air of 25: A = pi 0.1 (0.1 + 0.05) = 0.04712 m2. Middle:
 * housing 38.5 K warmer; h_c = 1.32 (38.5/0.1)^0.25 = 5.847; radiated 0.7 x 5.6704e-8 (336.65^4 -
 * 298.15^4) = 196.2 W/m2; P = 0.8 x 0.04712 (196.2 + 5.847 x 38.5) = 15.88 W, figures of four
 * places, so 0.5 %. */
static void a_can_of_ten_centimetres_by_hand(void **state) {
    (void)state;
    sw_motor motor = sized(100, 100);
    sw_winding_heat heat = sw_winding_heat_of(&motor);
    assert_true(heat.known);
    assert_false(heat.by_weight);
    assert_close(heat.surface_m2, 0.04712, 1e-5);
    assert_close(heat.middle_w, 15.88, 0.005 * 15.88);
    assert_true(heat.low_w < heat.middle_w && heat.middle_w < heat.high_w);
}

/* Textbooks give free convection of gases 2 to 25 W/(m2 K) (Incropera, Fundamentals of Heat and
 * Mass Transfer, table 1.1); with radiation, and the housing cooler than the copper, a whole
 * surface and all 55 K the cases stay within 1 and 25. */
static void coefficients_stay_within_the_textbook_s(void **state) {
    (void)state;
    for (double mm = 30; mm < 600; mm *= 1.5) {
        sw_motor motor = sized(mm, mm / 2);
        sw_winding_heat heat = sw_winding_heat_of(&motor);
        double per_kelvin = heat.surface_m2 * (heat.winding_degc - heat.air_degc);
        assert_true(heat.low_w / per_kelvin > 1);
        assert_true(heat.high_w / per_kelvin < 25);
    }
}

/* A weight alone stands for the body with the least surface: a real one of that weight sheds no
 * less. */
static void weight_alone_is_the_careful_guess(void **state) {
    (void)state;
    for (double slim = 0.2; slim < 5; slim *= 1.6) {
        sw_motor motor = sized(120, 120 * slim);
        double by_size_w = sw_winding_heat_of(&motor).middle_w;
        sw_motor weighed;
        sw_motor_init(&weighed);
        weighed.mass = sw_quantity_of(sw_motor_weight_kg(&motor), NAN, "kg");
        sw_winding_heat heat = sw_winding_heat_of(&weighed);
        assert_true(heat.known && heat.by_weight);
        /* convection's fourth root of the width gives a flat one up to a tenth less */
        assert_true(heat.middle_w <= 1.1 * by_size_w);
    }
}

static void a_hotter_limit_sheds_more(void **state) {
    (void)state;
    sw_motor motor = sized(100, 100);
    double usual_w = sw_winding_heat_of(&motor).middle_w;
    motor.limit_temperature = sw_quantity_of(120, NAN, "degC");
    sw_winding_heat hot = sw_winding_heat_of(&motor);
    assert_close(hot.winding_degc, 120, 0);
    /* 95 K in place of 55: more than in proportion */
    assert_true(hot.middle_w > 95.0 / 55.0 * usual_w);
    /* copper at 120 degC has 1 + 0.00393 x 100 times its resistance; two machines share */
    assert_close(sw_winding_hot_w(&hot, 20, 2), 10 * 1.393, 1e-9);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_known_gives_no_figure),
        cmocka_unit_test(a_can_of_ten_centimetres_by_hand),
        cmocka_unit_test(coefficients_stay_within_the_textbook_s),
        cmocka_unit_test(weight_alone_is_the_careful_guess),
        cmocka_unit_test(a_hotter_limit_sheds_more),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
