#include "tests/match/scene.h"

#include "shared/constants.h"
#include "src/match/contact/grip.h"
#include "src/match/drive/drive.h"

#include <math.h>
#include <string.h>

static const sw_surface SURFACE = {{0.4, 0.8}, {0.1, 0.3}, {0.5, 1.5}, {0.01, 0.03}, {0, 0}};

static sw_drive wheel_of(double wheel_mm) {
    return sw_drive_of(sw_drive_kind_of(SW_DRIVE_FRICTION), &SURFACE, 1900, wheel_mm);
}

static void halving_the_wheel_doubles_the_ratio(void **state) {
    (void)state;
    for (double wheel = 40; wheel < 300; wheel += 13)
        assert_close(wheel_of(wheel / 2).ratio, 2 * wheel_of(wheel).ratio, 1e-12);
}

/* n_gen = n_rotor x ratio x (1 - creep): 10 rpm x 1900/76 x 0.98 */
static void creep_lowers_speed_only(void **state) {
    (void)state;
    sw_drive drive = wheel_of(76);
    assert_close(sw_drive_generator_rpm(&drive, 10 * M_PI / 30), 245, 1e-9);
    assert_close(sw_drive_rotor_rad_s(&drive, 245), 10 * M_PI / 30, 1e-12);
    assert_close(sw_drive_rotor_torque_nm(&drive, 0.2), 25 * 0.2, 1e-12);
}

/* T_rotor = ratio (T + N f): there at zero output too; 25 x 30 N x 1 mm */
static void rolling_is_there_at_zero_output(void **state) {
    (void)state;
    sw_drive drive = wheel_of(76);
    drive.contact_n = 30;
    assert_close(sw_drive_rotor_torque_nm(&drive, 0), 25 * 30 * 1e-3, 1e-12);
    assert_close(sw_drive_rotor_torque_nm(&drive, 0.2), 25 * (0.2 + 0.03), 1e-12);
    drive.wheels = 2;
    assert_close(sw_drive_rotor_torque_nm(&drive, 0.4), 25 * (0.4 + 0.06), 1e-12);
}

/* Power in = power out + creep + rolling, at any speed. */
static void power_adds_up(void **state) {
    (void)state;
    sw_drive drive = wheel_of(70);
    drive.contact_n = 25;
    for (double w = 0.5; w < 20; w += 1.7) {
        double generator_nm = 0.1 + 0.02 * w;
        double in = w * sw_drive_rotor_torque_nm(&drive, generator_nm);
        double wheel_rad_s = w * drive.ratio;
        double out = sw_drive_generator_rpm(&drive, w) * M_PI / 30 * generator_nm;
        double creep = drive.creep * wheel_rad_s * generator_nm;
        double rolling = wheel_rad_s * sw_drive_rolling_nm(&drive, 0);
        assert_close(in, out + creep + rolling, 1e-12 * in);
    }
}

static void direct_is_one_to_one(void **state) {
    (void)state;
    sw_drive drive = sw_drive_of(sw_drive_kind_of(SW_DRIVE_DIRECT), NULL, NAN, NAN);
    assert_close(sw_drive_generator_rpm(&drive, M_PI / 30), 1, 1e-15);
    assert_close(sw_drive_rotor_torque_nm(&drive, 3), 3, 0);
}

static void chain_loses_torque(void **state) {
    (void)state;
    sw_drive drive = sw_drive_of(sw_drive_kind_of(SW_DRIVE_CHAIN), NULL, 200, 50);
    double in = 1 * sw_drive_rotor_torque_nm(&drive, 2);
    double out = sw_drive_generator_rpm(&drive, 1) * M_PI / 30 * 2;
    assert_close(out / in, drive.efficiency, 1e-12);
    assert_true(drive.efficiency < 1);
}

static void kinds_have_names(void **state) {
    (void)state;
    for (int i = 0; i < SW_DRIVE_COUNT; i++) {
        const sw_drive_kind *kind = sw_drive_kind_of((sw_drive_id)i);
        assert_int_equal(kind->id, i);
        assert_true(strlen(kind->name) > 0);
    }
}

