/* The simulated machine: magnets, coils, clips, commutator. */
#include "tests/probes/simulate_support.h"

#include "probes/simulate/machine.h"

static const double TURNS_A_SECOND = 5; /* of clean_spec */

/* Interpolation is within 1e-8 of the fundamental (machine.c). */
static const double TABLE = 1e-7;

static const char *const THREE_PHASE[] = {"pump-6", "fan-8",   "alternator-12", "model-14",
                                          "hub-30", "drum-48", "hub-46",        "ring-112"};
enum { THREE_PHASES = sizeof THREE_PHASE / sizeof *THREE_PHASE };

static void test_constant_of_the_record(void **state) {
    (void)state;
    for (size_t i = 0; sw_sim_family_name(i) != NULL; i++) {
        sw_sim_spec spec = clean_spec(sw_sim_family_name(i), 11 + i);
        if (spec.motor.kind == SW_SIM_BRUSHED)
            continue;
        sw_sim_truth truth;
        sw_waveform record = simulate_or_fail(&spec, &truth);
        double hertz = spec.motor.pole_pairs * TURNS_A_SECOND;
        double rms = cabs(amplitude_at(&record, 0, hertz)) / M_SQRT2;
        assert_close(rms / hertz / truth.volts_per_hertz, 1, TABLE);
        assert_close(truth.volts_per_hertz / spec.motor.volts_per_hertz, 1, 1e-12);
        sw_waveform_free(&record);
    }
}

static void test_star_point_and_lines(void **state) {
    (void)state;
    for (size_t i = 0; i < THREE_PHASES; i++) {
        sw_sim_spec spec = clean_spec(THREE_PHASE[i], 3);
        sw_sim_truth truth;
        spec.front.channels = 3;
        sw_waveform record = simulate_or_fail(&spec, &truth);
        double hertz = spec.motor.pole_pairs * TURNS_A_SECOND;
        double complex a = amplitude_at(&record, 0, hertz);
        double complex b = amplitude_at(&record, 1, hertz);
        double complex c = amplitude_at(&record, 2, hertz);
        /* Balanced: line = sqrt 3 phase, 120 deg apart, B after A. */
        assert_close(cabs(a - b) / cabs(a), M_SQRT3, 1e-6);
        assert_close(carg(a / b) * 180 / M_PI, 120, 1e-4);
        assert_close(carg(b / c) * 180 / M_PI, 120, 1e-4);
        sw_waveform_free(&record);
    }
}

static void test_two_channels_are_60_degrees_apart(void **state) {
    (void)state;
    sw_sim_spec spec = clean_spec("hub-30", 5);
    spec.front.channels = 2;
    for (int delta = 0; delta < 2; delta++) {
        spec.motor.delta = delta;
        sw_waveform record = simulate_or_fail(&spec, NULL);
        double hertz = 15 * TURNS_A_SECOND;
        double complex ratio = amplitude_at(&record, 0, hertz) / amplitude_at(&record, 1, hertz);
        assert_close(fabs(carg(ratio)) * 180 / M_PI, 60, 1e-4);
        assert_close(cabs(ratio), 1, 1e-6);
        sw_waveform_free(&record);
    }
}

static void test_isolated_channels_are_120_degrees_apart(void **state) {
    (void)state;
    sw_sim_spec spec = clean_spec("hub-30", 5);
    spec.front.channels = 2;
    spec.front.isolated = true;
    sw_waveform record = simulate_or_fail(&spec, NULL);
    double hertz = 15 * TURNS_A_SECOND;
    double complex ratio = amplitude_at(&record, 0, hertz) / amplitude_at(&record, 1, hertz);
    assert_close(fabs(carg(ratio)) * 180 / M_PI, 120, 1e-4);
    sw_waveform_free(&record);
}

static void test_steppers_are_90_degrees_apart(void **state) {
    (void)state;
    static const char *const NAMES[] = {"stepper-24", "stepper-100"};
    for (size_t i = 0; i < 2; i++) {
        sw_sim_spec spec = clean_spec(NAMES[i], 5);
        spec.front.channels = 2;
        sw_waveform record = simulate_or_fail(&spec, NULL);
        double hertz = spec.motor.pole_pairs * TURNS_A_SECOND;
        double complex ratio = amplitude_at(&record, 0, hertz) / amplitude_at(&record, 1, hertz);
        assert_close(fabs(carg(ratio)) * 180 / M_PI, 90, 1e-4);
        assert_close(cabs(ratio), 1, 1e-6);
        sw_waveform_free(&record);
    }
}

