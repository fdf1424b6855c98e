#include "src/cli/talk.h"

#include "shared/files.h"
#include "shared/platform.h"
#include "shared/text.h"

#include <ctype.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

enum { LINE_ROOM = 400 };

void sw_talk_say(int indent, const char *words) {
    sw_text text = {0};
    sw_text_paragraph(&text, indent, "%s", words);
    (void)fputs(sw_text_string(&text), stderr);
    sw_text_free(&text);
}

/* One line without its end and the blanks around; the rest of a longer one is skipped. */
static sw_line_end read_line(char answer[SW_TALK_ROOM]) {
    char line[LINE_ROOM];
    answer[0] = '\0';
    sw_line_end end = sw_platform_read_line(stdin, line, sizeof line);
    if (end != SW_LINE_READ)
        return end;
    bool whole = strchr(line, '\n') != NULL;
    for (int letter = 0; !whole && letter != '\n' && letter != EOF;)
        letter = getchar();
    const char *from = line;
    while (isspace((unsigned char)*from))
        from++;
    sw_text_copy(from, answer, SW_TALK_ROOM);
    for (size_t last = strlen(answer); last > 0 && isspace((unsigned char)answer[last - 1]);)
        answer[--last] = '\0';
    sw_text_make_printable(answer);
    return SW_LINE_READ;
}

bool sw_talk_is(const char *answer, const char *const *words) {
    char lower[SW_TALK_ROOM];
    size_t i = 0;
    for (; answer[i] != '\0'; i++)
        lower[i] = (char)tolower((unsigned char)answer[i]);
    lower[i] = '\0';
    for (size_t w = 0; words[w] != NULL; w++)
        if (strcmp(lower, words[w]) == 0)
            return true;
    return false;
}

sw_talk_kind sw_talk_ask(const char *prompt, char answer[SW_TALK_ROOM]) {
    static const char *const UNKNOWN[] = {"?",       "don't know",  "dont know", "i don't know",
                                          "unknown", "no idea",     "later",     "not sure",
                                          "dunno",   "cannot tell", "skip",      NULL};
    static const char *const QUIT[] = {"q", "quit", "exit", NULL};
    (void)fprintf(stderr, "%s ", prompt);
    (void)fflush(stderr);
    sw_line_end end = read_line(answer);
    /* what was typed ends the line by itself */
    if (!sw_file_is_terminal(stdin) || end != SW_LINE_READ)
        (void)fputc('\n', stderr);
    if (end != SW_LINE_READ)
        return end == SW_LINE_INTERRUPTED ? SW_TALK_STOP : SW_TALK_END;
    if (sw_talk_is(answer, QUIT))
        return SW_TALK_QUIT;
    return sw_talk_is(answer, UNKNOWN) ? SW_TALK_UNKNOWN : SW_TALK_ANSWER;
}

static sw_status judge(const char *answer, const char *unit, const sw_units *units,
                       const sw_talk_check *check, sw_error *error) {
    sw_quantity value;
    sw_status status = sw_quantity_parse(units, answer, unit, &value, error);
    if (status == SW_OK && check != NULL)
        return check->fits(check->user, answer, error);
    if (status == SW_OK && !(value.value > 0))
        return sw_fail(error, SW_VALUE, "found %g, expected more than 0", value.value);
    return status;
}

sw_talk_kind sw_talk_ask_quantity(const char *prompt, const char *unit, const sw_units *units,
                                  const sw_talk_check *check, char answer[SW_TALK_ROOM]) {
    for (int tries = 0; tries < SW_TALK_TRIES || sw_file_is_terminal(stdin); tries++) {
        sw_error inner = {SW_OK, ""};
        sw_talk_kind kind = sw_talk_ask(prompt, answer);
        if (kind != SW_TALK_ANSWER || answer[0] == '\0')
            return kind;
        if (judge(answer, unit, units, check, &inner) == SW_OK)
            return SW_TALK_ANSWER;
        sw_talk_say(2, inner.message);
    }
    answer[0] = '\0';
    return SW_TALK_UNKNOWN;
}

/* "2", or the second word. */
static int find_choice(const char *answer, const char *const *choices) {
    char number[16];
    for (int i = 0; choices[i] != NULL; i++) {
        snprintf(number, sizeof number, "%d", i + 1);
        const char *const words[] = {number, choices[i], NULL};
        if (sw_talk_is(answer, words))
            return i + 1;
    }
    return 0;
}

sw_talk_kind sw_talk_ask_choice(const char *prompt, const char *const *choices, const char *help,
                                int *chosen) {
    char answer[SW_TALK_ROOM];
    *chosen = 0;
    for (int tries = 0; tries < SW_TALK_TRIES || sw_file_is_terminal(stdin); tries++) {
        sw_talk_kind kind = sw_talk_ask(prompt, answer);
        if (kind != SW_TALK_ANSWER || answer[0] == '\0')
            return kind;
        *chosen = find_choice(answer, choices);
        if (*chosen > 0)
            return SW_TALK_ANSWER;
        char words[300];
        snprintf(words, sizeof words, "  Found \"%.40s\": %s", answer, help);
        sw_talk_say(2, words);
    }
    return SW_TALK_UNKNOWN;
}
