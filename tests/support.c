/* Tests may use POSIX: temporary directories and processes. */
#define _XOPEN_SOURCE 700

#include "tests/support.h"

#include <ftw.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>

void support_assert_close(double found, double expected, double tolerance, const char *what,
                          const char *file, int line) {
    if (fabs(found - expected) <= tolerance)
        return;
    print_error("%s: found %.17g, expected %.17g within %.3g\n", what, found, expected, tolerance);
    _fail(file, line);
}

void support_assert_ok(sw_status status, const sw_error *error, const char *file, int line) {
    if (status == SW_OK)
        return;
    print_error("status %s: %s\n", sw_status_name(status), error->message);
    _fail(file, line);
}

int support_units_setup(void **state) {
    sw_units *units = NULL;
    if (sw_units_new(&units, NULL) != SW_OK)
        return -1;
    *state = units;
    return 0;
}

int support_units_teardown(void **state) {
    sw_units_free(*state);
    return 0;
}

void support_temporary_directory(char *out, size_t room) {
    const char *base = getenv("TMPDIR");
    snprintf(out, room, "%s/spinworth-test.XXXXXX", base != NULL ? base : "/tmp");
    if (mkdtemp(out) == NULL)
        fail_msg("no temporary directory");
}

static int remove_entry(const char *path, const struct stat *status, int kind, struct FTW *ftw) {
    (void)status;
    (void)kind;
    (void)ftw;
    return remove(path);
}

void support_remove_tree(const char *directory) {
    nftw(directory, remove_entry, 8, FTW_DEPTH | FTW_PHYS);
}

/* ---- the test program's folder ---- */

static char folder[256];

int support_folder_setup(void **state) {
    (void)state;
    support_temporary_directory(folder, sizeof folder);
    return 0;
}

int support_folder_teardown(void **state) {
    (void)state;
    support_remove_tree(folder);
    return 0;
}

int support_folder_units_setup(void **state) {
    (void)support_folder_setup(state);
    return support_units_setup(state);
}

int support_folder_units_teardown(void **state) {
    (void)support_folder_teardown(state);
    return support_units_teardown(state);
}

const char *support_folder(void) {
    return folder;
}

const char *support_at(const char *name) {
    enum { PATHS = 32, PATH_ROOM = 512 };
    static char paths[PATHS][PATH_ROOM];
    static size_t next;
    char *path = paths[next++ % PATHS];
    snprintf(path, PATH_ROOM, "%s/%s", folder, name);
    return path;
}

static void slurp(const char *path, char *out, size_t room) {
    if (out == NULL)
        return;
    FILE *stream = fopen(path, "rb");
    size_t length = stream == NULL ? 0 : fread(out, 1, room - 1, stream);
    out[length] = '\0';
    if (stream != NULL)
        fclose(stream);
}

int support_run(const char *command, char *out, size_t out_room, char *err, size_t err_room) {
    char directory[256];
    char line[8192];
    char out_path[300];
    char err_path[300];
    support_temporary_directory(directory, sizeof directory);
    snprintf(out_path, sizeof out_path, "%s/out", directory);
    snprintf(err_path, sizeof err_path, "%s/err", directory);
    int needed =
        snprintf(line, sizeof line, "( %s ) >%s 2>%s </dev/null", command, out_path, err_path);
    if (needed < 0 || (size_t)needed >= sizeof line)
        fail_msg("command too long");
    int status = system(line); /* NOLINT(cert-env33-c): a test runs the program as a person does */
    slurp(out_path, out, out_room);
    slurp(err_path, err, err_room);
    support_remove_tree(directory);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

enum { OUT_ROOM = 262144, ERR_ROOM = 16384 };

char support_out[OUT_ROOM];
char support_err[ERR_ROOM];

int support_call(const char *arguments) {
    char command[4096];
    int needed =
        snprintf(command, sizeof command, "cd '%s' && '%s' %s", folder, TEST_SPINWORTH, arguments);
    if (needed < 0 || (size_t)needed >= sizeof command)
        fail_msg("command too long");
    return support_run(command, support_out, OUT_ROOM, support_err, ERR_ROOM);
}
