/* Speeds and voltage constants against published values. */
#include "tests/support.h"

#include "shared/constants.h"
#include "shared/motor.h"

#include <math.h>

/* A three-phase sine machine with volts_per_hertz and pole pairs, the rest derived. */
static sw_motor machine(int pole_pairs, double volts_per_hertz) {
    sw_motor motor;
    sw_motor_init(&motor);
    motor.kind = SW_MAGNET_AC;
    motor.phases = 3;
    motor.pole_pairs.value = pole_pairs;
    motor.pole_pairs.probability = 1;
    motor.volts_per_hertz = sw_quantity_of(volts_per_hertz, NAN, "V/Hz");
    sw_motor_derive(&motor);
    return motor;
}

/* Synchronous speed n = 120 f / P: table of induction-motor poles and speeds, 50 and 60 Hz, to 30
 * poles (reference page "number of poles and synchronous speed"); 36 and 48 computed. A machine of
 * 1 V/Hz shows as many volts as hertz, so volts at that speed are the mains frequency. */
static void synchronous_speeds(void **state) {
    (void)state;
    static const struct {
        int poles;
        double at_50_hz;
        double at_60_hz;
    } TABLE[] = {
        {2, 3000, 3600},        {4, 1500, 1800},        {6, 1000, 1200},        {8, 750, 900},
        {10, 600, 720},         {12, 500, 600},         {14, 428.571, 514.286}, {16, 375, 450},
        {18, 333.333, 400},     {20, 300, 360},         {22, 272.727, 327.273}, {24, 250, 300},
        {26, 230.769, 276.923}, {28, 214.286, 257.143}, {30, 200, 240},         {36, 166.667, 200},
        {48, 125, 150},
    };
    for (size_t i = 0; i < sizeof TABLE / sizeof *TABLE; i++) {
        sw_motor motor = machine(TABLE[i].poles / 2, 1);
        /* speeds are printed to 0.001 rpm: 0.0005 / 125 of 60 Hz */
        assert_close(motor.voltage_constant.value * TABLE[i].at_50_hz, 50, 2.5e-4);
        assert_close(motor.voltage_constant.value * TABLE[i].at_60_hz, 60, 2.5e-4);
    }
}

/* Relations of a sine machine of 100 rpm per volt peak line to line with 7 pole pairs: power
 * balance e i = T w; the forms 9.549 / KV and flux 60 / (2 pi sqrt3 p KV) are those of motor
 * makers' notes. */
static void relations(void **state) {
    (void)state;
    /* 1 V peak at 100 rpm is 0.70711 V rms at 11.6667 Hz */
    sw_motor motor = machine(7, sqrt(0.5) / (100.0 * 7 / 60));
    const sw_voltage_constants *found = &motor.constants;
    assert_close(found->rpm_per_volt_peak.value, 100, 100 * 1e-5); /* grid of angles */
    assert_close(found->peak_line_v_per_krpm.value, 10, 1e-4);
    assert_close(1000 * motor.voltage_constant.value, 7.0711, 5e-5);
    assert_close(found->volt_second_per_radian_peak_line.value, 0.095493, 1e-6);
    assert_close(found->flux_linkage_wb.value, 0.00787613, 1e-8);
}

/* Rectified means of a sine: M. H. Rashid, Power Electronics, ch. 3: 1.3505 V_LL for a three-phase
 * bridge, 0.9003 V for a single-phase bridge; with a capacitor and no load the peak. */
static void rectified_means(void **state) {
    (void)state;
    sw_motor motor = machine(10, 1);
    double line_v = 1000 * motor.voltage_constant.value;
    assert_close(motor.constants.dc_bridge_v_per_krpm.value / line_v, 1.35047, 1e-5);
    assert_close(motor.constants.dc_bridge_smoothed_v_per_krpm.value / line_v, 1.41421, 1e-5);
    motor.phases = 1;
    sw_motor_derive(&motor);
    assert_close(motor.constants.dc_bridge_v_per_krpm.value / line_v, 0.900316, 1e-5);
}

/* Two motors out of a maker's catalogue (values as quoted in public parameter files): the printed
 * torque constant must follow from the printed speed constant, Kt = 60 / (2 pi KV). */
static void data_sheet_motors(void **state) {
    (void)state;
    /* brushed, 24 V, 20 W, 25 mm: 408 rpm/V, 23.4 mN m/A; DC volts per rpm are 1 / KV */
    sw_motor brushed;
    sw_motor_init(&brushed);
    brushed.kind = SW_BRUSHED;
    brushed.voltage_constant = sw_quantity_of(1 / 408.0, NAN, "V/rpm");
    sw_motor_derive(&brushed);
    double torque_nm_a = brushed.constants.volt_second_per_radian_peak_line.value;
    assert_close(1000 * torque_nm_a, 23.4, 0.05); /* last printed digit */
    /* brushless, 24 V, 70 W, 42.8 mm, 8 pole pairs: 259 rpm/V, 36.9 mN m/A */
    sw_motor brushless = machine(8, sqrt(0.5) / (259.0 * 8 / 60));
    assert_close(1000 * brushless.constants.volt_second_per_radian_peak_line.value, 36.9, 0.05);
    /* stall torque and current of the sheet: 1.46 N m, 24 V / 0.608 ohm = 39.5 A */
    assert_close(brushless.constants.volt_second_per_radian_peak_line.value * 24 / 0.608, 1.46,
                 0.01);
}

/* A wheel hub of 27 slots and 30 poles spun by hand (published teardown note): a cycle of 22.5 ms
 * and 16 V from crest to zero line to line gave 44.4 Hz, 177.7 rpm, 11.1 rpm/V. */
static void hand_spun_hub(void **state) {
    (void)state;
    double frequency_hz = 1 / 0.0225;
    sw_motor motor = machine(15, 16 / sqrt(2) / frequency_hz);
    double speed_rpm = 16 / sqrt(2) / motor.voltage_constant.value;
    assert_close(speed_rpm, 177.78, 0.005);
    assert_close(motor.constants.rpm_per_volt_peak.value, 11.11, 0.002);
    assert_close(1000 * motor.constants.flux_linkage_wb.value, 33.08, 0.005);
    assert_close(motor.constants.flux_linkage_wb.value, 16 / (sqrt(3) * 2 * M_PI * frequency_hz),
                 1e-12);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(synchronous_speeds), cmocka_unit_test(relations),
        cmocka_unit_test(rectified_means),    cmocka_unit_test(data_sheet_motors),
        cmocka_unit_test(hand_spun_hub),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
