/* What the person at the bench reads: the answer comes first, and only what is known is said. */
#include "tests/support.h"

#include "src/report/motor_text.h"
#include "src/report/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static sw_motor drum_motor(void) {
    sw_motor motor;
    sw_motor_init(&motor);
    motor.phases = 3;
    motor.volts_per_hertz = sw_quantity_of(0.2, 0.001, "V/Hz");
    motor.electrical_frequency = sw_quantity_of(120, 0.01, "Hz");
    motor.pole_pairs.value = 24;
    motor.pole_pairs.probability = 0.998;
    sw_motor_derive(&motor);
    return motor;
}

static void lines_stay_below_80_columns(const char *text) {
    while (*text != '\0') {
        size_t length = strcspn(text, "\n");
        char line[256];
        assert_true(length < sizeof line);
        memcpy(line, text, length);
        line[length] = '\0';
        assert_true(sw_text_columns(line) < 80);
        text += length + (text[length] == '\n');
    }
}

static void a_generator_is_said_first_with_its_charging_speeds(void **state) {
    (void)state;
    sw_text text = {0};
    sw_motor motor = drum_motor();
    sw_motor_text(&motor, &(sw_motor_text_options){.details = false}, &text);
    /* 0.2 V/Hz x 24/60 = 0.08 V/rpm rms, 0.11314 peak: a battery at rest behind two
     * knees: (12.6 + 0.5)/0.11314 = 116, 24: (25.2 + 0.5)/0.11314 = 227. */
    const char *start = "Yes, it generates. Three phases. It starts charging (cut-in) 12 V at 116";
    assert_memory_equal(sw_text_string(&text), start, strlen(start));
    assert_non_null(strstr(sw_text_string(&text), "24 V at 227"));
    assert_non_null(strstr(sw_text_string(&text), "24, almost certain"));
    lines_stay_below_80_columns(sw_text_string(&text));
    sw_text_free(&text);
}

static void without_pole_pairs_no_speed_is_claimed(void **state) {
    (void)state;
    sw_text text = {0};
    sw_motor motor = drum_motor();
    motor.pole_pairs.value = 0;
    motor.voltage_constant = sw_quantity_unknown();
    motor.constants.rpm_per_volt_peak = sw_quantity_unknown();
    sw_motor_text(&motor, &(sw_motor_text_options){.details = false}, &text);
    assert_null(strstr(sw_text_string(&text), "12 V at"));
    assert_non_null(strstr(sw_text_string(&text), "--about"));
    lines_stay_below_80_columns(sw_text_string(&text));
    sw_text_free(&text);
    /* the whole command, with a placeholder: no number that the evidence may call too few */
    snprintf(motor.pole_pairs.evidence[0], sizeof motor.pole_pairs.evidence[0],
             "count the turns while recording (--turns), at least 80 of them");
    motor.pole_pairs.evidences = 1;
    sw_motor_text(
        &motor, &(sw_motor_text_options){.call = "spinworth measure r.wav --probe p.json"}, &text);
    assert_non_null(
        strstr(sw_text_string(&text), "\n  spinworth measure r.wav --probe p.json --turns N\n"));
    assert_null(strstr(sw_text_string(&text), "48"));
    sw_text_free(&text);
    sw_motor_text(&motor, &(sw_motor_text_options){.saved_as = "m.json"}, &text);
    assert_non_null(
        strstr(sw_text_string(&text), "\n  spinworth measure --into m.json --turns N\n"));
    sw_text_free(&text);
}

/* The word for the wave and the overtone told beside it follow one rule: below 5 % nearly a sine.
 */
static void the_wave_is_called_after_its_strongest_overtone(void **state) {
    (void)state;
    static const struct {
        double relative;
        double distortion; /* of the pairs, which may be without the phase's third */
        const char *says;
    } ROWS[] = {
        {0.107, 0.02, "not a pure sine; strongest overtone 3rd, 10.7 %"},
        {0.078, 0.08, "not a pure sine; strongest overtone 3rd, 7.8 %"},
        {0.049, 0.08, "nearly a sine; strongest overtone 3rd, 4.9 %"},
        {0.004, 0.004, "nearly a sine; strongest overtone 3rd, 0.4 %"},
        {0.002, 0.004, "a clean sine"},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
        sw_text text = {0};
        sw_motor motor = drum_motor();
        motor.harmonics = 2;
        motor.harmonic[0] = (sw_harmonic){.order = 1, .relative = 1};
        motor.harmonic[1] = (sw_harmonic){.order = 3, .relative = ROWS[i].relative};
        motor.distortion = sw_quantity_of(ROWS[i].distortion, 1e-4, "1");
        sw_motor_numbers(&motor, false, &text);
        if (strstr(sw_text_string(&text), ROWS[i].says) == NULL)
            fail_msg("\"%s\" is not in\n%s", ROWS[i].says, sw_text_string(&text));
        sw_text_free(&text);
    }
}

