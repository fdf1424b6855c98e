/* What is it?, and the speed-sensor coil. The simulator's families are drawn with their
 * tolerances; both its table and the one under test are common practice or from memory, so this
 * shows that the guess is sound, not that the tables are true. */
#include "tests/support.h"

#include "probes/simulate/family_table.h"
#include "src/measure/family.h"
#include "src/measure/sensor.h"

#include <math.h>
#include <string.h>

/* Which rows may be the answer for a simulated family; families not named are left out. */
typedef struct pairing {
    const char *simulated;
    const char *names[3];
} pairing;

static const pairing PAIRINGS[] = {
    {"pump-2", {"drain pump"}},
    {"fan-4", {"computer fan"}},
    {"pump-6", {"circulation pump", "servo motor"}},
    {"disk-8", {"hard-disk spindle"}},
    {"alternator-12", {"car alternator with magnets"}},
    {"model-14", {"model-aircraft outrunner"}},
    {"hub-20", {"bicycle hub with gears"}},
    {"drum-24", {"washing-machine drum, direct drive"}},
    {"hub-30", {"wheel hub of a self-balancing board"}},
    {"hub-32", {"scooter or moped hub (205 mm)"}},
    {"drum-36", {"washing-machine drum, direct drive"}},
    {"hub-46", {"bicycle hub, direct drive, large"}},
    {"drum-48", {"washing-machine drum, direct drive"}},
    {"drum-56", {"washing-machine drum, direct drive"}},
    {"stepper-24", {"stepper, 7.5 degrees (can-stack)"}},
    {"stepper-100", {"stepper, 1.8 degrees"}},
    {"brushed-2", {"small brushed motor"}},
    {"brushed-4", {"treadmill or scooter, brushed"}},
};

static const sw_sim_family_row *row_named(const char *name) {
    for (size_t i = 0; sw_sim_family_row_at(i) != NULL; i++)
        if (strcmp(sw_sim_family_row_at(i)->name, name) == 0)
            return sw_sim_family_row_at(i);
    fail_msg("no simulated family %s", name);
    return NULL;
}

static unsigned long long state_of_draw;

static double draw(double low, double high) {
    state_of_draw = state_of_draw * 6364136223846793005ULL + 1442695040888963407ULL;
    return low + (high - low) * (double)(state_of_draw >> 40) / (double)(1ULL << 24);
}

/* A record as measuring would leave it: volts in the family's range, ohms with the square of the
 * volts and a fifth either way. */
static sw_motor motor_of(const sw_sim_family_row *row, bool ohms, bool poles) {
    sw_motor motor;
    sw_motor_init(&motor);
    double volts = draw(row->volts[0], row->volts[1]);
    double middle = (row->volts[0] + row->volts[1]) / 2;
    motor.kind = row->kind == SW_SIM_BRUSHED ? SW_BRUSHED : SW_MAGNET_AC;
    motor.phases = motor.kind == SW_BRUSHED ? 1 : row->phases;
    motor.voltage_constant = sw_quantity_of(volts / 1000, NAN, "V/rpm");
    if (ohms)
        motor.winding_resistance =
            sw_quantity_of(row->ohm * pow(volts / middle, 2) * draw(0.8, 1.2), NAN, "ohm");
    if (poles && motor.kind == SW_MAGNET_AC) {
        motor.pole_pairs.value = row->poles / 2;
        motor.pole_pairs.probability = 1;
    }
    return motor;
}

static bool is_named(const pairing *row, const sw_family *family) {
    for (size_t i = 0; i < 3 && row->names[i] != NULL; i++)
        if (strcmp(row->names[i], family->name) == 0)
            return true;
    return false;
}

static sw_family_guess guess_of(const sw_motor *motor) {
    sw_family_guess guess;
    sw_error error;
    assert_ok(sw_family_guess_at(TEST_REFERENCE_DIR, motor, &guess, &error), &error);
    return guess;
}

static void simulated_families_are_named_and_the_odds_are_honest(void **state) {
    (void)state;
    enum { TRIALS = 40, ROWS = sizeof PAIRINGS / sizeof *PAIRINGS };
    int right = 0;
    int asked = 0;
    double claimed = 0;
    state_of_draw = 7;
    print_message("seed 7\n");
    for (size_t f = 0; f < ROWS; f++) {
        int own = 0;
        for (int trial = 0; trial < TRIALS; trial++) {
            sw_motor motor = motor_of(row_named(PAIRINGS[f].simulated), trial % 2 == 0, true);
            sw_family_guess guess = guess_of(&motor);
            asked += guess.count > 0; /* else its ohms come first, see below */
            if (guess.count == 0)
                continue;
            own += is_named(&PAIRINGS[f], &guess.candidate[0]);
            claimed += guess.candidate[0].probability;
        }
        print_message("%-14s %d of %d\n", PAIRINGS[f].simulated, own, TRIALS);
        right += own;
    }
    print_message("right %d of %d, claimed %.1f\n", right, asked, claimed);
    /* A suggestion must be right far more often than not, and never less often than it claims. */
    assert_true(asked >= 0.9 * ROWS * TRIALS);
    assert_true(right >= 0.8 * asked);
    assert_true(claimed <= right);
}

