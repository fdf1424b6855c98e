/* Rotors against published measurements and limits. */
#include "tests/support.h"

#include "shared/json_read.h"
#include "src/match/rotor/cups.h"
#include "src/match/rotor/rotor.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static void published(void **state, const char *name, double width_m, sw_rotor *rotor) {
    char text[400];
    cJSON *root = NULL;
    sw_error error = {0};
    snprintf(text, sizeof text,
             "{\"document\":\"rotor\",\"version\":1,\"kind\":\"published\",\"name\":\"%s\","
             "\"width\":\"%g m\",\"height\":\"1 m\"}",
             name, width_m);
    assert_ok(sw_json_parse(text, strlen(text), "rotor.json", &root, &error), &error);
    assert_ok(sw_rotor_parse(root, "rotor.json", TEST_REFERENCE_DIR, *state, rotor, &error),
              &error);
    cJSON_Delete(root);
}

/* Betz: no rotor above 16/27. A plate that moves with the wind: Cp <= 4/27 Cd of its own area, at
 * a third of the wind's speed (Gasch and Twele, Wind Power Plants, 2012, p. 37: Cd 1.1 gives about
 * 0.16 at about 0.33). A vane that goes round is a plate only while it stands across the wind. */
static void plate_and_betz(void **state) {
    sw_rotor shielded;
    published(state, "drag-shielded", 2, &shielded);
    assert_close(shielded.peak_tip_speed_ratio, 1.0 / 3, 0.01);
    /* half the width is hidden */
    assert_close(2 * shielded.peak_power, 4.0 / 27 * 1.1, 4.0 / 27 * 1.1 * 0.005);
    assert_close(2 * shielded.peak_power, 0.16, 0.005);
    assert_close(shielded.no_load_tip_speed_ratio, 1, 0.01);
    sw_rotor_free(&shielded);
    for (double arm_m = 0.5; arm_m < 20; arm_m *= 2) {
        sw_cups cups = {4, 1, 1, arm_m, 1.1, 0, 1};
        double best = 0;
        for (double ratio = 0.02; ratio < 1; ratio += 0.02)
            best = fmax(best, ratio * sw_cups_torque(&cups, ratio));
        double own_area = 4 * 1.0 / sw_cups_swept_area_m2(&cups);
        assert_true(best > 0 && best < 4.0 / 27 * 1.1 * own_area && best < 16.0 / 27);
    }
}

/* At rest and square to the wind a vane feels its own drag: T = 1/2 rho v^2 Cd A arm. Matthews,
 * Aeronautical Engineer's Data Book, 2002: square plate 1.17, hollow hemisphere 1.42. */
static void plate_at_rest(void **state) {
    (void)state;
    static const double DRAG[] = {1.17, 1.42, 2.30};
    for (size_t i = 0; i < sizeof DRAG / sizeof *DRAG; i++) {
        sw_cups cups = {1, 0.3, 0.9, 0.65, DRAG[i], 0, 0};
        double torque = sw_cups_static_torque(&cups, 270) * sw_cups_radius_m(&cups) *
                        sw_cups_swept_area_m2(&cups);
        assert_close(torque, DRAG[i] * 0.3 * 0.9 * 0.65, 1e-9);
    }
}

/* Pindado et al., The Scientific World Journal 2013, 197325, tables 2 and 3: 17 three-cup
 * anemometers, cup radius and arm in mm, tip-speed ratio at the cup centre with no load. The drag
 * model does not know how cups and their wakes meet, and it shows: with the hollow hemisphere's
 * 1.42 / 0.38 it is right in the mean of all, 14 % high for long arms and 23 % low for the rotor
 * whose cups nearly meet at the axis. Bounds here: mean within 3 %, each within -25 / +16 %. */
static void cup_rotors_without_load(void **state) {
    (void)state;
    static const struct {
        double cup_mm;
        double arm_mm;
        double ratio;
    } TABLE[] = {
        {20, 30, 0.311},  {20, 40, 0.2637},  {20, 50, 0.2502}, {20, 60, 0.2426},  {25, 40, 0.2827},
        {25, 50, 0.2663}, {25, 60, 0.2533},  {25, 80, 0.2406}, {25, 100, 0.234},  {30, 40, 0.2929},
        {30, 60, 0.2591}, {30, 100, 0.2408}, {35, 60, 0.2663}, {35, 100, 0.2397}, {40, 60, 0.274},
        {40, 80, 0.2515}, {40, 140, 0.232},
    };
    size_t count = sizeof TABLE / sizeof *TABLE;
    double sum = 0;
    double lowest = 9;
    double highest = 0;
    for (size_t i = 0; i < count; i++) {
        double cup_m = TABLE[i].cup_mm / 1000;
        double arm_m = TABLE[i].arm_mm / 1000;
        sw_cups cups = {3, 2 * cup_m, 2 * cup_m, arm_m, 1.42, 0.38, 0};
        double low = 0;
        double high = 1.5;
        for (int j = 0; j < 40; j++) {
            double middle = (low + high) / 2;
            if (sw_cups_torque(&cups, middle) > 0)
                low = middle;
            else
                high = middle;
        }
        double found = low * arm_m / sw_cups_radius_m(&cups) / TABLE[i].ratio;
        sum += found / (double)count;
        lowest = fmin(lowest, found);
        highest = fmax(highest, found);
    }
    print_message("no-load ratio, model over measured: mean %.3f, %.3f to %.3f\n", sum, lowest,
                  highest);
    assert_close(sum, 1, 0.03);
    assert_true(lowest > 0.75 && highest < 1.16);
}

/* Peaks as the papers state them. Two against three buckets: Sheldahl, Blackwell, Feltz, Journal of
 * Energy 2(3), 1978: "about 1.5 times". */
