/* Readings as people type them -> what the wires are: small ohms, sensors, switches,
 * contradictions. */
#include "tests/support.h"

#include "tests/measure/wires/support_wires.h"

#include <math.h>
#include <string.h>

static sw_wires typed(int count, const char *ohms) {
    sw_wires wires;
    sw_units *units = NULL;
    sw_error error;
    sw_wires_init(&wires, count);
    assert_ok(sw_units_new(&units, &error), &error);
    assert_ok(sw_wires_parse_ohms(ohms, units, &wires, &error), &error);
    sw_units_free(units);
    return wires;
}

static void few_ohms_without_leads_are_doubted(void **state) {
    (void)state;
    /* 0.1 ohm a phase read through 0.3 ohm of test leads: star point and lines hardly differ. */
    sw_wires wires = typed(4, "1-2 .5, 1-3 .5, 2-3 .5, 1-4 .4, 2-4 .4, 3-4 .4");
    sw_wire_finding finding = find_wires(&wires);
    assert_true(doubted(&finding, SW_DOUBT_LEADS));
    assert_true(doubted(&finding, SW_DOUBT_TOO_SMALL));
    wires.test_leads = sw_quantity_of(0.3, 0.005, "ohm");
    for (int a = 0; a < 4; a++)
        for (int b = a + 1; b < 4; b++)
            sw_wires_pair(&wires, a, b)->ohm.u = 0.005;
    finding = find_wires(&wires);
    assert_int_equal(finding.group[0].kind, SW_WIRES_THREE_POINT);
    assert_false(doubted(&finding, SW_DOUBT_LEADS));
}

static void three_thick_and_five_thin(void **state) {
    (void)state;
    sw_error error;
    /* Sensor electronics: readings that no copper could give (4-6 more than 4-5 and 5-6). */
    sw_wires wires =
        typed(8, "1-2 .3, 2-3 .3, 1-3 .3, 4-5 8k, 5-6 9k, 4-6 40k, 4-7 2.2M, 4-8 open");
    assert_ok(sw_wires_parse_weight("1,2,3", SW_THICK, &wires, &error), &error);
    assert_ok(sw_wires_parse_weight("4-8", SW_THIN, &wires, &error), &error);
    sw_wire_finding finding = find_wires(&wires);
    assert_int_equal(finding.machine, SW_MACHINE_THREE_PHASE);
    assert_int_equal(wires_used(&finding), 3);
    assert_int_equal(finding.groups, 2);
    assert_int_equal(finding.group[1].kind, SW_WIRES_SIGNALS);
    assert_int_equal(finding.group[1].count, 5);
}

static void a_sensor_coil_is_told_by_its_watts(void **state) {
    (void)state;
    sw_wires wires = typed(5, "1-2 7.2, 2-3 7.2, 1-3 7.2, 4-5 120");
    sw_wire_pair *pair = sw_wires_pair(&wires, 3, 4);
    pair->volts = sw_quantity_of(12, NAN, "V");
    sw_wire_finding finding = find_wires(&wires);
    assert_int_equal(finding.group[1].kind, SW_WIRES_SENSOR);
    /* 12^2 / (4 x 120) = 0.3 W */
    assert_close(finding.group[1].greatest_watts.value, 0.3, 1e-9);
    assert_false(doubted(&finding, SW_DOUBT_SENSOR));
    pair->volts = sw_quantity_of(60, NAN, "V"); /* 7.5 W: a winding in its own right */
    finding = find_wires(&wires);
    assert_int_equal(finding.group[1].kind, SW_WIRES_WINDING);
    pair->volts = sw_quantity_unknown();
    finding = find_wires(&wires);
    assert_int_equal(finding.group[1].kind, SW_WIRES_SENSOR);
    assert_true(doubted(&finding, SW_DOUBT_SENSOR));
}

static void a_universal_motor_with_its_sensor_coil(void **state) {
    (void)state;
    /* Armature, field, speed sensor: an older washer's motor. */
    sw_wires wires = typed(6, "1-2 2.1, 3-4 1.3, 5-6 68");
    wires.test_leads = sw_quantity_of(0.2, NAN, "ohm");
    sw_wire_finding finding = find_wires(&wires);
    assert_int_equal(finding.machine, SW_MACHINE_UNLIKE_WINDINGS);
    assert_int_equal(finding.role[4], SW_ROLE_SENSOR);
    assert_int_equal(wires_used(&finding), 0);
}

static void sensor_wires_that_were_not_told_get_a_hint(void **state) {
    (void)state;
    sw_wires wires = typed(8, "1-2 .3, 2-3 .3, 1-3 .3, 4-5 8k, 5-6 9k, 4-6 40k");
    sw_wire_finding finding;
    sw_error error;
    assert_int_equal(sw_wires_find(&wires, &finding, &error), SW_VALUE);
    assert_non_null(strstr(error.message, "--thin"));
}

