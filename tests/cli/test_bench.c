/* divider and calibrate as typed: wrong uses, and the way from a design to a calibrated probe. */
#include "probes/profile.h"
#include "tests/cli/support_wrong.h"
#include "tests/probes/support_taps.h"
#include "tests/support.h"

#include <cjson/cJSON.h>
#include <gsl/gsl_rng.h>
#include <sndfile.h>
#include <stdio.h>
#include <string.h>

static void wrong_dividers(void **state) {
    static const wrong_use ROWS[] = {
        {"divider 120V", 2, "\"120V\"|options only"},
        {"divider --volts 120ohm", 2, "--volts|ohm|V"},
        {"divider --volts 0", 2, "--volts|0 V|0.1 to 1000"},
        {"divider --volts 12V --hand '3 V at 50rpm' --top 100rpm", 2, "not both"},
        {"divider --hand '3 V at 10 turns in 12 s'", 2, "--hand|--top 800rpm"},
        {"divider --top 800rpm", 2, "--top|--hand"},
        {"divider --hand 3V --top 800rpm", 2, "--hand|\"3V\"|3 V at"},
        {"divider --hand '3 A at 50rpm' --top 800rpm", 2, "--hand|A|V"},
        {"divider --hand '3 V at lunch' --top 800rpm", 2, "--hand|lunch"},
        {"divider --hand '0 V at 50rpm' --top 800rpm", 2, "--hand|above zero"},
        {"divider --hand '300 V at 5rpm' --top 800rpm", 2, "--hand|1000"},
        {"divider --input jack", 2, "--input|\"jack\"|line, headset, usb"},
        {"divider --impedance 20", 2, "--impedance|20 ohm|200"},
        {"divider --tolerance 50%", 2, "--tolerance|0.5|0.2"},
        {"divider --capacitor 10", 2, "--capacitor|no unit"},
        {"divider --probe-out there.json", 2, "there.json: exists already|--force"},
        {"divider --probe-out no/such/p.json", 4, "no/such/p.json"},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
}

static void wrong_calibrations(void **state) {
    static const wrong_use ROWS[] = {
        {"calibrate --battery 9V", 2, "0 recordings|expected one"},
        {"calibrate good.wav good.csv --battery 9V", 2, "2 recordings|one"},
        {"calibrate good.wav", 2, "--battery 9.2V|--reference|--motor-volts"},
        {"calibrate good.wav --battery 9V --motor-volts 8V", 2, "one of"},
        {"calibrate good.wav --reference 2.3V", 2, "--reference|--frequency 50Hz"},
        {"calibrate good.wav --battery 9V --frequency 50Hz", 2, "--frequency|--battery"},
        {"calibrate good.wav --battery 9A", 2, "--battery|A|V"},
        {"calibrate good.wav --battery 0V", 2, "--battery|0 V"},
        {"calibrate good.wav --battery 9V --battery 5V --battery 1V", 2, "--battery|one or two"},
        {"calibrate good.wav --battery 9V --battery 8.9V", 3, "differ by a third"},
        {"calibrate good.wav --battery 9V --channel 2", 2, "--channel|2|1 to 1"},
        {"calibrate good.wav --reference 2V --frequency 60Hz", 3, "found 50 Hz|60 Hz"},
        {"calibrate good.wav --motor-volts 2V --from 5s", 3, "--from 5 s"},
        {"calibrate good.wav --motor-volts 2V --meter cheap", 2, "--meter|ac, true-rms"},
        {"calibrate no.wav --battery 9V", 3, "no.wav"},
        {"calibrate good.wav --battery 9V --into motor.json", 3, "motor.json|\"probe\""},
        {"calibrate good.wav --reference 2V --frequency 50Hz -o there.json", 2,
         "there.json|--force"},
        {"calibrate r.csv --battery 9V", 3, "r.csv|table of readings", "r.csv",
         "rpm,volts\n100,5\n200,10\n"},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
}

static void save_taps(const char *path) {
    sw_waveform waveform;
    tap_scene scene = support_taps_usual();
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 7);
    scene.volts_per_unit = 180;
    scene.battery_v[0] = 19.1;
    scene.low_cut_hz = 3.2;
    support_taps_record(&scene, random, &waveform);
    SF_INFO info = {.samplerate = 16000, .channels = 1, .format = SF_FORMAT_WAV | SF_FORMAT_PCM_24};
    SNDFILE *file = sf_open(path, SFM_WRITE, &info);
    assert_non_null(file);
    sf_count_t frames = (sf_count_t)waveform.frames;
    assert_int_equal(sf_writef_double(file, waveform.channel[0].samples, frames), frames);
    sf_close(file);
    sw_waveform_free(&waveform);
    gsl_rng_free(random);
}

static void run_in(const char *directory, const char *arguments, char *out, size_t room) {
    char line[1200];
    char err[1000];
    snprintf(line, sizeof line, "cd %s && %s %s", directory, TEST_SPINWORTH, arguments);
    int exit_status = support_run(line, out, room, err, sizeof err);
    if (exit_status != 0)
        fail_msg("%s: %d %s", arguments, exit_status, err);
}

/* Design, tap, calibrate into the design: the probe keeps the clamps' limit of the design and
 * gets volts and low cut of the taps. */
static void from_design_to_calibrated(void **state) {
    static char out[20000];
    char path[600];
    sw_units *units = NULL;
    sw_profile design;
    sw_profile found;
    sw_error error = {0};
    assert_ok(sw_units_new(&units, &error), &error);
    snprintf(path, sizeof path, "%s/taps.wav", (const char *)*state);
    save_taps(path);
    run_in(*state, "divider --volts 70V --probe-out p.json", out, sizeof out);
    assert_non_null(strstr(out, "Use 2 resistors of"));
    assert_non_null(strstr(out, "Saved as p.json."));
    snprintf(path, sizeof path, "%s/p.json", (const char *)*state);
    assert_ok(sw_profile_read(path, units, &design, &error), &error);
    run_in(*state, "calibrate taps.wav --battery '19.1 V \u00b1 0.02' --into p.json", out,
           sizeof out);
    assert_non_null(strstr(out, "from 10"));
    assert_non_null(strstr(out, "--probe p.json"));
    assert_null(strstr(out, "The document said"));
    assert_ok(sw_profile_read(path, units, &found, &error), &error);
    assert_close(found.volts_per_unit.value, 180, 0.003 * 180);
    assert_close(found.low_cut_hz.value, 3.2, 0.02 * 3.2);
    assert_close(found.linear_limit, design.linear_limit, 0);
    run_in(*state, "calibrate taps.wav --battery 25V --into p.json --json", out, sizeof out);
    cJSON *root = cJSON_Parse(out);
    assert_non_null(root);
    assert_non_null(strstr(out, "\"changed\""));
    cJSON_Delete(root);
    sw_units_free(units);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(wrong_dividers),
        cmocka_unit_test(wrong_calibrations),
        cmocka_unit_test(from_design_to_calibrated),
    };
    return cmocka_run_group_tests(tests, support_wrong_setup, support_wrong_teardown);
}
