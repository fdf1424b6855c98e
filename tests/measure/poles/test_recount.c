/* Slots and pole pairs that make no winding of three phases. */
#include "tests/support.h"

#include "src/measure/poles/recount.h"

static bool doubted(int phases, int slots, int pole_pairs) {
    sw_motor motor;
    sw_motor_init(&motor);
    motor.kind = SW_MAGNET_AC;
    motor.phases = phases;
    motor.slots = slots;
    motor.pole_pairs.value = pole_pairs;
    sw_recount_warn(&motor);
    sw_recount_warn(&motor); /* said once */
    assert_true(motor.warnings <= 1);
    return sw_motor_warned(&motor, SW_WARN_COUNT_DOUBTFUL);
}

/* Slots over their common divisor with the pole pairs are a multiple of three (Pyrhonen, Jokinen,
 * Hrabovcova, Design of Rotating Electrical Machines, ch. 2). */
static void slots_of_three_phases(void **state) {
    (void)state;
    assert_true(doubted(3, 35, 24));
    assert_true(doubted(3, 35, 0));
    assert_false(doubted(3, 36, 24)); /* 36 / 12 = 3 */
    assert_false(doubted(3, 51, 23));
    assert_false(doubted(3, 9, 4));
    assert_false(doubted(3, 36, 0));
    assert_false(doubted(3, 9, 3));  /* 9 / 3 = 3: three slots a pole pair */
    assert_true(doubted(3, 24, 24)); /* 24 / 24 = 1 */
    assert_false(doubted(1, 35, 24));
    assert_false(doubted(0, 35, 24));
    assert_false(doubted(3, 0, 24));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(slots_of_three_phases),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