/* Line voltages of star and delta carry no third harmonic, phases do. */
static void test_third_harmonic(void **state) {
    (void)state;
    sw_sim_spec spec = clean_spec("hub-30", 9);
    sw_sim_truth truth;
    for (int delta = 0; delta < 2; delta++) {
        spec.motor.delta = delta;
        sw_waveform record = simulate_or_fail(&spec, &truth);
        double first = cabs(amplitude_at(&record, 0, 15 * TURNS_A_SECOND));
        assert_close(cabs(amplitude_at(&record, 0, 45 * TURNS_A_SECOND)) / first, 0, 1e-6);
        assert_true(truth.phase[2].relative > 0.02);
        assert_close(truth.line[2].relative, 0, 1e-12);
        sw_waveform_free(&record);
    }
}

static void test_harmonics_of_the_record(void **state) {
    (void)state;
    sw_sim_spec spec = clean_spec("pump-2", 4);
    sw_sim_truth truth;
    sw_waveform record = simulate_or_fail(&spec, &truth);
    double complex first = amplitude_at(&record, 0, TURNS_A_SECOND);
    for (int h = 2; h <= 7; h++) {
        double complex here = amplitude_at(&record, 0, h * TURNS_A_SECOND);
        double complex told =
            truth.line[h - 1].relative * cexp(I * (truth.line[h - 1].angle_deg * M_PI / 180));
        double complex found = here / cabs(first) * cexp(-I * (h * carg(first)));
        assert_close(cabs(found - told), 0, 1e-6);
    }
    assert_true(truth.line[2].relative > 0.05); /* a bobbin core's third is strong */
    sw_waveform_free(&record);
}

/* Equal magnets and coils: every electrical cycle is the same. */
static void test_equal_magnets_repeat_every_cycle(void **state) {
    (void)state;
    for (size_t i = 0; i < THREE_PHASES; i++) {
        sw_sim_spec spec = clean_spec(THREE_PHASE[i], 8);
        sw_sim_truth truth;
        sw_waveform record = simulate_or_fail(&spec, &truth);
        assert_close(truth.pattern, 0, 1e-10);
        double first = cabs(amplitude_at(&record, 0, spec.motor.pole_pairs * TURNS_A_SECOND));
        for (int k = 1; k < spec.motor.pole_pairs; k++)
            assert_close(cabs(amplitude_at(&record, 0, k * TURNS_A_SECOND)) / first, 0, TABLE);
        sw_waveform_free(&record);
    }
}

/* Coils that repeat t times a turn hide every order that is no multiple of t. */
static void test_winding_hides_orders(void **state) {
    (void)state;
    static const struct {
        const char *family;
        int symmetry;
    } CASES[] = {{"drum-48", 12}, {"hub-30", 3}, {"hub-46", 1}, {"model-14", 1}};
    for (size_t i = 0; i < sizeof CASES / sizeof *CASES; i++) {
        sw_sim_spec spec = clean_spec(CASES[i].family, 21);
        spec.motor.strength_sd = 0.02;
        spec.motor.position_sd_deg = 0.5;
        sw_sim_truth truth;
        sw_waveform record = simulate_or_fail(&spec, &truth);
        int p = spec.motor.pole_pairs;
        double first = cabs(amplitude_at(&record, 0, p * TURNS_A_SECOND));
        double seen = 0;
        assert_int_equal(truth.symmetry, CASES[i].symmetry);
        for (int k = 1; k < p; k++) {
            double line = cabs(amplitude_at(&record, 0, k * TURNS_A_SECOND)) / first;
            if (k % CASES[i].symmetry != 0)
                assert_close(line, 0, TABLE);
            else
                seen = fmax(seen, line);
        }
        assert_true(seen > 1e-4);
        sw_waveform_free(&record);
    }
}

/* The flux between two angles does not depend on how fast they are passed: property over random
 * spins. Trapezoid rule at 48 kHz on at most 300 Hz with harmonics: (w T)^2 / 12 < 2e-4. */
static void test_flux_does_not_depend_on_speed(void **state) {
    (void)state;
    for (unsigned long seed = 1; seed <= 6; seed++) {
        sw_sim_spec spec;
        sw_error error;
        assert_ok(sw_sim_family("hub-30", seed, &spec, &error), &error);
        spec.front.channels = 1;
        sw_sim_spec clean = spec;
        sw_sim_idealise(&clean);
        spec.front = clean.front;
        spec.spin.seconds = 5;
        spec.spin.release_s = 3.5;
        spec.spin.coast = SW_SIM_COAST_FREE;
        sw_sim_truth truth;
        sw_waveform record = simulate_or_fail(&spec, &truth);
        double flux = 0;
        double low = 0;
        double high = 0;
        for (size_t i = 0; i + 1 < record.frames; i++) {
            flux += (record.channel[0].samples[i] + record.channel[0].samples[i + 1]) / 2 /
                    record.rate_hz;
            low = fmin(low, flux);
            high = fmax(high, flux);
        }
        /* Peak to peak of the flux: twice V/Hz sqrt 2 / 2 pi of the fundamental; magnets that
         * differ and harmonics may add some per cent. */
        double swing = 2 * truth.volts_per_hertz * M_SQRT2 / (2 * M_PI);
        if (!((high - low) / swing > 0.97 && (high - low) / swing < 1.1))
            print_message("seed %lu\n", seed);
        assert_true((high - low) / swing > 0.97 && (high - low) / swing < 1.1);
        sw_waveform_free(&record);
    }
}