static void published_peaks(void **state) {
    static const struct {
        const char *name;
        double width_m;
        double wind_m_s;
        double power;
        double ratio;
        double power_slack;
        double ratio_slack;
    } TABLE[] = {
        /* Sheldahl 1978, Figs 6 and 7; flat tops: where the peak lies is good to 0.06 */
        {"savonius-2-bucket", 0.925, 6.4, 0.240, 0.85, 0.002, 0.06},
        {"savonius-2-bucket", 0.925, 12.8, 0.240, 0.88, 0.002, 0.06},
        {"savonius-3-bucket", 0.925, 12.8, 0.150, 0.70, 0.001, 0.03},
        {"savonius-2-bucket-overlap-0", 1, 7, 0.228, 0.75, 0.002, 0.09},
        {"savonius-2-bucket-overlap-0.10", 0.95, 7, 0.240, 0.84, 0.002, 0.09},
        {"savonius-2-bucket-overlap-0.20", 0.9, 7, 0.225, 0.86, 0.001, 0.03},
        /* Du, Ingram, Dominy 2019, Figs 10B and 11B, read off to 0.007 */
        {"h-rotor-3-blade-solidity-1.0", 0.6, 7, 0.204, 1.8, 0.007, 0.06},
        {"h-rotor-3-blade-solidity-0.8", 0.74, 7, 0.251, 2.07, 0.007, 0.06},
        /* RM2 open data, 0.4 and 1.2 m/s in water: the same Reynolds number in air */
        {"h-rotor-tapered", 1.075, 0.4 * 14.78, 0.1558, 3.4, 0.001, 0.05},
        {"h-rotor-tapered", 1.075, 0.8 * 14.78, 0.3407, 3.1, 0.001, 0.05},
        {"h-rotor-tapered", 1.075, 1.2 * 14.78, 0.3695, 3.2, 0.001, 0.11},
    };
    for (size_t i = 0; i < sizeof TABLE / sizeof *TABLE; i++) {
        sw_rotor rotor;
        double ratio = 0;
        published(state, TABLE[i].name, TABLE[i].width_m, &rotor);
        double power = sw_rotor_peak(&rotor, TABLE[i].wind_m_s, &ratio);
        assert_close(power, TABLE[i].power, TABLE[i].power_slack);
        assert_close(ratio, TABLE[i].ratio, TABLE[i].ratio_slack);
        sw_rotor_free(&rotor);
    }
}

/* Where Cp = 0: two buckets 1.75 (Sheldahl 1978 Fig. 7, between 1.69 and 1.81), three buckets 1.48
 * (Fig. 6); H-rotors of Du 2019 run free at 2.4 and 2.7. */
static void published_no_load(void **state) {
    static const struct {
        const char *name;
        double width_m;
        double wind_m_s;
        double ratio;
        double slack;
    } TABLE[] = {
        {"savonius-2-bucket", 0.925, 6.4, 1.75, 0.03},
        {"savonius-3-bucket", 0.925, 12.8, 1.48, 0.01},
        {"savonius-2-bucket-overlap-0.10", 0.95, 7, 1.78, 0.03},
        {"h-rotor-3-blade-solidity-1.0", 0.6, 7, 2.4, 0.001},
        {"h-rotor-3-blade-solidity-0.8", 0.74, 7, 2.7, 0.001},
    };
    for (size_t i = 0; i < sizeof TABLE / sizeof *TABLE; i++) {
        sw_rotor rotor;
        published(state, TABLE[i].name, TABLE[i].width_m, &rotor);
        assert_close(sw_rotor_no_load(&rotor, TABLE[i].wind_m_s), TABLE[i].ratio, TABLE[i].slack);
        sw_rotor_free(&rotor);
    }
}

/* Torque from rest, Sheldahl 1978 Figs 4 and 5: two buckets 0.071 and 0.038 at their worst angle,
 * three 0.185 and 0.102; a second storey at 90 degrees lifts 0.071 to 0.235. */
static void torque_from_rest(void **state) {
    sw_rotor two;
    sw_rotor three;
    sw_rotor storeys;
    published(state, "savonius-2-bucket", 0.95, &two);
    published(state, "savonius-3-bucket", 0.95, &three);
    published(state, "savonius-2-stage", 0.95, &storeys);
    double light = 6.38;  /* Re 4.1e5 on 0.95 m */
    double strong = 12.8; /* Re 8.2e5 */
    double scale = 0.5 * 0.95 * 0.475;
    /* read off the figures to 0.005; Reynolds numbers met to 1 % */
    assert_close(sw_rotor_start_torque_nm(&two, 1, light) / (scale * light * light), 0.071, 0.001);
    assert_close(sw_rotor_start_torque_nm(&two, 1, strong) / (scale * strong * strong), 0.038,
                 0.001);
    assert_close(sw_rotor_start_torque_nm(&three, 1, light) / (scale * light * light), 0.185,
                 0.001);
    assert_close(sw_rotor_start_torque_nm(&three, 1, strong) / (scale * strong * strong), 0.102,
                 0.001);
    assert_close(sw_rotor_start_torque_nm(&storeys, 1, light) / (scale * light * light), 0.235,
                 0.001);
    sw_rotor_free(&two);
    sw_rotor_free(&three);
    sw_rotor_free(&storeys);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(plate_and_betz),          cmocka_unit_test(plate_at_rest),
        cmocka_unit_test(cup_rotors_without_load), cmocka_unit_test(published_peaks),
        cmocka_unit_test(published_no_load),       cmocka_unit_test(torque_from_rest),
    };
    return cmocka_run_group_tests(tests, support_units_setup, support_units_teardown);
}