static void a_dead_motor_is_told_what_to_try(void **state) {
    (void)state;
    sw_text text = {0};
    sw_motor motor;
    sw_motor_init(&motor);
    motor.kind = SW_NO_GENERATOR;
    sw_motor_text(&motor, &(sw_motor_text_options){.details = false}, &text);
    assert_memory_equal(sw_text_string(&text), "No, nothing is generated", 24);
    assert_non_null(strstr(sw_text_string(&text), "screwdriver"));
    sw_text_free(&text);
}

static void each_cause_of_nothing_has_its_own_words(void **state) {
    (void)state;
    static const struct {
        sw_warning_code code;
        const char *says;
    } ROWS[] = {
        {SW_WARN_FREEWHEEL, "Turn it the other way round"},
        {SW_WARN_RESIDUAL_ONLY, "plain iron gives"},
        {SW_WARN_NOT_A_MOTOR, "no spinning motor"},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
        sw_text text = {0};
        sw_motor motor;
        sw_motor_init(&motor);
        motor.kind = SW_NO_GENERATOR;
        sw_motor_warn(&motor, ROWS[i].code, "why");
        sw_motor_text(&motor, &(sw_motor_text_options){.details = false}, &text);
        assert_non_null(strstr(sw_text_string(&text), ROWS[i].says));
        assert_null(strstr(sw_text_string(&text), "Yes, it generates"));
        lines_stay_below_80_columns(sw_text_string(&text));
        sw_text_free(&text);
    }
}

static void the_likely_family_is_a_suggestion(void **state) {
    (void)state;
    sw_text text = {0};
    sw_motor motor = drum_motor();
    sw_family_guess guess = {.count = 1, .other = 0.28};
    guess.candidate[0] = (sw_family){.name = "drum",
                                     .called = "a washer drum motor",
                                     .good = "slow turning",
                                     .bad = "light winds",
                                     .probability = 0.72};
    sw_motor_text(&motor, &(sw_motor_text_options){.family = &guess}, &text);
    assert_non_null(strstr(sw_text_string(&text),
                           "Probably a washer drum motor (7 in 10): good for slow turning;"));
    sw_text_free(&text);
    guess.candidate[0].probability = 0.999; /* never said surer than 9 in 10 */
    sw_motor_text(&motor, &(sw_motor_text_options){.family = &guess}, &text);
    assert_non_null(strstr(sw_text_string(&text), "(9 in 10)"));
    lines_stay_below_80_columns(sw_text_string(&text));
    sw_text_free(&text);
}

static void a_sensor_coil_is_said_first(void **state) {
    (void)state;
    sw_text text = {0};
    sw_motor motor = drum_motor();
    motor.phases = 1;
    sw_motor_warn(&motor, SW_WARN_SENSOR_COIL, "0.1 W");
    sw_motor_text(&motor, &(sw_motor_text_options){.details = false}, &text);
    assert_memory_equal(sw_text_string(&text), "Volts, but hardly any watts", 27);
    sw_text_free(&text);
}

static void numbers_are_said_to_the_figures_asked(void **state) {
    (void)state;
    char shown[32];
    sw_words_number(117.6, 3, shown, sizeof shown);
    assert_string_equal(shown, "118");
    sw_words_number(8.53, 2, shown, sizeof shown);
    assert_string_equal(shown, "8.5");
    sw_words_number(1234, 2, shown, sizeof shown);
    assert_string_equal(shown, "1200");
    sw_words_number(0, 2, shown, sizeof shown);
    assert_string_equal(shown, "0");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_generator_is_said_first_with_its_charging_speeds),
        cmocka_unit_test(without_pole_pairs_no_speed_is_claimed),
        cmocka_unit_test(the_wave_is_called_after_its_strongest_overtone),
        cmocka_unit_test(a_dead_motor_is_told_what_to_try),
        cmocka_unit_test(each_cause_of_nothing_has_its_own_words),
        cmocka_unit_test(the_likely_family_is_a_suggestion),
        cmocka_unit_test(a_sensor_coil_is_said_first),
        cmocka_unit_test(numbers_are_said_to_the_figures_asked),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