/* Turned the other way, the record runs backwards with its sign changed. */
static void test_time_reversal(void **state) {
    (void)state;
    sw_sim_spec spec = clean_spec("model-14", 13);
    spec.motor.strength_sd = 0.02;
    sw_sim_machine machine;
    sw_sim_truth truth = {.clipped = 0};
    sw_error error;
    assert_ok(sw_machine_build(&spec, &machine, &truth, &error), &error);
    sw_waveform forwards = simulate_or_fail(&spec, NULL);
    spec.spin.backwards = true;
    sw_waveform backwards = simulate_or_fail(&spec, NULL);
    /* Both start at the same angle: forwards x(a + w t) w, backwards -x(-a - w t) w. Find a from
     * the table, then compare the other direction with it. */
    double w = TURNS_A_SECOND * 2 * M_PI;
    double best = INFINITY;
    double at = 0;
    for (int i = 0; i < 200000; i++) {
        double a = 2 * M_PI * i / 200000;
        double off = fabs(sw_machine_value(&machine, 0, a) * w - forwards.channel[0].samples[0]) +
                     fabs(sw_machine_value(&machine, 0, a + 0.01 * w) * w -
                          forwards.channel[0].samples[480]) +
                     fabs(sw_machine_value(&machine, 0, a + 0.0371875 * w) * w -
                          forwards.channel[0].samples[1785]);
        if (off < best) {
            best = off;
            at = a;
        }
    }
    double peak = largest(&forwards, 0);
    for (size_t i = 0; i < backwards.frames; i += 97) {
        double expected = -w * sw_machine_value(&machine, 0, -(at + w * (double)i / 48000));
        /* The angle is found within 2 pi / 200000; 7 pole pairs make that 2.2e-4 of a radian. */
        assert_close(backwards.channel[0].samples[i] / peak, expected / peak, 5e-4);
    }
    sw_waveform_free(&forwards);
    sw_waveform_free(&backwards);
    sw_machine_free(&machine);
}

static void test_weak_coil_unbalances(void **state) {
    (void)state;
    sw_sim_spec spec = clean_spec("hub-30", 2);
    spec.front.channels = 3;
    spec.motor.weak_coil = 0.2;
    sw_sim_truth truth;
    sw_waveform record = simulate_or_fail(&spec, &truth);
    double hertz = 15 * TURNS_A_SECOND;
    double a = cabs(amplitude_at(&record, 0, hertz));
    double b = cabs(amplitude_at(&record, 1, hertz));
    assert_close(a / b, 0.8, 1e-6);
    sw_waveform_free(&record);
}

/* In delta with a weak winding the open terminals still show e less the zero sequence: the truth's
 * pairs are what three isolated channels record. */
static void test_weak_delta(void **state) {
    (void)state;
    sw_sim_spec spec = clean_spec("hub-30", 2);
    spec.front.channels = 3;
    spec.front.between = SW_SIM_BETWEEN_LINES;
    spec.front.isolated = true;
    spec.motor.weak_coil = 0.3;
    spec.motor.delta = true;
    sw_sim_truth truth;
    sw_waveform record = simulate_or_fail(&spec, &truth);
    double hertz = 15 * TURNS_A_SECOND;
    double complex sum = 0;
    double complex line[3];
    for (size_t c = 0; c < 3; c++) {
        line[c] = amplitude_at(&record, c, hertz);
        sum += line[c];
        assert_close(cabs(line[c]) / M_SQRT2 / hertz / truth.line_volts_per_hertz[c], 1, TABLE);
    }
    assert_close(cabs(sum) / cabs(line[0]), 0, 1e-9);
    /* Windings 0.7, 1, 1 at 120 deg less a third of their sum (-0.3 of winding A): 0.8, and
     * |(-1/2 + 0.1) + j sqrt(3) / 2| of the others. */
    assert_close(cabs(line[0] / line[1]), 0.8 / hypot(0.4, sqrt(0.75)), 1e-6);
    sw_waveform_free(&record);
}