static void probabilities_add_up(void **state) {
    (void)state;
    sw_motor motor = motor_of(row_named("drum-48"), true, true);
    sw_family_guess guess = guess_of(&motor);
    double sum = guess.other;
    for (size_t i = 0; i < guess.count; i++) {
        sum += guess.candidate[i].probability;
        assert_true(i == 0 || guess.candidate[i].probability <= guess.candidate[i - 1].probability);
    }
    assert_close(sum, 1, 1e-12); /* word length */
    assert_string_equal(guess.candidate[0].judged, "from memory");
}

static void more_evidence_makes_it_surer(void **state) {
    (void)state;
    sw_motor motor = motor_of(row_named("drum-48"), true, true);
    sw_motor bare = motor;
    bare.pole_pairs.value = 0;
    bare.winding_resistance = sw_quantity_unknown();
    sw_family_guess with = guess_of(&motor);
    sw_family_guess without = guess_of(&bare);
    assert_true(with.candidate[0].probability > without.candidate[0].probability);
}

/* One channel, no speed: hertz and volts per hertz alone, the pole pairs open between three. */
static void hertz_are_turned_into_speed_by_each_pole_count(void **state) {
    (void)state;
    sw_motor motor;
    sw_motor_init(&motor);
    motor.volts_per_hertz = sw_quantity_of(0.05, NAN, "V/Hz");
    motor.winding_resistance = sw_quantity_of(150, NAN, "ohm");
    motor.pole_pairs.candidates = 3;
    motor.pole_pairs.candidate[0] = (sw_pole_candidate){6, 0.7};
    motor.pole_pairs.candidate[1] = (sw_pole_candidate){4, 0.2};
    motor.pole_pairs.candidate[2] = (sw_pole_candidate){5, 0.1};
    sw_family_guess guess = guess_of(&motor);
    /* 5 V at 1000 rpm with 6 pole pairs, 25 / 600 W: too many volts for a disk spindle */
    assert_string_equal(guess.candidate[0].name, "washer speed-sensor coil");
}

/* A coil that is a sensor's, or whose ohms alone would tell, names no machine. */
static void a_sensor_coil_names_no_machine(void **state) {
    (void)state;
    for (int i = 0; i < 40; i++) {
        sw_motor motor = motor_of(row_named("sensor-16"), i % 2 == 0, i % 4 < 2);
        sw_sensor_check(&motor);
        assert_int_equal(guess_of(&motor).count, 0);
        assert_non_null(strstr(sw_family_reason(&motor), "sensor"));
    }
}

/* Magnets weak all round: the table's ranges are wide, so that only a large loss falls out of them.
 */
static void few_volts_for_the_ohms_are_a_hint(void **state) {
    (void)state;
    enum { TRIALS = 40, ROWS = sizeof PAIRINGS / sizeof *PAIRINGS };
    static const double LOSS[] = {0, 0.4, 0.6, 0.75};
    double said[4] = {0};
    state_of_draw = 9;
    print_message("seed 9\n");
    for (int k = 0; k < 4; k++) {
        double drawn = 0;
        for (size_t f = 0; f < ROWS; f++)
            for (int trial = 0; trial < TRIALS; trial++) {
                sw_motor motor = motor_of(row_named(PAIRINGS[f].simulated), true, true);
                motor.voltage_constant.value *= 1 - LOSS[k];
                sw_family_guess guess = guess_of(&motor);
                if (motor.kind == SW_BRUSHED || !(guess.usual[0] > 0))
                    continue;
                drawn++;
                said[k] += guess.low;
            }
        said[k] /= drawn;
        print_message("loss of %.0f %%: a hint for %.0f %% of %.0f motors\n", 100 * LOSS[k],
                      100 * said[k], drawn);
    }
    /* the rows' ranges hold nine in ten, and seven tenths of their lower end is further out */
    assert_true(said[0] <= 0.05);
    assert_true(said[3] >= 0.5);
    assert_true(said[1] <= said[2] && said[2] <= said[3]);
}

static void nothing_known_gives_no_guess(void **state) {
    (void)state;
    sw_motor motor;
    sw_motor_init(&motor);
    motor.phases = 3;
    assert_int_equal(guess_of(&motor).count, 0);
    motor.kind = SW_NO_GENERATOR;
    motor.pole_pairs.value = 2;
    assert_int_equal(guess_of(&motor).count, 0);
}

static void a_motor_like_nothing_else_is_said_so(void **state) {
    (void)state;
    sw_motor motor;
    sw_motor_init(&motor);
    motor.phases = 3;
    motor.pole_pairs.value = 43;
    motor.voltage_constant = sw_quantity_of(0.004, NAN, "V/rpm");
    motor.winding_resistance = sw_quantity_of(900, NAN, "ohm");
    sw_family_guess guess = guess_of(&motor);
    assert_true(guess.other > 0.5);
}

