/* What recording costs of one core: two channels of 24 bits at 96 kHz from the test line, with the
 * live meter on a terminal and without. Not a test; prints figures.
 *
 *   bench_record [seconds] */
#include "tests/capture/support_drill.h"
#include "tests/capture/support_terminal.h"
#include "tests/support.h"

#include <stdio.h>
#include <stdlib.h>

static void measure(const char *folder, const char *file, int seconds, const char *where) {
    static drill_terminal terminal;
    char arguments[256];
    snprintf(arguments, sizeof arguments, "record %s --input line --for %ds %s", file, seconds,
             where);
    if (!drill_terminal_start(folder, arguments, &terminal)) {
        puts("no terminal can be made here");
        return;
    }
    int status = drill_terminal_wait(&terminal, 3 * seconds + 10);
    printf("%-12s %4zu bytes a second shown  exit %d  %.2f %% of a core\n", file,
           terminal.seen / (size_t)seconds, status, 100 * terminal.cpu_s / seconds);
}

int main(int count, char **arguments) {
    char folder[DRILL_PATH_ROOM];
    int seconds = count > 1 ? (int)strtol(arguments[1], NULL, 10) : 10;
    if (!drill_possible() || seconds < 1)
        return DRILL_SKIP;
    support_temporary_directory(folder, sizeof folder);
    drill_lines(folder, "line",
                "pcm.line { type testline rate 96000 format S24_3LE signal tone frequency 77.0 }");
    measure(folder, "meter.wav", seconds, "");
    measure(folder, "plain.wav", seconds, "2>err >out");
    measure(folder, "meter.flac", seconds, "");
    measure(folder, "plain.flac", seconds, "2>err >out");
    support_remove_tree(folder);
    return 0;
}
