/* Ohms between wires -> what they are. Networks are made from coils by nodal analysis, so that
 * the readings are those of a real winding and not of the formula under test. */
#include "tests/support.h"

#include "tests/measure/wires/support_wires.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { NODES = 10 };

/* Coils between nodes; the first `wires` nodes are brought out. */
typedef struct network {
    int nodes;
    double conductance[NODES][NODES];
} network;

static void add_coil(network *net, int a, int b, double ohm) {
    net->conductance[a][b] -= 1 / ohm;
    net->conductance[b][a] -= 1 / ohm;
    net->conductance[a][a] += 1 / ohm;
    net->conductance[b][b] += 1 / ohm;
    if (net->nodes <= (a > b ? a : b))
        net->nodes = (a > b ? a : b) + 1;
}

/* Is b reached from a? */
static bool reaches(const network *net, int a, int b) {
    bool seen[NODES] = {false};
    seen[a] = true;
    for (int round = 0; round < net->nodes; round++)
        for (int i = 0; i < net->nodes; i++)
            for (int k = 0; k < net->nodes; k++)
                if (seen[i] && net->conductance[i][k] < 0)
                    seen[k] = true;
    return seen[b];
}

/* 1 A in at a, out at b (grounded): the volts at a are the ohms. Gauss-Jordan, no pivoting needed
 * for a grounded network; nodes that are not connected get a tiny conductance. */
static double ohms_between(const network *net, int a, int b) {
    double m[NODES][NODES + 1] = {{0}};
    for (int i = 0; i < net->nodes; i++) {
        for (int k = 0; k < net->nodes; k++)
            m[i][k] = net->conductance[i][k];
        m[i][i] += i == b ? 1e12 : 1e-12;
        m[i][NODES] = i == a ? 1 : i == b ? -1 : 0;
    }
    for (int i = 0; i < net->nodes; i++)
        for (int r = 0; r < net->nodes; r++) {
            double factor = r == i ? 0 : m[r][i] / m[i][i];
            for (int k = 0; k <= NODES && r != i; k++)
                m[r][k] -= factor * m[i][k];
        }
    return m[a][NODES] / m[a][a];
}

static sw_wires wires_of(const network *net, int count, double leads_ohm) {
    sw_wires wires;
    sw_wires_init(&wires, count);
    wires.test_leads = sw_quantity_of(leads_ohm, NAN, "ohm");
    for (int a = 0; a < count; a++)
        for (int b = a + 1; b < count; b++)
            if (reaches(net, a, b)) {
                sw_wire_pair *pair = sw_wires_pair(&wires, a, b);
                pair->said = true;
                pair->contact = SW_CONTACT_OHMS;
                pair->ohm = sw_quantity_of(ohms_between(net, a, b) + leads_ohm, NAN, "ohm");
            }
    return wires;
}

static void the_helper_network_knows_a_wheatstone_bridge(void **state) {
    (void)state;
    network net = {0};
    add_coil(&net, 0, 1, 1);
    add_coil(&net, 1, 2, 2);
    add_coil(&net, 0, 3, 2);
    add_coil(&net, 3, 2, 4);
    add_coil(&net, 1, 3, 7);
    /* Balanced: 3 ohm parallel to 6 ohm is 2 ohm; word length leaves 1e-9. */
    assert_close(ohms_between(&net, 0, 2), 2, 1e-9);
}

static void star_and_delta_are_three_alike(void **state) {
    (void)state;
    network star = {0};
    network delta = {0};
    for (int i = 0; i < 3; i++) {
        add_coil(&star, i, 3, 3.6);
        add_coil(&delta, i, (i + 1) % 3, 10.8);
    }
    const network *nets[] = {&star, &delta};
    for (int i = 0; i < 2; i++) {
        sw_wires wires = wires_of(nets[i], 3, 0.2);
        sw_wire_finding finding = find_wires(&wires);
        assert_int_equal(finding.machine, SW_MACHINE_THREE_PHASE);
        assert_int_equal(finding.group[0].kind, SW_WIRES_THREE);
        /* 7.2 between lines both ways; the meter's 1e-6 of arithmetic */
        assert_close(finding.group[0].ohm.value, 7.2, 1e-6);
        assert_close(finding.group[0].arm_ohm[1], 3.6, 1e-6);
        assert_int_equal(wires_used(&finding), 3);
    }
}