static sw_press_request usual_press(void) {
    return (sw_press_request){.torque_nm = 0.2,
                              .wheel_mm = 70,
                              .friction = 0.3,
                              .safety = 1.5,
                              .run_out_mm = 3,
                              .moving_kg = 2,
                              .rotor_rad_s = 10,
                              .lumps = 1,
                              .spring_n_mm = NAN};
}

/* 0.2 N m on a 70 mm wheel: 5.7 N at the rim, 29 N of contact at 0.3 and 1.5 (worked example of
 * the same formula, from memory of machine elements). */
static void contact_force_by_hand(void **state) {
    (void)state;
    sw_press_request request = usual_press();
    request.run_out_mm = 0;
    sw_press press = sw_press_of(&request);
    assert_close(press.tangential_n, 5.714, 5e-4);
    assert_close(press.needed_n, 28.57, 5e-3);
    assert_close(press.mean_n, press.needed_n, 1e-9);
    assert_close(press.scale_kg, 2.913, 1e-3);
}

static void grip_holds_at_the_worst_place(void **state) {
    (void)state;
    sw_press_request request = usual_press();
    request.rolling_mm = 1;
    sw_press press = sw_press_of(&request);
    double rolling_nm = press.least_n * 1e-3;
    double grip_nm = press.least_n * request.friction * 0.5e-3 * request.wheel_mm;
    assert_close(grip_nm, request.safety * (request.torque_nm + rolling_nm), 1e-9);
    assert_true(press.mean_n > press.least_n && press.most_n > press.mean_n);
    /* at a crawl the spring's quarter; at speed m e W^2 = 2 kg x 3 mm x 100 = 0.6 N less */
    assert_close(press.mean_n - press.least_n, 0.25 * press.needed_n, 1e-9);
    request.rotor_rad_s = 100;
    press = sw_press_of(&request);
    /* m e W^2 = 60 N against the spring's quarter, of about 10 N */
    assert_close(press.mean_n - press.least_n, 60 - 0.25 * press.needed_n, 1e-9);
    assert_close(press.least_n, press.needed_n, 1e-9);
}

/* A rigid tyre is the limit of a stiff one, and m x'' = -k x + kt (rim - x) solved by hand with
 * k = 5 N/mm, kt = 40 N/mm, m = 2 kg, e = 2 mm: swing at sqrt(45000/2) = 150 rad/s; at a crawl
 * 2 mm x 5 x 40 / 45 = 8.89 N. The tyre's loss factor of 0.15 moves that by 0.23 %. */
static void tyre_and_spring_swing(void **state) {
    (void)state;
    sw_bounce soft = {5, 40, 2, 2};
    assert_close(sw_bounce_resonance_rad_s(&soft), 150, 1e-9);
    assert_close(sw_bounce_n(&soft, 0), 8.889, 0.0025 * 8.889);
    /* nothing at the carriage's own swing without the tyre, sqrt(5000/2) */
    assert_close(sw_bounce_n(&soft, 50), 0, 1e-9);
    /* at resonance |k - m W^2| = 40 N/mm over the loss 0.15 x 40: 2 mm x 40 x 40.4 / 6 */
    assert_close(sw_bounce_n(&soft, 150), 2 * 40 * 40.45 / 6, 1);
    assert_close(sw_bounce_most_n(&soft, 1000), sw_bounce_n(&soft, 150), 20);
    sw_bounce stiff = {5, 1e6, 2, 2};
    sw_bounce rigid = {5, 0, 2, 2};
    for (double w = 0; w < 300; w += 10)
        assert_close(sw_bounce_n(&stiff, w), sw_bounce_n(&rigid, w),
                     0.001 * sw_bounce_n(&rigid, w) + 1e-6);
}

/* m e W^2 - k e = N: W = sqrt((300 + 10) / (2 x 0.002)) = 278 rad/s */
static void fast_lumps_throw_the_wheel_off(void **state) {
    (void)state;
    sw_bounce rigid = {5, 0, 2, 2};
    /* found on a grid of a thousandth of the range */
    assert_close(sw_bounce_hop_rad_s(&rigid, 300, 500), 278.4, 0.5);
    assert_true(isinf(sw_bounce_hop_rad_s(&rigid, 300, 270)));
}

