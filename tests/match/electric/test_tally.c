/* What the diodes of a leg must bear, on circuits of one leg and one rail put together by hand. */
#include "tests/support.h"

#include "src/match/electric/tally.h"

#include <string.h>

/* The reverse voltage of an idle leg at -3 V against a rail of 12 V. */
static double reverse_of_leg(int up_port, int down_port) {
    sw_topology topology = {.windings = 1, .legs = 1, .groups = 1, .ports = 1};
    sw_circuit circuit = {.topology = &topology};
    sw_circulation circulation = {0};
    sw_pattern pattern = {{0}};
    sw_tally tally;
    sw_step step;
    memset(&step, 0, sizeof step);
    topology.leg[0] = (sw_topology_leg){0, 1.0, 0, up_port, down_port};
    step.length = 1;
    for (int s = 0; s < SW_STAGES; s++) {
        sw_stage_result *stage = &step.stage[s];
        stage->drive_v[0] = -3;
        stage->solution.port_v[0] = 12;
        /* what stands before port 0 in memory must not count */
        stage->solution.port_a[SW_PORT_LIMIT - 1] = 1000;
    }
    sw_tally_start(&tally);
    sw_tally_add(&circuit, &pattern, &circulation, &step, &tally);
    return tally.reverse_v;
}

static void a_leg_with_an_upper_diode_only(void **state) {
    (void)state;
    assert_close(reverse_of_leg(0, -1), 15, 1e-12);
}

static void a_leg_with_a_lower_diode_only(void **state) {
    (void)state;
    assert_close(reverse_of_leg(-1, 0), 9, 1e-12);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_leg_with_an_upper_diode_only),
        cmocka_unit_test(a_leg_with_a_lower_diode_only),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
