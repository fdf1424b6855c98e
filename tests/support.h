/* What the tests share. Include after nothing: it brings cmocka in the right order. */
#ifndef SPINWORTH_TESTS_SUPPORT_H
#define SPINWORTH_TESTS_SUPPORT_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "shared/quantity.h"
#include "shared/status.h"

/* |found - expected| <= tolerance; NaN on either side fails. */
#define assert_close(found, expected, tolerance)                                                   \
    support_assert_close((found), (expected), (tolerance), #found, __FILE__, __LINE__)
void support_assert_close(double found, double expected, double tolerance, const char *what,
                          const char *file, int line);

/* status is SW_OK; prints the error's message when not. */
#define assert_ok(status, error) support_assert_ok((status), (error), __FILE__, __LINE__)
void support_assert_ok(sw_status status, const sw_error *error, const char *file, int line);

/* The unit system, loaded once a test program (cmocka group set-up and tear-down). */
int support_units_setup(void **state);
int support_units_teardown(void **state);

/* A fresh directory below the system's temporary one; remove with support_remove_tree. */
void support_temporary_directory(char *out, size_t room);
void support_remove_tree(const char *directory);

/* A folder of the test program's own: cmocka group set-up and tear-down, alone or with the unit
 * system in *state. */
int support_folder_setup(void **state);
int support_folder_teardown(void **state);
int support_folder_units_setup(void **state);
int support_folder_units_teardown(void **state);

/* That folder, and the path of a file in it, good for the next 31 calls. */
const char *support_folder(void);
const char *support_at(const char *name);

/* Run the program in that folder, as typed ("measure rec.wav"); returns its exit status. What it
 * said stands in support_out and support_err until the next call. */
int support_call(const char *arguments);
extern char support_out[];
extern char support_err[];

/* Run a shell command; returns its exit status, -1 when it died of a signal. Output and errors
 * (NUL-terminated, cut to fit) go to out and err, which may be NULL. */
int support_run(const char *command, char *out, size_t out_room, char *err, size_t err_room);

#endif
