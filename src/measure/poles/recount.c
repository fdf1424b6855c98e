#include "src/measure/poles/recount.h"

#include "shared/number.h"

#include <stdbool.h>

/* Symmetry of a winding of three phases: slots / gcd(slots, pole pairs) is a multiple of three
 * (Pyrhonen, Jokinen, Hrabovcova, Design of Rotating Electrical Machines, ch. 2). */
static bool winds(int slots, int pole_pairs) {
    return slots / sw_common_divisor(slots, pole_pairs) % 3 == 0;
}

static void check_slots(sw_motor *motor) {
    int pole_pairs = motor->pole_pairs.value;
    if (motor->kind != SW_MAGNET_AC || motor->phases != 3 || motor->slots <= 0)
        return;
    if (motor->slots % 3 != 0)
        sw_motor_warn(motor, SW_WARN_COUNT_DOUBTFUL,
                      "%d slots: a motor of three phases has a multiple of three. Count its slots "
                      "(teeth) again",
                      motor->slots);
    else if (pole_pairs > 0 && !winds(motor->slots, pole_pairs))
        sw_motor_warn(motor, SW_WARN_COUNT_DOUBTFUL,
                      "%d slots and %d pole pairs make no winding of three equal phases. Count "
                      "the slots (teeth) and the magnets again",
                      motor->slots, pole_pairs);
}

void sw_recount_warn(sw_motor *motor) {
    const sw_pole_pairs *poles = &motor->pole_pairs;
    sw_motor_unwarn(motor, SW_WARN_COUNT_DOUBTFUL);
    for (size_t i = 0; i < poles->againsts && poles->value > 0; i++)
        sw_motor_warn(motor, SW_WARN_COUNT_DOUBTFUL,
                      "%s That does not go with %d pole pairs: check it, or count again",
                      poles->against[i], poles->value);
    check_slots(motor);
}
