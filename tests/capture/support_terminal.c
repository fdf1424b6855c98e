/* Pseudo-terminals. */
#define _XOPEN_SOURCE 700
#define _DEFAULT_SOURCE /* wait4 */

#include "tests/capture/support_terminal.h"

#include "tests/capture/support_drill.h"
#include "tests/support.h"

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

/* In the child. Without a terminal so far, the first one opened becomes its own: Ctrl-C works. */
static void become(const char *command, const char *name) {
    setsid();
    int end = open(name, O_RDWR);
    for (int stream = 0; stream < 3; stream++)
        dup2(end, stream);
    execl("/bin/sh", "sh", "-c", command, (char *)NULL);
    _exit(127);
}

bool drill_terminal_start(const char *folder, const char *arguments, drill_terminal *terminal) {
    char command[2048];
    memset(terminal, 0, sizeof *terminal);
    int used = snprintf(command, sizeof command,
                        "cd '%s' && TERM=xterm ALSA_CONFIG_PATH='%s/asound.conf' exec '%s' %s",
                        folder, folder, TEST_SPINWORTH, arguments);
    assert_in_range(used, 1, sizeof command - 1);
    terminal->terminal = posix_openpt(O_RDWR | O_NOCTTY);
    if (terminal->terminal < 0)
        return false;
    fcntl(terminal->terminal, F_SETFD, FD_CLOEXEC);
    if (grantpt(terminal->terminal) != 0 || unlockpt(terminal->terminal) != 0) {
        close(terminal->terminal);
        return false;
    }
    const char *name = ptsname(terminal->terminal);
    terminal->pid = fork();
    assert_true(terminal->pid >= 0);
    if (terminal->pid == 0)
        become(command, name);
    return true;
}

/* What came within a tenth of a second; false at the end, when the program has closed it. */
static bool read_some(drill_terminal *terminal) {
    char bytes[4096];
    struct pollfd waiting = {terminal->terminal, POLLIN, 0};
    if (poll(&waiting, 1, 100) == 0)
        return true;
    ssize_t count = read(terminal->terminal, bytes, sizeof bytes);
    if (count <= 0)
        return false;
    size_t room = sizeof terminal->screen - 1 - terminal->seen;
    size_t kept = (size_t)count < room ? (size_t)count : room;
    memcpy(terminal->screen + terminal->seen, bytes, kept);
    terminal->seen += kept;
    return true;
}

bool drill_terminal_shows(drill_terminal *terminal, const char *words, double limit_s) {
    double end_s = drill_now_s() + limit_s;
    while (strstr(terminal->screen, words) == NULL)
        if (drill_now_s() > end_s || !read_some(terminal))
            return strstr(terminal->screen, words) != NULL;
    return true;
}

void drill_terminal_type(drill_terminal *terminal, const char *keys) {
    ssize_t count = write(terminal->terminal, keys, strlen(keys));
    assert_int_equal(count, strlen(keys));
}

static double seconds_of(struct timeval time) {
    return (double)time.tv_sec + 1e-6 * (double)time.tv_usec;
}

int drill_terminal_wait(drill_terminal *terminal, double limit_s) {
    struct rusage used;
    int status = 0;
    double end_s = drill_now_s() + limit_s;
    bool open = true;
    while (open && drill_now_s() < end_s)
        open = read_some(terminal);
    if (open)
        kill(terminal->pid, SIGKILL);
    wait4(terminal->pid, &status, 0, &used);
    close(terminal->terminal);
    terminal->cpu_s = seconds_of(used.ru_utime) + seconds_of(used.ru_stime);
    if (open)
        fail_msg("did not end in %.1f s\n%s", limit_s, terminal->screen);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
}
