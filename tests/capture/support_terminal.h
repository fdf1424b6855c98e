/* The program on a terminal of its own: what a person at the bench sees, and keys typed there. */
#ifndef SPINWORTH_TESTS_CAPTURE_SUPPORT_TERMINAL_H
#define SPINWORTH_TESTS_CAPTURE_SUPPORT_TERMINAL_H

#include <stdbool.h>
#include <stddef.h>
#include <sys/types.h>

enum { TERMINAL_ROOM = 1 << 16 };

typedef struct drill_terminal {
    int terminal; /* the person's end */
    pid_t pid;
    size_t seen;
    char screen[TERMINAL_ROOM]; /* all that was written, NUL-terminated; cut when very long */
    double cpu_s;               /* after drill_terminal_wait: time of a core that was used */
} drill_terminal;

/* "spinworth ARGUMENTS" in the folder, with its asound.conf. False where no terminal can be made.
 */
bool drill_terminal_start(const char *folder, const char *arguments, drill_terminal *terminal);

/* Read on until the words have appeared; false after limit_s. */
bool drill_terminal_shows(drill_terminal *terminal, const char *words, double limit_s);

void drill_terminal_type(drill_terminal *terminal, const char *keys);

/* Read to the end. Exit status, or minus the signal; fails the test after limit_s. */
int drill_terminal_wait(drill_terminal *terminal, double limit_s);

#endif
