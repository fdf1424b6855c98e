/* What the frame around the commands refuses, whatever the command. */
#include "tests/cli/support_wrong.h"
#include "tests/support.h"

#include <stdio.h>
#include <string.h>

#define ROWS_OF(table) (table), sizeof(table) / sizeof *(table)

static void calls_that_make_no_sense(void **state) {
    static const wrong_use ROWS[] = {
        {"", 2, "no command|first|--help", NULL, NULL, NULL},
        {"wibble", 2, "\"wibble\"|--help", NULL, NULL, NULL},
        {"help wibble", 2, "\"wibble\"", NULL, NULL, NULL},
        {"--speed 5rpm", 2, "no command|first|--help", NULL, NULL, NULL},
        {"Measure good.wav", 2, "\"Measure\"", NULL, NULL, NULL},
        {"\"$(printf 'mea\\nsure')\"", 2, "mea?sure", NULL, NULL, NULL},
        {"measure --colour red good.wav", 2, "--colour|not known", NULL, NULL, NULL},
        {"measure --detail good.wav", 2, "did you mean --details?", NULL, NULL, NULL},
        {"mesure good.wav", 2, "\"mesure\"|did you mean measure?", NULL, NULL, NULL},
        {"help mathc", 2, "did you mean match?", NULL, NULL, NULL},
        {"measure --spede 300rpm good.wav", 2, "did you mean --speed?", NULL, NULL, NULL},
        {"measure -speed 300rpm good.wav", 2, "did you mean --speed?", NULL, NULL, NULL},
        {"measure --speed 300 good.wav", 2, "no unit|a turning speed|640rpm", NULL, NULL, NULL},
        {"measure --inductance 46 good.wav", 2, "no unit|an inductance", NULL, NULL, NULL},
        {"measure -z", 2, "-z|not known", NULL, NULL, NULL},
        {"measure good.wav --units", 2, "--units needs a value", NULL, NULL, NULL},
        {"measure good.wav --units furlong", 2, "--units|furlong|si, us", NULL, NULL, NULL},
        {"measure good.wav --details=yes", 2, "--details takes no value", NULL, NULL, NULL},
        {"measure $(seq 300)", 2, "256", NULL, NULL, NULL},
    };
    support_wrong_check(*state, ROWS_OF(ROWS));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(calls_that_make_no_sense),
    };
    return cmocka_run_group_tests(tests, support_wrong_setup, support_wrong_teardown);
}
