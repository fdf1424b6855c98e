/* Run-downs, loaded runs and brushed motors, simulated, against what the motors are.
 *   mechanics [run-downs] [motors under load] [brushed motors] [first seed] [brushed under load]
 * The exit status is the number of table rows whose printed +- held too seldom. */
#include "tests/population/mechanics.h"

#include <stdio.h>
#include <stdlib.h>

static long number(int count, char **arguments, int at, long otherwise) {
    return count > at ? strtol(arguments[at], NULL, 10) : otherwise;
}

int main(int count, char **arguments) {
    long run_downs = number(count, arguments, 1, 150);
    long loaded = number(count, arguments, 2, 120);
    long brushed = number(count, arguments, 3, 100);
    unsigned long seed = (unsigned long)number(count, arguments, 4, 1);
    long brushed_loads = number(count, arguments, 5, 60);
    int failures = 0;
    printf("first seed %lu\n", seed);
    if (run_downs > 0)
        failures += mechanics_rundowns(run_downs, seed);
    if (loaded > 0)
        failures += mechanics_loads(loaded, seed);
    if (brushed > 0)
        failures += mechanics_brushed(brushed, seed);
    if (brushed_loads > 0)
        failures += mechanics_brushed_loads(brushed_loads, seed);
    return failures;
}