/* The arm's two ways: the sum under full load is the same, the spring is not. */
static void arm_takes_or_gives(void **state) {
    (void)state;
    sw_press_request request = usual_press();
    sw_press straight = sw_press_of(&request);
    request.arm_gain = 0.5;
    sw_press leading = sw_press_of(&request);
    request.arm_gain = -0.5;
    sw_press trailing = sw_press_of(&request);
    assert_close(straight.mean_n - leading.mean_n, 0.5 * leading.tangential_n, 1e-9);
    assert_close(trailing.mean_n - straight.mean_n, 0.5 * leading.tangential_n, 1e-9);
    assert_close(leading.least_n, straight.least_n, 1e-9);
    assert_close(trailing.least_n, straight.least_n, 1e-9);
    /* F = mu N0 / (1 - mu gain): 0.5 x 100 / (1 - 0.25), and locked from mu gain = 1 on */
    assert_close(sw_grip_force_n(100, 0.5, 0.5), 66.667, 1e-3);
    assert_close(sw_grip_force_n(100, 0.5, -0.5), 40, 1e-9);
    assert_true(isinf(sw_grip_force_n(100, 0.5, 2)));
}

/* N = N0 + g (T + N f) / r: 30 N, gain 0.4, 0.2 N m on a 76 mm wheel, f = 1 mm: by hand
 * (30 + 0.4 x 5.263) / (1 - 0.4 / 38) = 32.447 N */
static void contact_follows_the_torque(void **state) {
    (void)state;
    sw_drive drive = wheel_of(76);
    drive.contact_n = 30;
    assert_close(sw_drive_contact_n(&drive, 0.2), 30, 0);
    drive.arm_gain = 0.4;
    assert_close(sw_drive_contact_n(&drive, 0.2), 32.447, 1e-3);
    drive.arm_gain = -20;
    assert_close(sw_drive_contact_n(&drive, 0.2), 0, 0);
}

static void rolls_harder_than_it_grips(void **state) {
    (void)state;
    sw_press_request request = usual_press();
    request.friction = 0.1;
    request.wheel_mm = 20;
    request.rolling_mm = 2;
    assert_true(isinf(sw_press_of(&request).needed_n));
}

/* 63 mm give or take 0.5 and 125 mm give or take 1 (the table's tolerances): 0.79 % and 0.8 %. */
static void stock_parts_have_tolerances(void **state) {
    (void)state;
    sw_shop shop = scene_shop();
    sw_gear belt = {SW_DRIVE_BELT, 125, 63, 0, 0};
    sw_gear chain = {SW_DRIVE_CHAIN, sw_chain_pitch_mm(48), sw_chain_pitch_mm(9), 48, 9};
    sw_gear wheel = {SW_DRIVE_FRICTION, 1900, 100, 0, 0};
    sw_gear direct = {SW_DRIVE_DIRECT, NAN, NAN, 0, 0};
    assert_close(sw_shop_ratio_off(&shop, &belt), 0.5 / 63 + 1.0 / 125, 1e-12);
    assert_close(sw_shop_ratio_off(&shop, &chain), 0, 0);
    assert_close(sw_shop_ratio_off(&shop, &wheel), 0.01, 1e-12);
    assert_close(sw_shop_ratio_off(&shop, &direct), 0, 0);
    sw_shop_free(&shop);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(stock_parts_have_tolerances),
        cmocka_unit_test(halving_the_wheel_doubles_the_ratio),
        cmocka_unit_test(creep_lowers_speed_only),
        cmocka_unit_test(rolling_is_there_at_zero_output),
        cmocka_unit_test(power_adds_up),
        cmocka_unit_test(direct_is_one_to_one),
        cmocka_unit_test(chain_loses_torque),
        cmocka_unit_test(kinds_have_names),
        cmocka_unit_test(contact_force_by_hand),
        cmocka_unit_test(grip_holds_at_the_worst_place),
        cmocka_unit_test(rolls_harder_than_it_grips),
        cmocka_unit_test(tyre_and_spring_swing),
        cmocka_unit_test(fast_lumps_throw_the_wheel_off),
        cmocka_unit_test(arm_takes_or_gives),
        cmocka_unit_test(contact_follows_the_torque),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
