/* Reading whole, saving atomically, listing a folder. */
#define _XOPEN_SOURCE 700

#include "tests/support.h"

#include "shared/files.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

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
    (void)state;
    const char *path = support_at("a.json");
    save(path, "{\"a\": 1}\n");
    assert_holds(path, "{\"a\": 1}\n");
    assert_true(sw_file_exists(path));
    assert_false(sw_file_is_directory(path));
    sw_error error;
    assert_ok(sw_file_check(path, &error), &error);
}

static void a_large_file_is_read_whole(void **state) {
    (void)state;
    enum { LARGE = 300000 };
    char *text = malloc(LARGE + 1);
    assert_non_null(text);
    for (size_t i = 0; i < LARGE; i++)
        text[i] = (char)('a' + i % 26);
    text[LARGE] = '\0';
    save(support_at("large"), text);
    assert_holds(support_at("large"), text);
    text[131072] = '\0'; /* an exact multiple of the reader's first room */
    save(support_at("even"), text);
    assert_holds(support_at("even"), text);
    free(text);
}

static void an_existing_file_is_kept_without_force(void **state) {
    (void)state;
    const char *path = support_at("a.json");
    sw_error error;
    save(path, "old");
    assert_int_equal(sw_file_save(path, "new", 3, false, &error), SW_EXISTS);
    assert_non_null(strstr(error.message, "--force"));
    assert_holds(path, "old");
    assert_ok(sw_file_save(path, "new", 3, true, &error), &error);
    assert_holds(path, "new");
}

static void nothing_is_left_beside_the_file(void **state) {
    (void)state;
    char **paths = NULL;
    size_t count = 0;
    sw_error error;
    save(support_at("a.json"), "1");
    (void)sw_file_save(support_at("a.json"), "2", 1, false, &error);
    (void)sw_file_save(support_at("a.json"), "3", 1, true, &error);
    (void)sw_file_save(support_at("no/such/folder.json"), "4", 1, true, &error);
    assert_ok(sw_file_list(support_folder(), "", &paths, &count, &error), &error);
    assert_int_equal(count, 1);
    sw_file_list_free(paths, count);
}

static void places_that_cannot_be_written_are_named(void **state) {
    (void)state;
    sw_error error;
    assert_int_equal(sw_file_save(support_folder(), "x", 1, true, &error), SW_USAGE);
    assert_non_null(strstr(error.message, "is a directory"));
    assert_int_equal(sw_file_save(support_at("none/a.json"), "x", 1, false, &error), SW_IO);
    assert_non_null(strstr(error.message, "none/a.json"));
    save(support_at("file"), "x");
    assert_int_equal(sw_file_save(support_at("file/a.json"), "x", 1, false, &error), SW_IO);
    assert_int_equal(sw_file_save("/proc/spinworth.json", "x", 1, false, &error), SW_IO);
    char longest[5000];
    memset(longest, 'a', sizeof longest - 1);
    longest[sizeof longest - 1] = '\0';
    assert_int_equal(sw_file_save(longest, "x", 1, false, &error), SW_USAGE);
}

static void through_a_link_its_target_is_replaced(void **state) {
    (void)state;
    sw_error error;
    struct stat status;
    const char *target = support_at("target");
    save(target, "old");
    assert_int_equal(symlink(target, support_at("link")), 0);
    assert_ok(sw_file_save(support_at("link"), "new", 3, true, &error), &error);
    assert_holds(target, "new");
    assert_int_equal(lstat(support_at("link"), &status), 0);
    assert_true(S_ISLNK(status.st_mode));
}

static void a_device_or_a_pipe_is_never_replaced(void **state) {
    (void)state;
    sw_error error;
    struct stat status;
    assert_int_equal(mkfifo(support_at("pipe"), 0600), 0);
    assert_int_equal(sw_file_save(support_at("pipe"), "x", 1, true, &error), SW_USAGE);
    assert_non_null(strstr(error.message, "device or a pipe"));
    assert_int_equal(sw_file_check_target("/dev/null", true, &error), SW_USAGE);
    assert_int_equal(stat(support_at("pipe"), &status), 0);
    assert_true(S_ISFIFO(status.st_mode));
}