static void a_sensor_coil_is_warned_of_and_a_pump_is_not(void **state) {
    (void)state;
    sw_motor motor;
    sw_motor_init(&motor);
    motor.phases = 1;
    motor.voltage_constant = sw_quantity_of(0.005, 1e-5, "V/rpm");
    sw_sensor_check(&motor);
    assert_false(sw_motor_warned(&motor, SW_WARN_SENSOR_COIL)); /* no ohms yet */
    motor.winding_resistance = sw_quantity_of(160, 1, "ohm");
    sw_sensor_check(&motor);
    assert_true(sw_motor_warned(&motor, SW_WARN_SENSOR_COIL));
    /* 5 V at 1000 rpm: 25 / 640 W */
    assert_close(sw_sensor_watts(&motor).value, 25.0 / 640, 1e-12);
    sw_motor_init(&motor); /* fewer turns: the watts stay what they are */
    motor.phases = 1;
    motor.voltage_constant = sw_quantity_of(0.0015, 1e-5, "V/rpm");
    motor.winding_resistance = sw_quantity_of(16, 0.1, "ohm");
    sw_sensor_check(&motor);
    assert_true(sw_motor_warned(&motor, SW_WARN_SENSOR_COIL));
    sw_motor_init(&motor); /* a small fan: 3.75 V behind 12 ohm, 0.29 W */
    motor.phases = 1;
    motor.voltage_constant = sw_quantity_of(0.00375, 1e-5, "V/rpm");
    motor.winding_resistance = sw_quantity_of(12, 0.1, "ohm");
    sw_sensor_check(&motor);
    assert_false(sw_motor_warned(&motor, SW_WARN_SENSOR_COIL));
    sw_motor pump;
    sw_motor_init(&pump);
    pump.phases = 1;
    pump.voltage_constant = sw_quantity_of(0.06, 1e-4, "V/rpm");
    pump.winding_resistance = sw_quantity_of(160, 1, "ohm");
    sw_sensor_check(&pump);
    assert_false(sw_motor_warned(&pump, SW_WARN_SENSOR_COIL));
    pump.phases = 3;
    pump.voltage_constant = sw_quantity_of(0.005, 1e-5, "V/rpm");
    sw_sensor_check(&pump);
    assert_false(sw_motor_warned(&pump, SW_WARN_SENSOR_COIL)); /* three phases are no sensor */
}

/* Every family of the simulator is believed, at both ends of its range; a decade beyond is not, and
 * the warning goes when the reading is mended. */
static void volts_beyond_belief(void **state) {
    (void)state;
    for (size_t i = 0; sw_sim_family_row_at(i) != NULL; i++) {
        const sw_sim_family_row *row = sw_sim_family_row_at(i);
        if (row->kind == SW_SIM_NO_MAGNETS)
            continue;
        for (int end = 0; end < 2; end++) {
            sw_motor motor = motor_of(row, true, true);
            motor.voltage_constant = sw_quantity_of(row->volts[end] / 1000, NAN, "V/rpm");
            sw_family_guess guess = guess_of(&motor);
            sw_family_check_volts(&guess, &motor);
            if (sw_motor_warned(&motor, SW_WARN_VOLTS_IMPLAUSIBLE))
                fail_msg("%s: %s", row->name, motor.warning[motor.warnings - 1].message);
        }
    }
    static const double VOLTS[] = {40, 1e-4};
    for (size_t i = 0; i < 2; i++) {
        sw_motor motor;
        sw_motor_init(&motor);
        motor.kind = SW_BRUSHED;
        motor.voltage_constant = sw_quantity_of(VOLTS[i], NAN, "V/rpm");
        sw_family_guess guess = guess_of(&motor);
        sw_family_check_volts(&guess, &motor);
        assert_true(sw_motor_warned(&motor, SW_WARN_VOLTS_IMPLAUSIBLE));
        motor.voltage_constant = sw_quantity_of(0.024, NAN, "V/rpm");
        guess = guess_of(&motor);
        sw_family_check_volts(&guess, &motor);
        assert_false(sw_motor_warned(&motor, SW_WARN_VOLTS_IMPLAUSIBLE));
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(simulated_families_are_named_and_the_odds_are_honest),
        cmocka_unit_test(probabilities_add_up),
        cmocka_unit_test(more_evidence_makes_it_surer),
        cmocka_unit_test(hertz_are_turned_into_speed_by_each_pole_count),
        cmocka_unit_test(a_sensor_coil_names_no_machine),
        cmocka_unit_test(few_volts_for_the_ohms_are_a_hint),
        cmocka_unit_test(nothing_known_gives_no_guess),
        cmocka_unit_test(a_motor_like_nothing_else_is_said_so),
        cmocka_unit_test(volts_beyond_belief),
        cmocka_unit_test(a_sensor_coil_is_warned_of_and_a_pump_is_not),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
