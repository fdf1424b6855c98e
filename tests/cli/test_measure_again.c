/* The same evidence given again, and evidence that comes a day later. */
#include "tests/support.h"

#include "shared/motor.h"

#include <stdio.h>
#include <string.h>

static int shell(const char *words) {
    char command[2000];
    snprintf(command, sizeof command, "cd '%s' && %s", support_folder(), words);
    return support_run(command, NULL, 0, NULL, 0);
}

static sw_motor saved(const sw_units *units, const char *name) {
    sw_motor motor;
    sw_error error;
    assert_ok(sw_motor_read(support_at(name), units, &motor, &error), &error);
    return motor;
}

static void assert_same(sw_quantity found, sw_quantity expected) {
    /* the same samples through the same sums: rounding of the document only */
    assert_close(found.value, expected.value, 1e-12 * expected.value);
    assert_close(found.u, expected.u, 1e-9 * expected.u);
}

#define DRUM                                                                                       \
    "simulate --family drum-48 --seed 7 --inertia '0.025 kg m2' --drag-constant '0.4 N m' "        \
    "--drag-linear '0.002 N m s/rad' --winding-resistance 7ohm --winding-inductance 45mH "

static int set_up(void **state) {
    if (support_folder_units_setup(state) != 0)
        return -1;
    static const char *const MAKE[] = {
        DRUM "--coast free -o free.wav --probe-out p.json",
        DRUM "--coast no --channels 1 --volts-per-unit 300V -o open.wav --probe-out open.json",
        DRUM "--coast no --channels 1 --volts-per-unit 300V --load-resistance 20ohm -o load.wav",
        "measure free.wav --probe p.json --about 300rpm -o free.json",
    };
    for (size_t i = 0; i < sizeof MAKE / sizeof *MAKE; i++)
        if (support_call(MAKE[i]) != 0)
            return -1;
    return 0;
}

/* Also under another name: the bytes count. */
static void nothing_is_learnt_from_it_twice(void **state) {
    sw_motor first = saved(*state, "free.json");
    assert_int_equal(shell("cp free.json m.json && cp free.wav copy.wav"), 0);
    static const char *const CALLS[] = {
        "measure free.wav --probe p.json --about 300rpm --into m.json",
        "measure copy.wav --into m.json", "measure free.wav --into m.json --name again"};
    for (size_t i = 0; i < sizeof CALLS / sizeof *CALLS; i++) {
        assert_int_equal(support_call(CALLS[i]), 0);
        assert_non_null(strstr(support_out, "is in m.json already"));
        sw_motor motor = saved(*state, "m.json");
        assert_same(motor.volts_per_hertz, first.volts_per_hertz);
        assert_close(motor.pole_pairs.probability, first.pole_pairs.probability, 1e-12);
        assert_int_equal(motor.sources.count, 1);
    }
    assert_string_equal(saved(*state, "m.json").name, "again");
}

/* The recording is where it was: it need not be named, nor its probe. The ohms stay. */
static void drag_comes_later(void **state) {
    sw_motor first = saved(*state, "free.json");
    assert_int_equal(shell("cp free.json m.json"), 0);
    assert_int_equal(support_call("measure --into m.json --resistance 7ohm --test-leads 0.1ohm"),
                     0);
    static const char LATER[] = "measure --into m.json --coast free --disc-mass 2.2222kg "
                                "--disc-diameter 300mm";
    for (int i = 0; i < 2; i++) {
        assert_int_equal(support_call(LATER), 0);
        sw_motor motor = saved(*state, "m.json");
        assert_same(motor.volts_per_hertz, first.volts_per_hertz);
        assert_close(motor.inertia.value, 0.025, 1e-4);
        assert_close(motor.drag_torque.constant.value, 0.4, 3 * motor.drag_torque.constant.u);
        /* a disc weighed and measured is good to a tenth, however often that is typed */
        assert_close(motor.inertia.u, 0.1 * 0.025, 0.1 * 0.1 * 0.025);
        assert_true(sw_quantity_known(motor.winding_resistance));
        assert_false(sw_motor_warned(&motor, SW_WARN_DRILL_ATTACHED));
    }
    /* What was said of the shaft is remembered too. */
    assert_int_equal(support_call("measure --into m.json --magnets 48"), 0);
    assert_true(sw_quantity_known(saved(*state, "m.json").drag_torque.constant));
    assert_null(strstr(support_out, "drill still on"));
}