static void a_winding_that_brakes_is_no_sensor(void **state) {
    (void)state;
    sw_wires wires = typed(5, "1-2 7.2, 2-3 7.2, 1-3 7.2, 4-5 120");
    sw_wires_pair(&wires, 3, 4)->stiffer = SW_YES;
    sw_wire_finding finding = find_wires(&wires);
    assert_int_equal(finding.group[1].kind, SW_WIRES_WINDING);
    assert_true(finding.use[3] && finding.use[4]);
    assert_false(finding.use[0]);
}

static void switches_capacitors_earth_and_broken_wires(void **state) {
    (void)state;
    sw_error error;
    sw_wires wires = typed(7, "1-2 9, 2-3 9, 1-3 9, 4-5 0.2, 4-6 climbs");
    assert_ok(sw_wires_parse_colours("red,white,blue,black,black,,Yellow-Green", &wires, &error),
              &error);
    sw_wire_finding finding = find_wires(&wires);
    assert_int_equal(finding.role[3], SW_ROLE_SWITCH);
    assert_int_equal(finding.role[6], SW_ROLE_EARTH);
    assert_true(doubted(&finding, SW_DOUBT_CAPACITOR));
    wires = typed(3, "1-2 9");
    assert_ok(sw_wires_parse_weight("1-3", SW_THICK, &wires, &error), &error);
    finding = find_wires(&wires);
    assert_true(doubted(&finding, SW_DOUBT_BROKEN));
}

static void contradictions_name_the_pair(void **state) {
    (void)state;
    static const struct {
        const char *ohms;
        const char *says;
    } ROWS[] = {
        {"1-2 7, 2-3 7", "1-3 is not among the readings"},
        {"1-2 7, 2-3 7, 1-3 open", "1-3 reads open"},
        {"1-2 7, 2-3 7, 1-3 20", "1-3 reads 20 ohm, but by way of wire 2"},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
        sw_wires wires = typed(3, ROWS[i].ohms);
        sw_wire_finding finding;
        sw_error error;
        assert_int_equal(sw_wires_find(&wires, &finding, &error), SW_VALUE);
        assert_non_null(strstr(error.message, ROWS[i].says));
    }
    sw_wires wires = typed(3, "1-2 7");
    sw_wire_finding finding;
    sw_error error;
    sw_wires_pair(&wires, 0, 2)->stiffer = SW_YES;
    assert_int_equal(sw_wires_find(&wires, &finding, &error), SW_VALUE);
    assert_non_null(strstr(error.message, "1-3 is said to make"));
}

static void a_pair_not_measured_is_asked_for(void **state) {
    (void)state;
    sw_wires wires = typed(3, "1-2 7, 2-3 7, 1-3 ?");
    sw_wire_finding finding = find_wires(&wires);
    assert_int_equal(finding.group[0].kind, SW_WIRES_UNFINISHED);
    assert_true(doubted(&finding, SW_DOUBT_UNMEASURED));
    assert_int_equal(wires_used(&finding), 0);
}

static void readings_as_people_type_them(void **state) {
    (void)state;
    sw_wires wires = typed(5, "1-2 7,2, 3-2 = 7.1 ohm; 1-3 1.2k, 4-5 OL,3-4 2.5 kohm ± 0.1");
    assert_close(wires.pair[0][1].ohm.value, 7.2, 1e-12);
    assert_close(wires.pair[1][2].ohm.value, 7.1, 1e-12);
    assert_close(wires.pair[0][2].ohm.value, 1200, 1e-9);
    assert_close(wires.pair[2][3].ohm.value, 2500, 1e-9);
    /* half of a 95 % interval of 0.1 kohm */
    assert_close(wires.pair[2][3].ohm.u, 50, 1e-9);
    assert_true(wires.pair[3][4].said);
    assert_int_equal(wires.pair[3][4].contact, SW_CONTACT_OPEN);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(few_ohms_without_leads_are_doubted),
        cmocka_unit_test(three_thick_and_five_thin),
        cmocka_unit_test(a_sensor_coil_is_told_by_its_watts),
        cmocka_unit_test(a_universal_motor_with_its_sensor_coil),
        cmocka_unit_test(sensor_wires_that_were_not_told_get_a_hint),
        cmocka_unit_test(a_winding_that_brakes_is_no_sensor),
        cmocka_unit_test(switches_capacitors_earth_and_broken_wires),
        cmocka_unit_test(contradictions_name_the_pair),
        cmocka_unit_test(a_pair_not_measured_is_asked_for),
        cmocka_unit_test(readings_as_people_type_them),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
