/* record --guide and record on a terminal: questions answered one by one, and Ctrl-C. */
#define _XOPEN_SOURCE 700
#include "tests/support.h"

#include "shared/files.h"

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { ROOM = 60000 };
static char out[ROOM];

static void assert_said(const char *text, const char *words) {
    if (strstr(text, words) == NULL)
        fail_msg("\"%s\" is not in:\n%s", words, text);
}

static pid_t on_terminal(const char *arguments, int *terminal) {
    char command[1500];
    snprintf(command, sizeof command, "cd '%s' && TERM=vt100 exec '%s' %s", support_folder(),
             TEST_SPINWORTH, arguments);
    *terminal = posix_openpt(O_RDWR | O_NOCTTY);
    assert_true(*terminal >= 0 && grantpt(*terminal) == 0 && unlockpt(*terminal) == 0);
    const char *name = ptsname(*terminal);
    assert_non_null(name);
    pid_t child = fork();
    if (child != 0)
        return child;
    setsid();
    int line = open(name, O_RDWR); /* becomes the controlling terminal */
    for (int i = 0; i < 3; i++)
        dup2(line, i);
    execl("/bin/sh", "sh", "-c", command, (char *)NULL);
    _exit(127);
}

/* Read until `words` have come, or to the end when NULL. */
static void read_terminal(int terminal, const char *words) {
    size_t length = strlen(out);
    while (words == NULL || strstr(out, words) == NULL) {
        ssize_t got = read(terminal, out + length, ROOM - 1 - length);
        if (got <= 0)
            break;
        length += (size_t)got;
        out[length] = '\0';
    }
}

/* Until the program waits at the prompt behind `words`: a signal that comes before it waits would
 * end it as any other program. */
static void read_prompt(int terminal, const char *words) {
    const char *from = NULL;
    struct timespec moment = {0, 200000000};
    while ((from = strstr(out, words)) == NULL || strstr(from, "] ") == NULL) {
        size_t length = strlen(out);
        ssize_t got = read(terminal, out + length, ROOM - 1 - length);
        assert_true(got > 0);
        out[length + (size_t)got] = '\0';
    }
    nanosleep(&moment, NULL); /* it has only to call read */
}

static void answer(int terminal, const char *prompt, const char *words) {
    read_terminal(terminal, prompt);
    assert_said(out, prompt);
    assert_true(write(terminal, words, strlen(words)) == (ssize_t)strlen(words));
}

static void a_person_at_a_terminal(void **state) {
    (void)state;
    int terminal = -1;
    int exit_status = 0;
    out[0] = '\0';
    pid_t child = on_terminal("record --guide --simulate drum-48 --fast --coast with-drill "
                              "--about 300rpm drum.wav",
                              &terminal);
    answer(terminal, "1. Unplug", "\n");
    answer(terminal, "2. Disconnect", "\n");
    answer(terminal, "3. Turn the shaft", "\n");
    answer(terminal, "4. Clamp", "\n");
    answer(terminal, "5. Couple", "\n");
    answer(terminal, "6. Two motor wires", "\n");
    answer(terminal, "7. Eyes covered", "\n");
    answer(terminal, "Ohms between", "don't know\n");
    read_terminal(terminal, NULL);
    assert_int_equal(waitpid(child, &exit_status, 0), child);
    assert_true(WIFEXITED(exit_status) && WEXITSTATUS(exit_status) == 0);
    assert_said(out, "\033[1m"); /* the advice stands out */
    assert_said(out, "Saved as drum.json.");
    close(terminal);
}

/* Ctrl-C at a question ends it at once: before the spin nothing was recorded, after it the
 * recording stays and the call that measures it is told. */
static void ctrl_c_at_a_question(void **state) {
    (void)state;
    static const struct {
        const char *prompts[9]; /* the last one gets the Ctrl-C, the others Enter */
        const char *said[2];
        bool recorded;
    } cases[] = {
        {{"1. Unplug", "2. Disconnect", "3. Turn the shaft"}, {"nothing was recorded"}, false},
        {{"1. Unplug", "2. Disconnect", "3. Turn the shaft", "4. Clamp", "5. Couple",
          "6. Two motor wires", "7. Eyes covered", "Ohms between"},
         {"Stopped. The recording is kept in rec.wav", "spinworth measure rec.wav"},
         true},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        int terminal = -1;
        int exit_status = 0;
        out[0] = '\0';
        pid_t child = on_terminal("record --guide --simulate drum-48 --fast --coast with-drill "
                                  "--about 300rpm rec.wav",
                                  &terminal);
        for (size_t k = 0; cases[i].prompts[k] != NULL; k++) {
            bool last = cases[i].prompts[k + 1] == NULL;
            if (last)
                read_prompt(terminal, cases[i].prompts[k]);
            answer(terminal, cases[i].prompts[k], last ? "\003" : "\n");
        }
        read_terminal(terminal, NULL);
        assert_int_equal(waitpid(child, &exit_status, 0), child);
        assert_true(WIFEXITED(exit_status) && WEXITSTATUS(exit_status) == 0);
        for (size_t k = 0; k < 2 && cases[i].said[k] != NULL; k++)
            assert_said(out, cases[i].said[k]);
        assert_int_equal(sw_file_exists(support_at("rec.wav")), cases[i].recorded);
        assert_false(sw_file_exists(support_at("rec.json")));
        close(terminal);
    }
}

/* In real time; Ctrl-C keeps what was recorded. */
static void ctrl_c_keeps_the_recording(void **state) {
    (void)state;
    int terminal = -1;
    int exit_status = 0;
    out[0] = '\0';
    pid_t child = on_terminal("record --simulate drum-48 kept.wav", &terminal);
    answer(terminal, "  0.5 s", "\003");
    read_terminal(terminal, NULL);
    assert_int_equal(waitpid(child, &exit_status, 0), child);
    assert_true(WIFEXITED(exit_status) && WEXITSTATUS(exit_status) == 0);
    assert_true(sw_file_exists(support_at("kept.wav")) &&
                sw_file_exists(support_at("kept.wav.json")));
    close(terminal);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_person_at_a_terminal),
        cmocka_unit_test(ctrl_c_at_a_question),
        cmocka_unit_test(ctrl_c_keeps_the_recording),
    };
    return cmocka_run_group_tests(tests, support_folder_setup, support_folder_teardown);
}