/* A dangling link counts as there. */
static void a_dangling_link_is_not_written_through(void **state) {
    (void)state;
    sw_error error;
    const char *target = support_at("gone");
    assert_int_equal(symlink(target, support_at("link")), 0);
    assert_int_equal(sw_file_save(support_at("link"), "x", 1, false, &error), SW_EXISTS);
    assert_false(sw_file_exists(target));
}

static void a_saved_file_has_the_usual_permissions(void **state) {
    (void)state;
    const char *path = support_at("a.json");
    mode_t mask = umask(022);
    save(path, "x");
    umask(mask);
    struct stat status;
    assert_int_equal(stat(path, &status), 0);
    assert_int_equal(status.st_mode & 0777, 0644);
}

static void what_cannot_be_read_says_why(void **state) {
    (void)state;
    char *data = NULL;
    size_t length = 0;
    sw_error error;
    assert_int_equal(sw_file_read(support_at("none"), 100, &data, &length, &error), SW_NOT_FOUND);
    assert_non_null(strstr(error.message, "no such file"));
    assert_int_equal(sw_file_read(support_folder(), 100, &data, &length, &error), SW_NOT_READABLE);
    save(support_at("empty"), "");
    assert_int_equal(sw_file_read(support_at("empty"), 100, &data, &length, &error), SW_EMPTY);
    assert_int_equal(sw_file_read(support_at("empty/a"), 100, &data, &length, &error),
                     SW_NOT_FOUND);
    save(support_at("ten"), "0123456789");
    assert_int_equal(sw_file_read(support_at("ten"), 9, &data, &length, &error), SW_FORMAT);
    assert_non_null(strstr(error.message, "larger than 9 bytes"));
    assert_ok(sw_file_read(support_at("ten"), 10, &data, &length, &error), &error);
    free(data);
    assert_null(strchr(error.message, '\n'));
}

static void a_listing_is_sorted_and_without_hidden_files(void **state) {
    (void)state;
    static const char *const NAMES[] = {"b.json", "a.json", ".c.json", "d.csv", ".json"};
    for (size_t i = 0; i < sizeof NAMES / sizeof *NAMES; i++)
        save(support_at(NAMES[i]), "x");
    assert_int_equal(mkdir(support_at("e.json"), 0777), 0); /* a folder is no file */
    char **paths = NULL;
    size_t count = 0;
    sw_error error;
    assert_ok(sw_file_list(support_folder(), ".json", &paths, &count, &error), &error);
    assert_int_equal(count, 2);
    assert_string_equal(paths[0], support_at("a.json"));
    assert_string_equal(paths[1], support_at("b.json"));
    sw_file_list_free(paths, count);
    assert_int_equal(sw_file_list(support_folder(), ".wav", &paths, &count, &error), SW_EMPTY);
    assert_int_equal(sw_file_list(support_at("f"), ".wav", &paths, &count, &error), SW_NOT_FOUND);
    assert_int_equal(sw_file_list(support_at("d.csv"), ".wav", &paths, &count, &error),
                     SW_NOT_READABLE);
    sw_file_list_free(NULL, 0);
}

static const char *own_path;

static void the_running_program_is_recognised(void **state) {
    (void)state;
    assert_true(sw_file_is_program(own_path, own_path));
    assert_int_equal(symlink(own_path, support_at("link")), 0);
    assert_true(sw_file_is_program(support_at("link"), own_path));
    save(support_at("other"), "x");
    assert_false(sw_file_is_program(support_at("other"), own_path));
    assert_false(sw_file_is_program(support_at("none"), own_path));
}

#define IN_A_FOLDER(test)                                                                          \
    cmocka_unit_test_setup_teardown(test, support_folder_setup, support_folder_teardown)

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
