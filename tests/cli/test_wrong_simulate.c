/* What simulate refuses. */
#include "tests/cli/support_wrong.h"
#include "tests/support.h"

#define WISHES(members) "{\"document\": \"simulation\", \"version\": 1, " members "}\n"

static void calls(void **state) {
    static const wrong_use ROWS[] = {
        {"simulate", 2, "-o FILE"},
        {"simulate x.wav", 2, "\"x.wav\"|-o"},
        {"simulate -o", 2, "--output needs a value"},
        {"simulate -o x.mp3", 2, "x.mp3|.wav, .flac or .csv"},
        {"simulate -o x.wav --family moon", 2, "--family|\"moon\"|--list"},
        {"simulate -o x.wav --seed=-1", 2, "--seed|\"-1\"|whole number"},
        {"simulate -o x.wav --seed 1.5", 2, "--seed|\"1.5\"|whole number"},
        {"simulate -o x.wav --channels 4", 2, "--channels|\"4\"|1 to 3"},
        {"simulate -o x.wav --bits 99", 2, "--bits|\"99\""},
        {"simulate -o x.wav --speed 300", 2, "--speed|no unit|rpm"},
        {"simulate -o x.wav --speed=-300rpm", 2, "--speed|-300 rpm"},
        {"simulate -o x.wav --rate 0Hz", 2, "--rate|0 Hz"},
        {"simulate -o x.wav --seconds=-1s", 2, "--seconds|-1 s"},
        {"simulate -o x.wav --seconds 1e9s", 2, "--seconds|1e+09 s"},
        {"simulate -o x.wav --coast maybe", 2, "--coast|maybe|free"},
        {"simulate -o x.wav --volts-per-hertz 1V", 2, "--volts-per-hertz|V"},
        {"simulate -o x.wav --truth x.wav", 2, "x.wav: two outputs"},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
}

static void documents(void **state) {
    static const wrong_use ROWS[] = {
        {"simulate -o x.wav --document no.json", 3, "no.json: no such file"},
        {"simulate -o x.wav --document motor.json", 3, "motor.json: document|\"motor\""},
        {"simulate -o x.wav --document w.json", 3, "w.json|\"speeed\"|did you mean \"speed\"?",
         "w.json", WISHES("\"speeed\": \"300 rpm\"")},
        {"simulate -o x.wav --document w.json", 3, "w.json: speed|no unit", "w.json",
         WISHES("\"speed\": 300")},
        {"simulate -o x.wav --document w.json", 3, "w.json|line 1", "w.json", "{\"document\""},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
}

static void places_to_write(void **state) {
    static const wrong_use ROWS[] = {
        {"simulate -o good.wav", 2, "good.wav: exists already|--force"},
        {"simulate -o x.wav --truth there.json", 2, "there.json: exists already"},
        {"simulate -o x.wav --truth none", 2, "none: is a directory"},
        {"simulate -o x.wav --force --truth pipe", 2, "pipe: is a device or a pipe"},
        {"simulate -o no/such/x.wav", 4, "no/such/x.wav"},
        {"simulate -o empty/x.csv", 4, "empty/x.csv"},
        {"simulate -o /proc/x.wav", 4, "/proc/x.wav"},
        {"simulate --list", 4, "standard output", NULL, NULL, ">/dev/full"},
        {"simulate -o y.wav --force", 4, "standard output", NULL, NULL, ">/dev/full"},
        {"simulate -o y.wav --force", 4, "standard output", NULL, NULL,
         ">pipe & true <pipe; wait $!"},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(calls),
        cmocka_unit_test(documents),
        cmocka_unit_test(places_to_write),
    };
    return cmocka_run_group_tests(tests, support_wrong_setup, support_wrong_teardown);
}