/* Ripple of a commutator: between commutations the volts go as cos x, |x| <= pi / K for even K of
 * a two-pole machine with sine coils, so that peak to peak over peak = 1 - cos(pi / K) (textbook,
 * from memory). A brush averages over 0.3 of a bar: at the corner over 0.7 .. 1 of pi / K, at the
 * top over +-0.3 of it. Five points stand for that average, within 5 % of what it takes off. */
static double smeared_ripple(int bars) {
    double half = M_PI / bars;
    double low = (sin(half) - sin(0.7 * half)) / (0.3 * half);
    double high = sin(0.3 * half) / (0.3 * half);
    return 1 - low / high;
}

static void test_commutator_ripple(void **state) {
    (void)state;
    sw_sim_spec spec = clean_spec("brushed-2", 2);
    sw_sim_truth truth;
    spec.motor.slots = 8;
    sw_waveform record = simulate_or_fail(&spec, &truth);
    double low = INFINITY;
    double mean = 0;
    for (size_t i = 0; i < record.frames; i++) {
        low = fmin(low, record.channel[0].samples[i]);
        mean += record.channel[0].samples[i] / (double)record.frames;
    }
    double peak = largest(&record, 0);
    assert_int_equal(truth.ripple_per_turn, 8);
    double taken = 1 - cos(M_PI / 8) - smeared_ripple(8);
    assert_close(1 - low / peak, smeared_ripple(8), 0.05 * taken);
    assert_close(mean / (spec.motor.volts_per_rpm * 300), 1, 1e-6);
    sw_waveform_free(&record);
    spec.motor.slots = 11; /* odd: twice the bars */
    record = simulate_or_fail(&spec, &truth);
    assert_int_equal(truth.ripple_per_turn, 22);
    assert_true(cabs(amplitude_at(&record, 0, 22 * TURNS_A_SECOND)) >
                20 * cabs(amplitude_at(&record, 0, 11 * TURNS_A_SECOND)));
    sw_waveform_free(&record);
}

static void test_conversions(void **state) {
    (void)state;
    /* The hand-spun 27-slot, 30-pole wheel of a public teardown: 16 V peak line to line at
     * 44.44 Hz makes 33.08 mWb. */
    sw_sim_spec spec = clean_spec("hub-30", 1);
    spec.motor.volts_per_hertz = 16 / M_SQRT2 / (1 / 22.5e-3);
    sw_sim_truth truth;
    sw_waveform record = simulate_or_fail(&spec, &truth);
    assert_close(truth.flux_linkage_wb * 1000, 33.08, 0.01);
    assert_close(truth.volts_per_rpm, spec.motor.volts_per_hertz * 15 / 60, 1e-12);
    sw_waveform_free(&record);
}

static void test_what_cannot_be_recorded(void **state) {
    (void)state;
    sw_error error;
    sw_waveform record;
    sw_sim_spec spec = clean_spec("pump-2", 1);
    spec.front.channels = 2;
    assert_int_equal(sw_simulate(&spec, &record, NULL, &error), SW_UNSUPPORTED);
    spec = clean_spec("hub-30", 1);
    spec.motor.delta = true;
    spec.front.channels = 3;
    assert_int_equal(sw_simulate(&spec, &record, NULL, &error), SW_UNSUPPORTED);
    spec = clean_spec("hub-30", 1);
    spec.front.channels = 3;
    spec.front.between = SW_SIM_BETWEEN_LINES;
    assert_int_equal(sw_simulate(&spec, &record, NULL, &error), SW_UNSUPPORTED);
    spec = clean_spec("hub-30", 1);
    spec.motor.slots = 30; /* 30 slots and 30 poles: no three-phase winding */
    assert_int_equal(sw_simulate(&spec, &record, NULL, &error), SW_UNSUPPORTED);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_constant_of_the_record),
        cmocka_unit_test(test_star_point_and_lines),
        cmocka_unit_test(test_two_channels_are_60_degrees_apart),
        cmocka_unit_test(test_isolated_channels_are_120_degrees_apart),
        cmocka_unit_test(test_steppers_are_90_degrees_apart),
        cmocka_unit_test(test_third_harmonic),
        cmocka_unit_test(test_harmonics_of_the_record),
        cmocka_unit_test(test_equal_magnets_repeat_every_cycle),
        cmocka_unit_test(test_winding_hides_orders),
        cmocka_unit_test(test_flux_does_not_depend_on_speed),
        cmocka_unit_test(test_time_reversal),
        cmocka_unit_test(test_weak_coil_unbalances),
        cmocka_unit_test(test_weak_delta),
        cmocka_unit_test(test_commutator_ripple),
        cmocka_unit_test(test_conversions),
        cmocka_unit_test(test_what_cannot_be_recorded),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