/* A count that goes with nothing else is doubted, until another takes its place. */
static void a_wrong_count_is_doubted(void **state) {
    assert_int_equal(shell("cp free.json m.json"), 0);
    assert_int_equal(support_call("measure --into m.json --slots 35"), 0);
    assert_non_null(strstr(support_out, "35 slots: a motor of three phases"));
    assert_int_equal(support_call("measure --into m.json --slots 36 --magnets 50"), 0);
    assert_null(strstr(support_out, "35 slots"));
    assert_non_null(strstr(support_out, "What speaks against them\n  - 50 magnets counted"));
    sw_motor motor = saved(*state, "m.json");
    assert_int_equal(motor.pole_pairs.value, 24);
    assert_true(sw_motor_warned(&motor, SW_WARN_COUNT_DOUBTFUL));
    assert_int_equal(support_call("measure --into m.json --magnets 48"), 0);
    assert_null(strstr(support_out, "speaks against"));
    motor = saved(*state, "m.json");
    assert_false(sw_motor_warned(&motor, SW_WARN_COUNT_DOUBTFUL));
}

static void a_recording_that_is_gone_is_sent_for(void **state) {
    assert_int_equal(shell("mkdir -p away && cp free.wav away/gone.wav"), 0);
    assert_int_equal(support_call("measure away/gone.wav --probe p.json --about 300rpm -o g.json"),
                     0);
    assert_int_equal(shell("mv away/gone.wav 'away/here it is.wav'"), 0);
    assert_int_equal(support_call("measure --into g.json --turns 48"), 2);
    assert_non_null(
        strstr(support_err, "spinworth measure away/gone.wav --into g.json --turns 48"));
    assert_int_equal(support_call("measure 'away/here it is.wav' --into g.json --turns 48"), 0);
    assert_int_equal(saved(*state, "g.json").sources.count, 1);
}

/* Without a speed a record of this motor leaves several candidates; the recording is gone. */
static void magnets_counted_the_next_day(void **state) {
    static const char LEFT[] =
        "{\"document\": \"motor\", \"version\": 1, \"kind\": \"magnet-ac\", \"phases\": 3, "
        "\"electrical_frequency\": \"120 Hz\", \"volts_per_hertz\": \"0.5 V/Hz\", \"pole_pairs\": "
        "{\"value\": null, \"probability\": 0.5, \"candidates\": [{\"value\": 12, \"probability\": "
        "0.5}, {\"value\": 24, \"probability\": 0.4}, {\"value\": 8, \"probability\": 0.1}], "
        "\"evidence\": [\"To decide, count the turns while recording\"]}}";
    char command[900];
    snprintf(command, sizeof command, "printf '%%s' '%s' > left.json", LEFT);
    assert_int_equal(shell(command), 0);
    assert_int_equal(support_call("measure --into left.json --magnets 48"), 0);
    assert_non_null(strstr(support_out, "48 magnets counted: 24 pole pairs."));
    assert_null(strstr(support_out, "To decide"));
    sw_motor motor = saved(*state, "left.json");
    assert_int_equal(motor.pole_pairs.value, 24);
    assert_close(motor.voltage_constant.value, 0.5 * 24 / 60, 1e-12);
    assert_close(motor.speed.value, 120 * 60 / 24.0, 1e-9);
    double sure = motor.pole_pairs.probability;
    assert_int_equal(support_call("measure --into left.json --magnets 48"), 0);
    assert_non_null(strstr(support_out, "nothing new"));
    assert_close(saved(*state, "left.json").pole_pairs.probability, sure, 1e-12);
    assert_int_equal(support_call("measure --into left.json --detents 24"), 0);
    assert_true(saved(*state, "left.json").pole_pairs.probability > sure);
    assert_int_equal(support_call("measure --into left.json --turns 40"), 2);
    assert_non_null(strstr(support_err, "spinworth measure REC.wav --into left.json --turns 40"));
}

