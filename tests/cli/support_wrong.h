/* Wrong uses of the built program, as rows of a table. */
#ifndef SPINWORTH_TESTS_CLI_SUPPORT_WRONG_H
#define SPINWORTH_TESTS_CLI_SUPPORT_WRONG_H

#include <stddef.h>

/* One wrong use; what a row leaves out is NULL. The program runs in a folder with the files of
 * support_wrong.c. */
typedef struct wrong_use {
    const char *arguments; /* as typed behind the program's name */
    int exit_status;       /* 2 wrong call, 3 bad input, 4 a device or disk fault */
    const char *says;      /* pieces of the message, '|' between them */
    const char *file;      /* to write first ... */
    const char *text;      /* ... with this in it */
    const char *shell;     /* behind the arguments: ">/dev/full" */
} wrong_use;

/* cmocka set-up and tear-down of the folder: *state is its path. */
int support_wrong_setup(void **state);
int support_wrong_teardown(void **state);

/* Each row must end with its exit status, one clear line on standard error that has every piece,
 * and nothing on standard output; with --json the same as one JSON object. */
void support_wrong_check(const char *directory, const wrong_use *rows, size_t count);

/* rows, count of an array */
#define ROWS_OF(table) (table), sizeof(table) / sizeof *(table)

#endif
