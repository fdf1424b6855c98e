/* What the frame around the commands refuses, whatever the command. */
#include "tests/cli/support_wrong.h"
#include "tests/support.h"

#include <stdio.h>
#include <string.h>

static void calls_that_make_no_sense(void **state) {
    static const wrong_use ROWS[] = {
        {"", 2, "no command|first|--help"},
        {"wibble", 2, "\"wibble\"|--help"},
        {"help wibble", 2, "\"wibble\""},
        {"--speed 5rpm", 2, "no command|first|--help"},
        {"Measure good.wav", 2, "\"Measure\""},
        {"\"$(printf 'mea\\nsure')\"", 2, "mea?sure"},
        {"measure --colour red good.wav", 2, "--colour|not known"},
        {"measure --detail good.wav", 2, "did you mean --details?"},
        {"mesure good.wav", 2, "\"mesure\"|did you mean measure?"},
        {"help mathc", 2, "did you mean match?"},
        {"measure --spede 300rpm good.wav", 2, "did you mean --speed?"},
        {"measure -speed 300rpm good.wav", 2, "did you mean --speed?"},
        {"measure --speed 300 good.wav", 2, "no unit|a turning speed|640rpm"},
        {"measure --inductance 46 good.wav", 2, "no unit|an inductance"},
        {"measure -z", 2, "-z|not known"},
        {"measure good.wav --units", 2, "--units needs a value"},
        {"measure good.wav --units furlong", 2, "--units|furlong|si, us"},
        {"measure good.wav --details=yes", 2, "--details takes no value"},
        {"measure $(seq 300)", 2, "256"},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(calls_that_make_no_sense),
    };
    return cmocka_run_group_tests(tests, support_wrong_setup, support_wrong_teardown);
}