static void beside_another_it_is_refused(void **state) {
    assert_int_equal(shell("cp free.json two.json"), 0);
    assert_int_equal(
        support_call("measure open.wav --probe open.json --about 300rpm --into two.json"), 0);
    sw_motor two = saved(*state, "two.json");
    assert_int_equal(two.sources.count, 2);
    assert_true(two.volts_per_hertz.u < saved(*state, "free.json").volts_per_hertz.u);
    assert_int_equal(support_call("measure open.wav --into two.json"), 2);
    assert_non_null(strstr(support_err, "would count twice"));
    assert_int_equal(support_call("measure open.wav --into two.json --turns 48"), 2);
    assert_int_equal(support_call("measure --into two.json --turns 48"), 2);
    assert_non_null(strstr(support_err, "several"));
    /* What it has not given yet is taken. */
    assert_int_equal(
        support_call("measure free.wav --into two.json --coast free --inertia '0.025 kg m2'"), 0);
    sw_motor motor = saved(*state, "two.json");
    assert_same(motor.volts_per_hertz, two.volts_per_hertz);
    assert_close(motor.drag_torque.constant.value, 0.4, 3 * motor.drag_torque.constant.u);
}

static void a_table_counts_once(void **state) {
    static const char ROWS[] = "printf '# meter: true-rms\\n# phases: 3\\nrpm, hz, volts\\n"
                               "200, 50.1, 10.1\\n300, 75.0, 15.2\\n' > t.csv";
    assert_int_equal(shell(ROWS), 0);
    assert_int_equal(support_call("measure t.csv -o t.json"), 0);
    sw_motor first = saved(*state, "t.json");
    assert_int_equal(support_call("measure t.csv --into t.json"), 0);
    assert_same(saved(*state, "t.json").volts_per_hertz, first.volts_per_hertz);
    assert_int_equal(shell("echo '400, 100.1, 20.2' >> t.csv"), 0);
    assert_int_equal(support_call("measure t.csv --into t.json"), 3);
    assert_non_null(strstr(support_err, "an earlier state of this table"));
}

static void a_meter_counts_once(void **state) {
    assert_int_equal(shell("cp free.json r.json"), 0);
    assert_int_equal(support_call("measure --into r.json --resistance 7.3ohm"), 0);
    sw_motor first = saved(*state, "r.json");
    assert_int_equal(support_call("measure --into r.json --resistance 7.3ohm"), 0);
    assert_non_null(strstr(support_out, "nothing new"));
    assert_same(saved(*state, "r.json").winding_resistance, first.winding_resistance);
    /* A slip is mended by reading again; the same meter's ± does not shrink. */
    assert_int_equal(support_call("measure --into r.json --resistance 73ohm"), 0);
    assert_int_equal(support_call("measure --into r.json --resistance 7.4ohm"), 0);
    assert_non_null(strstr(support_out, "takes the place"));
    sw_motor last = saved(*state, "r.json");
    assert_close(last.winding_resistance.value, 7.4, 1e-9);
    assert_true(last.winding_resistance.u >= first.winding_resistance.u);
}

static void a_loaded_run_counts_once(void **state) {
    assert_int_equal(support_call("measure open.wav --probe open.json --about 300rpm -o l.json"),
                     0);
    assert_int_equal(support_call("measure --into l.json --resistance 7.2ohm --test-leads 0.2ohm"),
                     0);
    static const char LOADED[] = "measure --into l.json --loaded load.wav --load-ohm 20ohm";
    assert_int_equal(support_call(LOADED), 0);
    sw_motor first = saved(*state, "l.json");
    assert_close(first.winding_inductance.value, 45, 3 * first.winding_inductance.u);
    assert_int_equal(support_call(LOADED), 0);
    sw_motor again = saved(*state, "l.json");
    assert_same(again.winding_resistance, first.winding_resistance);
    assert_same(again.winding_inductance, first.winding_inductance);
    assert_int_equal(support_call("measure load.wav --into l.json"), 3);
    assert_non_null(strstr(support_err, "with a resistor"));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_is_learnt_from_it_twice),
        cmocka_unit_test(drag_comes_later),
        cmocka_unit_test(a_wrong_count_is_doubted),
        cmocka_unit_test(a_recording_that_is_gone_is_sent_for),
        cmocka_unit_test(magnets_counted_the_next_day),
        cmocka_unit_test(beside_another_it_is_refused),
        cmocka_unit_test(a_table_counts_once),
        cmocka_unit_test(a_meter_counts_once),
        cmocka_unit_test(a_loaded_run_counts_once),
    };
    return cmocka_run_group_tests(tests, set_up, support_folder_units_teardown);
}
