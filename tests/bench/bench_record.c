/* What recording costs of one core: two channels of 24 bits at 96 kHz from the test line, with the
 * live meter on a terminal and without. Not a test; prints figures.
 *
 *   bench_record [seconds] */
#define _XOPEN_SOURCE 700
#define _DEFAULT_SOURCE /* wait4 */

#include "tests/capture/support_drill.h"
#include "tests/support.h"

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

enum { COMMAND_ROOM = 1024 };

static double seconds_of(struct timeval time) {
    return (double)time.tv_sec + 1e-6 * (double)time.tv_usec;
}

/* In the child: the terminal's other end is all that it sees. */
static void become(const char *command, const char *terminal) {
    setsid();
    int end = open(terminal, O_RDWR);
    for (int stream = 0; stream < 3; stream++)
        dup2(end, stream);
    execl("/bin/sh", "sh", "-c", command, (char *)NULL);
    _exit(127);
}

/* Bytes shown on the terminal until it is closed. */
static long drain(int terminal) {
    char bytes[4096];
    long shown = 0;
    ssize_t count;
    while ((count = read(terminal, bytes, sizeof bytes)) > 0)
        shown += count;
    return shown;
}

static void measure(const char *folder, const char *file, int seconds, const char *where) {
    char command[COMMAND_ROOM];
    snprintf(command, sizeof command,
             "cd '%s' && TERM=xterm ALSA_CONFIG_PATH=asound.conf exec '%s' record %s --input line "
             "--for %ds %s",
             folder, TEST_SPINWORTH, file, seconds, where);
    int terminal = posix_openpt(O_RDWR | O_NOCTTY);
    if (terminal < 0 || grantpt(terminal) != 0 || unlockpt(terminal) != 0) {
        puts("no terminal can be made here");
        return;
    }
    const char *end = ptsname(terminal);
    pid_t child = fork();
    if (child == 0)
        become(command, end);
    long shown = drain(terminal);
    struct rusage used;
    int status = 0;
    wait4(child, &status, 0, &used);
    close(terminal);
    double busy_s = seconds_of(used.ru_utime) + seconds_of(used.ru_stime);
    printf("%-12s %4ld bytes a second shown  exit %d  %.2f %% of a core\n", file, shown / seconds,
           WEXITSTATUS(status), 100 * busy_s / seconds);
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
