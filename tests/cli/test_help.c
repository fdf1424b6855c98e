/* Every command explains itself: a usage line, its options, a worked example, all of it readable
 * in 80 columns. */
#include "tests/support.h"

#include "shared/text.h"

#include <stdio.h>
#include <string.h>

enum { HELP_ROOM = 20000, NAME_ROOM = 32, COMMAND_LIMIT = 32 };

typedef struct command_list {
    size_t count;
    char name[COMMAND_LIMIT][NAME_ROOM];
} command_list;

static void run_help(const char *arguments, char *out) {
    char command[600];
    char err[1000];
    snprintf(command, sizeof command, "%s %s", TEST_SPINWORTH, arguments);
    int exit_status = support_run(command, out, HELP_ROOM, err, sizeof err);
    if (exit_status != 0 || err[0] != '\0')
        fail_msg("spinworth %s: exit status %d, %s", arguments, exit_status, err);
    assert_true(strlen(out) > 10 && strlen(out) < HELP_ROOM - 1);
    assert_int_equal(out[strlen(out) - 1], '\n');
}

/* Lines below 80 columns and without a blank at their ends. */
static void assert_readable(const char *text, const char *what) {
    while (*text != '\0') {
        char line[400];
        size_t length = strcspn(text, "\n");
        snprintf(line, sizeof line, "%.*s", (int)length, text);
        if (sw_text_columns(line) >= 80)
            fail_msg("%s: %zu columns: %s", what, sw_text_columns(line), line);
        if (length > 0 && line[strlen(line) - 1] == ' ')
            fail_msg("%s: a blank at the end of: %s", what, line);
        text += length + (text[length] == '\n');
    }
}

/* The overview's list: two spaces and a name. */
static void list_commands(command_list *list) {
    char out[HELP_ROOM];
    run_help("--help", out);
    list->count = 0;
    for (const char *line = out; line != NULL; line = strchr(line, '\n')) {
        line += *line == '\n';
        if (strncmp(line, "  ", 2) != 0 || line[2] < 'a' || line[2] > 'z')
            continue;
        size_t length = strspn(line + 2, "abcdefghijklmnopqrstuvwxyz");
        assert_true(list->count < COMMAND_LIMIT);
        snprintf(list->name[list->count++], NAME_ROOM, "%.*s", (int)length, line + 2);
    }
    assert_true(list->count > 0);
}

static void the_overview_lists_the_commands(void **state) {
    (void)state;
    static const char *const NAMES[] = {"measure", "deliver", "match", "rank", "simulate"};
    char out[HELP_ROOM];
    command_list list;
    run_help("--help", out);
    assert_readable(out, "spinworth --help");
    assert_non_null(strstr(out, "Usage: spinworth"));
    list_commands(&list);
    for (size_t i = 0; i < sizeof NAMES / sizeof *NAMES; i++) {
        size_t at = 0;
        while (at < list.count && strcmp(list.name[at], NAMES[i]) != 0)
            at++;
        if (at == list.count)
            fail_msg("%s is not listed", NAMES[i]);
    }
    char again[HELP_ROOM];
    run_help("help", again);
    assert_string_equal(again, out);
}

/* After "Example:" stands a line that calls this very command. */
static void assert_worked_example(const char *help, const char *name) {
    char call[64];
    snprintf(call, sizeof call, "spinworth %s ", name);
    const char *example = strstr(help, "\nExample:\n");
    if (example == NULL || strstr(example, call) == NULL)
        fail_msg("%s --help: no worked example", name);
}

static void every_command_has_its_help(void **state) {
    (void)state;
    command_list list;
    list_commands(&list);
    for (size_t i = 0; i < list.count; i++) {
        char arguments[64];
        char usage[64];
        char out[HELP_ROOM];
        char again[HELP_ROOM];
        snprintf(arguments, sizeof arguments, "%s --help", list.name[i]);
        snprintf(usage, sizeof usage, "\nUsage: spinworth %s", list.name[i]);
        run_help(arguments, out);
        assert_readable(out, arguments);
        if (strstr(out, usage) == NULL)
            fail_msg("%s: no usage line", arguments);
        assert_non_null(strstr(out, "\nOptions:\n"));
        assert_non_null(strstr(out, "--json"));
        assert_worked_example(out, list.name[i]);
        snprintf(arguments, sizeof arguments, "help %s", list.name[i]);
        run_help(arguments, again);
        assert_string_equal(again, out);
    }
}

/* --help wins over whatever else is wrong with the call's files. */
static void help_needs_no_files(void **state) {
    (void)state;
    char out[HELP_ROOM];
    run_help("measure no-such-file.wav -h", out);
    assert_non_null(strstr(out, "Usage: spinworth measure"));
}

static void the_version_is_one_line(void **state) {
    (void)state;
    char out[HELP_ROOM];
    run_help("--version", out);
    int major = -1;
    int minor = -1;
    int patch = -1;
    int end = 0;
    int read = sscanf(out, "spinworth %3d.%3d.%3d\n%n", &major, &minor, &patch, &end);
    assert_int_equal(read, 3);
    assert_int_equal(end, strlen(out));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_overview_lists_the_commands),
        cmocka_unit_test(every_command_has_its_help),
        cmocka_unit_test(help_needs_no_files),
        cmocka_unit_test(the_version_is_one_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
