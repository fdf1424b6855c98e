/* Reading whole, saving atomically, listing a folder. */
#define _XOPEN_SOURCE 700

#include "tests/support.h"

#include "shared/files.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { PATH_ROOM = 512 };

static int make_directory(void **state) {
    char *directory = malloc(PATH_ROOM);
    if (directory == NULL)
        return -1;
    support_temporary_directory(directory, PATH_ROOM);
    *state = directory;
    return 0;
}

static int remove_directory(void **state) {
    support_remove_tree(*state);
    free(*state);
    return 0;
}

static const char *inside(void **state, const char *name) {
    static char path[2 * PATH_ROOM];
    snprintf(path, sizeof path, "%s/%s", (const char *)*state, name);
    return path;
}

static void save(const char *path, const char *text) {
    sw_error error;
    assert_ok(sw_file_save(path, text, strlen(text), false, &error), &error);
}

static void assert_holds(const char *path, const char *text) {
    char *data = NULL;
    size_t length = 0;
    sw_error error;
    assert_ok(sw_file_read(path, 1 << 20, &data, &length, &error), &error);
    assert_int_equal(length, strlen(text));
    assert_memory_equal(data, text, length + 1);
    free(data);
}

static void what_was_saved_is_read_back(void **state) {
    const char *path = inside(state, "a.json");
    save(path, "{\"a\": 1}\n");
    assert_holds(path, "{\"a\": 1}\n");
    assert_true(sw_file_exists(path));
    assert_false(sw_file_is_directory(path));
    sw_error error;
    assert_ok(sw_file_check(path, &error), &error);
}

static void a_large_file_is_read_whole(void **state) {
    enum { LARGE = 300000 };
    char *text = malloc(LARGE + 1);
    assert_non_null(text);
    for (size_t i = 0; i < LARGE; i++)
        text[i] = (char)('a' + i % 26);
    text[LARGE] = '\0';
    save(inside(state, "large"), text);
    assert_holds(inside(state, "large"), text);
    text[131072] = '\0'; /* an exact multiple of the reader's first room */
    save(inside(state, "even"), text);
    assert_holds(inside(state, "even"), text);
    free(text);
}

static void an_existing_file_is_kept_without_force(void **state) {
    const char *path = inside(state, "a.json");
    sw_error error;
    save(path, "old");
    assert_int_equal(sw_file_save(path, "new", 3, false, &error), SW_EXISTS);
    assert_non_null(strstr(error.message, "--force"));
    assert_holds(path, "old");
    assert_ok(sw_file_save(path, "new", 3, true, &error), &error);
    assert_holds(path, "new");
}

static void nothing_is_left_beside_the_file(void **state) {
    char **paths = NULL;
    size_t count = 0;
    sw_error error;
    save(inside(state, "a.json"), "1");
    (void)sw_file_save(inside(state, "a.json"), "2", 1, false, &error);
    (void)sw_file_save(inside(state, "a.json"), "3", 1, true, &error);
    (void)sw_file_save(inside(state, "no/such/folder.json"), "4", 1, true, &error);
    assert_ok(sw_file_list(*state, "", &paths, &count, &error), &error);
    assert_int_equal(count, 1);
    sw_file_list_free(paths, count);
}

static void places_that_cannot_be_written_are_named(void **state) {
    sw_error error;
    assert_int_equal(sw_file_save(*state, "x", 1, true, &error), SW_USAGE);
    assert_non_null(strstr(error.message, "is a directory"));
    assert_int_equal(sw_file_save(inside(state, "none/a.json"), "x", 1, false, &error), SW_IO);
    assert_non_null(strstr(error.message, "none/a.json"));
    save(inside(state, "file"), "x");
    assert_int_equal(sw_file_save(inside(state, "file/a.json"), "x", 1, false, &error), SW_IO);
    assert_int_equal(sw_file_save("/proc/spinworth.json", "x", 1, false, &error), SW_IO);
    char longest[5000];
    memset(longest, 'a', sizeof longest - 1);
    longest[sizeof longest - 1] = '\0';
    assert_int_equal(sw_file_save(longest, "x", 1, false, &error), SW_USAGE);
}

static void through_a_link_its_target_is_replaced(void **state) {
    char target[2 * PATH_ROOM];
    sw_error error;
    struct stat status;
    snprintf(target, sizeof target, "%s", inside(state, "target"));
    save(target, "old");
    assert_int_equal(symlink(target, inside(state, "link")), 0);
    assert_ok(sw_file_save(inside(state, "link"), "new", 3, true, &error), &error);
    assert_holds(target, "new");
    assert_int_equal(lstat(inside(state, "link"), &status), 0);
    assert_true(S_ISLNK(status.st_mode));
}

static void a_device_or_a_pipe_is_never_replaced(void **state) {
    sw_error error;
    struct stat status;
    assert_int_equal(mkfifo(inside(state, "pipe"), 0600), 0);
    assert_int_equal(sw_file_save(inside(state, "pipe"), "x", 1, true, &error), SW_USAGE);
    assert_non_null(strstr(error.message, "device or a pipe"));
    assert_int_equal(sw_file_check_target("/dev/null", true, &error), SW_USAGE);
    assert_int_equal(stat(inside(state, "pipe"), &status), 0);
    assert_true(S_ISFIFO(status.st_mode));
}