static void a_star_point_is_found_wherever_it_is(void **state) {
    (void)state;
    for (int point = 0; point < 4; point++) {
        network net = {0};
        for (int i = 0; i < 4; i++)
            if (i != point)
                add_coil(&net, i, point, 2.5);
        sw_wires wires = wires_of(&net, 4, 0.3);
        sw_wire_finding finding = find_wires(&wires);
        assert_int_equal(finding.group[0].kind, SW_WIRES_THREE_POINT);
        assert_int_equal(finding.role[point], SW_ROLE_STAR_POINT);
        assert_false(finding.use[point]);
        assert_int_equal(wires_used(&finding), 3);
        assert_close(finding.group[0].ohm.value, 5, 1e-6);
    }
}

static void steppers_of_four_to_eight_wires(void **state) {
    (void)state;
    network four = {0};
    network five = {0};
    network six = {0};
    network eight = {0};
    add_coil(&four, 0, 2, 3);
    add_coil(&four, 1, 3, 3);
    for (int i = 0; i < 4; i++) {
        add_coil(&five, i, 4, 50);
        add_coil(&eight, 2 * i, 2 * i + 1, 2);
    }
    for (int i = 0; i < 2; i++) {
        add_coil(&six, 3 * i, 3 * i + 1, 5);
        add_coil(&six, 3 * i + 1, 3 * i + 2, 5);
    }
    const struct {
        const network *net;
        int wires;
        sw_wire_machine machine;
        int used;
    } rows[] = {
        {&four, 4, SW_MACHINE_TWO_PHASE, 4},
        {&five, 5, SW_MACHINE_TWO_PHASE_COMMON, 4},
        {&six, 6, SW_MACHINE_TWO_PHASE_TAPPED, 4},
        {&eight, 8, SW_MACHINE_FOUR_COILS, 8},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        sw_wires wires = wires_of(rows[i].net, rows[i].wires, 0.2);
        sw_wire_finding finding = find_wires(&wires);
        assert_int_equal(finding.machine, rows[i].machine);
        assert_int_equal(wires_used(&finding), rows[i].used);
        assert_int_equal(finding.phases, 2);
    }
}

static void six_ends_of_three_coils(void **state) {
    (void)state;
    network net = {0};
    for (int i = 0; i < 3; i++)
        add_coil(&net, i, i + 3, 1.4);
    sw_wires wires = wires_of(&net, 6, 0.2);
    sw_wire_finding finding = find_wires(&wires);
    assert_int_equal(finding.machine, SW_MACHINE_THREE_WINDINGS);
    assert_int_equal(wires_used(&finding), 6);
}

static void main_and_auxiliary_winding_with_their_common(void **state) {
    (void)state;
    network net = {0};
    add_coil(&net, 0, 1, 30);
    add_coil(&net, 1, 2, 50);
    sw_wires wires = wires_of(&net, 3, 0.2);
    sw_wire_finding finding = find_wires(&wires);
    assert_int_equal(finding.machine, SW_MACHINE_UNLIKE_WINDINGS);
    assert_int_equal(finding.role[0], SW_ROLE_MAIN);
    assert_int_equal(finding.role[1], SW_ROLE_COMMON);
    assert_int_equal(finding.role[2], SW_ROLE_AUXILIARY);
    assert_int_equal(wires_used(&finding), 0);
}

