/* What measure refuses: calls, files and values. */
#include "tests/cli/support_wrong.h"
#include "tests/support.h"

#define PROBE(members) "{\"document\": \"probe\", \"version\": 1, " members "}\n"

static void calls(void **state) {
    static const wrong_use ROWS[] = {
        {"measure", 2, "no recording given"},
        {"measure good.wav --speed", 2, "--speed needs a value"},
        {"measure good.wav --speed 300", 2, "--speed|\"300\" has no unit|rpm"},
        {"measure good.wav --speed 50Hz", 2, "--speed|Hz|rpm"},
        {"measure good.wav --speed fast", 2, "--speed|\"fast\"|number"},
        {"measure good.wav --speed nanrpm", 2, "--speed|nanrpm"},
        {"measure good.wav --speed=-5rpm", 2, "--speed|-5 rpm|expected"},
        {"measure good.wav --speed 0rpm", 2, "--speed|0 rpm|expected"},
        {"measure good.wav --speed 1e999rpm", 2, "--speed"},
        {"measure good.wav --speed '1,500 rpm'", 2, "--speed|two ways"},
        {"measure good.wav --about 5V", 2, "--about|V|rpm"},
        {"measure good.wav --turns=-3", 2, "--turns|-3|expected"},
        {"measure good.wav --turns many", 2, "--turns|many"},
        {"measure good.wav --magnets 7", 2, "--magnets|7|even"},
        {"measure good.wav --detents 1.5", 2, "--detents|1.5|whole"},
        {"measure good.wav --driver 50mm --speed 9rpm", 2, "--driver|--driven"},
        {"measure good.wav --between coils", 2, "--between|coils|star-point"},
        {"measure good.wav --difference 1", 2, "--difference|1-2"},
        {"measure good.wav --difference 1-9", 2, "--difference 1-9|1 channel"},
        {"measure good.csv --rate 0Hz", 2, "--rate|0 Hz|expected"},
        {"measure good.csv --rate=-1kHz", 2, "--rate|-1000 Hz"},
        {"measure $(yes good.wav | head -9)", 2, "9|at most 8"},
        {"measure - -", 2, "standard input"},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
}

static void recordings(void **state) {
    static const wrong_use ROWS[] = {
        {"measure no.wav", 3, "no.wav: no such file"},
        {"measure good.wav/no.wav", 3, "good.wav/no.wav: no such file"},
        {"measure good.wav no.wav", 3, "no.wav: no such file"},
        {"measure .", 3, ".: is a directory, expected a file"},
        {"measure empty", 3, "empty: the file is empty"},
        {"measure -", 3, "standard input: the file is empty"},
        {"measure -", 3, "standard input", NULL, NULL, "<binary.bin"},
        {"measure binary.bin", 3, "binary.bin"},
        {"measure cut.wav", 3, "cut.wav"},
        {"measure norate.wav", 3, "norate.wav|0 samples a second"},
        {"measure nosound.wav", 3, "nosound.wav|no sound"},
        {"measure badrow.csv", 3, "badrow.csv|line 502|0.5x0"},
        {"measure words.csv", 3, "words.csv", "words.csv", "some words\nand more words\n"},
        {"measure alone.csv", 2, "alone.csv|--rate", "alone.csv", "volts\n1\n2\n3\n4\n5\n6\n7\n"},
        {"measure bare.csv", 2, "bare.csv: line 1|rpm, hz, volts|--rate", "bare.csv",
         "200, 50.1, 10.1\n300, 75, 15\n"},
        {"measure text.wav", 3, "text.wav|named like a sound file|text", "text.wav", "hello\n"},
        {"measure good.wav good.csv", 3, "good.csv|samples a second|good.wav"},
        {"measure rows.csv", 3, "rows.csv|line 3", "rows.csv", "rpm,volts ac\n300,9\n400,x\n"},
        {"measure minus.csv", 3, "minus.csv|line 2", "minus.csv", "rpm,volts ac\n-300,9\n400,12\n"},
        {"measure motor.json", 3, "motor.json"},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
}

static void profiles(void **state) {
    static const wrong_use ROWS[] = {
        {"measure good.wav --probe no.json", 3, "no.json: no such file"},
        {"measure good.wav --probe good.csv", 3, "good.csv|line 1, column 1"},
        {"measure good.wav --probe binary.bin", 3, "binary.bin|binary"},
        {"measure good.wav --probe motor.json", 3, "document|\"motor\"|\"probe\""},
        {"measure good.wav --probe p.json", 3, "p.json: line 3, column", "p.json",
         "{\"document\": \"probe\",\n \"version\": 1,\n \"low_cut\" 5}\n"},
        {"measure good.wav --probe p.json", 3, "p.json: version: found 2, expected 1", "p.json",
         "{\"document\": \"probe\", \"version\": 2, \"volts_per_unit\": 12}"},
        {"measure good.wav --probe p.json", 3, "\"volts_per_unit\" is missing", "p.json",
         PROBE("\"low_cut\": \"5 Hz\"")},
        {"measure good.wav --probe p.json", 3, "\"low_cutt\"|did you mean \"low_cut\"?", "p.json",
         PROBE("\"volts_per_unit\": 12, \"low_cutt\": 5")},
        {"measure good.wav --probe p.json", 3, "\"low_cut\" stands twice", "p.json",
         PROBE("\"volts_per_unit\": 12, \"low_cut\": 5, \"low_cut\": 6")},
        {"measure good.wav --probe p.json", 3, "p.json: low_cut: found -5 Hz", "p.json",
         PROBE("\"volts_per_unit\": 12, \"low_cut\": -5")},
        {"measure good.wav --probe p.json", 3, "p.json: volts_per_unit", "p.json",
         PROBE("\"volts_per_unit\": \"12 A\"")},
        {"measure good.wav --probe p.json", 3, "p.json: volts_per_unit", "p.json",
         PROBE("\"volts_per_unit\": 0")},
        {"measure good.wav --probe p.json", 3, "p.json|line 1, column", "p.json",
         PROBE("\"volts_per_unit\": NaN")},
        {"measure good.wav --probe p.json", 3, "p.json|too large", "p.json",
         PROBE("\"volts_per_unit\": 1e999")},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
}

static void added_facts(void **state) {
    static const wrong_use ROWS[] = {
        {"measure --into motor.json", 2, "recording|fact"},
        {"measure --into no.json --resistance 1ohm", 3, "no.json: no such file"},
        {"measure --into site.json --resistance 1ohm", 3, "site.json|\"site\"|\"motor\""},
        {"measure --into motor.json --resistance=-1ohm", 2, "--resistance|-1 ohm"},
        {"measure --into motor.json --resistance 1V", 2, "--resistance|V|ohm"},
        {"measure --into motor.json --resistance 1ohm --test-leads 2ohm", 2, "--test-leads|2 ohm"},
        {"measure --into motor.json --inductance 5", 2, "--inductance|no unit|mH"},
        {"measure --into motor.json --phases 4", 2, "--phases|4|1 to 3"},
        {"measure --into motor.json --phases 1.5", 2, "--phases|1.5|whole"},
        {"measure --into motor.json --star-point maybe", 2, "--star-point|maybe|no, yes"},
        {"measure --into motor.json --cogging 5mm", 2, "--cogging|mm"},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
}

static void places_to_write(void **state) {
    static const wrong_use ROWS[] = {
        {"measure good.wav -o there.json", 2, "there.json: exists already|--force"},
        {"measure good.wav -o .", 2, ".: is a directory, expected a file name"},
        {"measure good.wav -o no/such/m.json", 4, "no/such/m.json: cannot be written"},
        {"measure good.wav -o good.wav/m.json", 4, "good.wav/m.json: cannot be written"},
        {"measure good.wav -o /proc/m.json", 4, "/proc/m.json: cannot be written"},
        {"measure good.wav", 4, "standard output", NULL, NULL, ">/dev/full"},
        {"measure good.wav", 4, "standard output", NULL, NULL, ">&-"},
        {"measure good.wav", 4, "standard output", NULL, NULL, ">pipe & true <pipe; wait $!"},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(calls),           cmocka_unit_test(recordings),
        cmocka_unit_test(profiles),        cmocka_unit_test(added_facts),
        cmocka_unit_test(places_to_write),
    };
    return cmocka_run_group_tests(tests, support_wrong_setup, support_wrong_teardown);
}