/* A dangling link counts as there. */
static void a_dangling_link_is_not_written_through(void **state) {
    char target[2 * PATH_ROOM];
    sw_error error;
    snprintf(target, sizeof target, "%s", inside(state, "gone"));
    assert_int_equal(symlink(target, inside(state, "link")), 0);
    assert_int_equal(sw_file_save(inside(state, "link"), "x", 1, false, &error), SW_EXISTS);
    assert_false(sw_file_exists(target));
}

static void a_saved_file_has_the_usual_permissions(void **state) {
    const char *path = inside(state, "a.json");
    mode_t mask = umask(022);
    save(path, "x");
    umask(mask);
    struct stat status;
    assert_int_equal(stat(path, &status), 0);
    assert_int_equal(status.st_mode & 0777, 0644);
}

static void what_cannot_be_read_says_why(void **state) {
    char *data = NULL;
    size_t length = 0;
    sw_error error;
    assert_int_equal(sw_file_read(inside(state, "none"), 100, &data, &length, &error),
                     SW_NOT_FOUND);
    assert_non_null(strstr(error.message, "no such file"));
    assert_int_equal(sw_file_read(*state, 100, &data, &length, &error), SW_NOT_READABLE);
    save(inside(state, "empty"), "");
    assert_int_equal(sw_file_read(inside(state, "empty"), 100, &data, &length, &error), SW_EMPTY);
    assert_int_equal(sw_file_read(inside(state, "empty/a"), 100, &data, &length, &error),
                     SW_NOT_FOUND);
    save(inside(state, "ten"), "0123456789");
    assert_int_equal(sw_file_read(inside(state, "ten"), 9, &data, &length, &error), SW_FORMAT);
    assert_non_null(strstr(error.message, "larger than 9 bytes"));
    assert_ok(sw_file_read(inside(state, "ten"), 10, &data, &length, &error), &error);
    free(data);
    assert_null(strchr(error.message, '\n'));
}

static void a_listing_is_sorted_and_without_hidden_files(void **state) {
    static const char *const NAMES[] = {"b.json", "a.json", ".c.json", "d.csv", ".json"};
    for (size_t i = 0; i < sizeof NAMES / sizeof *NAMES; i++)
        save(inside(state, NAMES[i]), "x");
    assert_int_equal(mkdir(inside(state, "e.json"), 0777), 0); /* a folder is no file */
    char **paths = NULL;
    size_t count = 0;
    sw_error error;
    assert_ok(sw_file_list(*state, ".json", &paths, &count, &error), &error);
    assert_int_equal(count, 2);
    assert_string_equal(paths[0], inside(state, "a.json"));
    assert_string_equal(paths[1], inside(state, "b.json"));
    sw_file_list_free(paths, count);
    assert_int_equal(sw_file_list(*state, ".wav", &paths, &count, &error), SW_EMPTY);
    assert_int_equal(sw_file_list(inside(state, "f"), ".wav", &paths, &count, &error),
                     SW_NOT_FOUND);
    assert_int_equal(sw_file_list(inside(state, "d.csv"), ".wav", &paths, &count, &error),
                     SW_NOT_READABLE);
    sw_file_list_free(NULL, 0);
}

static const char *own_path;

static void the_running_program_is_recognised(void **state) {
    assert_true(sw_file_is_program(own_path, own_path));
    assert_int_equal(symlink(own_path, inside(state, "link")), 0);
    assert_true(sw_file_is_program(inside(state, "link"), own_path));
    save(inside(state, "other"), "x");
    assert_false(sw_file_is_program(inside(state, "other"), own_path));
    assert_false(sw_file_is_program(inside(state, "none"), own_path));
}

#define IN_A_FOLDER(test) cmocka_unit_test_setup_teardown(test, make_directory, remove_directory)

int main(int argc, char **argv) {
    (void)argc;
    static char resolved[4096];
    own_path = realpath(argv[0], resolved) != NULL ? resolved : argv[0];
    const struct CMUnitTest tests[] = {
        IN_A_FOLDER(what_was_saved_is_read_back),
        IN_A_FOLDER(a_large_file_is_read_whole),
        IN_A_FOLDER(an_existing_file_is_kept_without_force),
        IN_A_FOLDER(nothing_is_left_beside_the_file),
        IN_A_FOLDER(places_that_cannot_be_written_are_named),
        IN_A_FOLDER(through_a_link_its_target_is_replaced),
        IN_A_FOLDER(a_device_or_a_pipe_is_never_replaced),
        IN_A_FOLDER(a_dangling_link_is_not_written_through),
        IN_A_FOLDER(a_saved_file_has_the_usual_permissions),
        IN_A_FOLDER(what_cannot_be_read_says_why),
        IN_A_FOLDER(a_listing_is_sorted_and_without_hidden_files),
        IN_A_FOLDER(the_running_program_is_recognised),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
