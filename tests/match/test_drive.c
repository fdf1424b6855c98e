#include "tests/support.h"

#include "src/match/drive.h"
#include "src/match/grip.h"

#include <math.h>
#include <string.h>

static const double PI = 3.14159265358979323846;

static const sw_surface SURFACE = {{0.4, 0.8}, {0.1, 0.3}, {0.5, 1.5}, {0.01, 0.03}};

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
    assert_close(sw_drive_generator_rpm(&drive, 10 * PI / 30), 245, 1e-9);
    assert_close(sw_drive_rotor_rad_s(&drive, 245), 10 * PI / 30, 1e-12);
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
        double out = sw_drive_generator_rpm(&drive, w) * PI / 30 * generator_nm;
        double creep = drive.creep * wheel_rad_s * generator_nm;
        double rolling = wheel_rad_s * sw_drive_rolling_nm(&drive);
        assert_close(in, out + creep + rolling, 1e-12 * in);
    }
}

static void direct_is_one_to_one(void **state) {
    (void)state;
    sw_drive drive = sw_drive_of(sw_drive_kind_of(SW_DRIVE_DIRECT), NULL, NAN, NAN);
    assert_close(sw_drive_generator_rpm(&drive, PI / 30), 1, 1e-15);
    assert_close(sw_drive_rotor_torque_nm(&drive, 3), 3, 0);
}

static void chain_loses_torque(void **state) {
    (void)state;
    sw_drive drive = sw_drive_of(sw_drive_kind_of(SW_DRIVE_CHAIN), NULL, 200, 50);
    double in = 1 * sw_drive_rotor_torque_nm(&drive, 2);
    double out = sw_drive_generator_rpm(&drive, 1) * PI / 30 * 2;
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
    double grip_nm = sw_grip_torque_nm(press.least_n, request.friction, request.wheel_mm);
    assert_close(grip_nm, request.safety * (request.torque_nm + rolling_nm), 1e-9);
    assert_true(press.mean_n > press.least_n && press.most_n > press.mean_n);
    /* m e W^2 = 2 kg x 3 mm x 100 = 0.6 N each way, besides the spring's quarter */
    assert_close(press.mean_n - press.least_n, 0.25 * press.needed_n + 0.6, 1e-9);
}

static void rolls_harder_than_it_grips(void **state) {
    (void)state;
    sw_press_request request = usual_press();
    request.friction = 0.1;
    request.wheel_mm = 20;
    request.rolling_mm = 2;
    assert_true(isinf(sw_press_of(&request).needed_n));
}

int main(void) {
    const struct CMUnitTest tests[] = {
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
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