static void taps_along_a_coil(void **state) {
    (void)state;
    network net = {0};
    add_coil(&net, 0, 1, 10);
    add_coil(&net, 1, 2, 15);
    add_coil(&net, 2, 3, 20);
    sw_wires wires = wires_of(&net, 4, 0.2);
    sw_wire_finding finding = find_wires(&wires);
    assert_int_equal(finding.group[0].kind, SW_WIRES_TAPPED);
}

static void a_broken_delta_is_doubted(void **state) {
    (void)state;
    network net = {0};
    add_coil(&net, 0, 1, 9);
    add_coil(&net, 1, 2, 9); /* the third coil is broken */
    sw_wires wires = wires_of(&net, 3, 0.2);
    sw_error error;
    assert_ok(sw_wires_parse_weight("1-3", SW_THICK, &wires, &error), &error);
    sw_wire_finding finding = find_wires(&wires);
    assert_int_equal(finding.group[0].kind, SW_WIRES_CENTRE_TAP);
    assert_true(doubted(&finding, SW_DOUBT_BROKEN));
}

static void shorted_turns_show_as_uneven(void **state) {
    (void)state;
    network net = {0};
    add_coil(&net, 0, 3, 5);
    add_coil(&net, 1, 3, 5);
    add_coil(&net, 2, 3, 3.5);
    sw_wires wires = wires_of(&net, 3, 0.2);
    sw_wire_finding finding = find_wires(&wires);
    assert_int_equal(finding.group[0].kind, SW_WIRES_UNEVEN);
    assert_true(doubted(&finding, SW_DOUBT_UNEVEN));
    assert_int_equal(wires_used(&finding), 0);
}

/* Meter scale 1 %, one digit of 0.1 or 0.01 ohm, phases that differ by a hundredth: whatever the
 * noise, three equal phases must stay three, a star point a star point. */
static void noisy_readings_keep_their_shape(void **state) {
    (void)state;
    const unsigned seed = 20231;
    print_message("seed %u\n", seed);
    unsigned long long x = seed;
    for (int trial = 0; trial < 500; trial++) {
        network net = {0};
        double ohm = 1;
        for (int i = 0; i < 3; i++) {
            x = x * 6364136223846793005ULL + 1442695040888963407ULL;
            double share = (double)(x >> 40) / (double)(1ULL << 24);
            if (i == 0)
                ohm = 2 * pow(50, share);
            add_coil(&net, i, 3, ohm * (1 + 0.01 * (share - 0.5)));
        }
        sw_wires wires = wires_of(&net, trial % 2 == 0 ? 3 : 4, 0.2);
        for (int a = 0; a < wires.count; a++)
            for (int b = a + 1; b < wires.count; b++) {
                sw_quantity *shown = &sw_wires_pair(&wires, a, b)->ohm;
                double digit = shown->value < 20 ? 0.01 : 0.1;
                x = x * 6364136223846793005ULL + 1442695040888963407ULL;
                double scale = 1 + 0.01 * ((double)(x >> 40) / (double)(1ULL << 24) - 0.5);
                shown->value = digit * round(shown->value * scale / digit);
            }
        sw_wire_finding finding = find_wires(&wires);
        assert_int_equal(finding.group[0].kind,
                         trial % 2 == 0 ? SW_WIRES_THREE : SW_WIRES_THREE_POINT);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_helper_network_knows_a_wheatstone_bridge),
        cmocka_unit_test(star_and_delta_are_three_alike),
        cmocka_unit_test(a_star_point_is_found_wherever_it_is),
        cmocka_unit_test(steppers_of_four_to_eight_wires),
        cmocka_unit_test(six_ends_of_three_coils),
        cmocka_unit_test(main_and_auxiliary_winding_with_their_common),
        cmocka_unit_test(taps_along_a_coil),
        cmocka_unit_test(a_broken_delta_is_doubted),
        cmocka_unit_test(shorted_turns_show_as_uneven),
        cmocka_unit_test(noisy_readings_keep_their_shape),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
