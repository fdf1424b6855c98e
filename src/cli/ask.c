/* ask: a document by plain questions, one line an answer. */
#include "src/match/ask/ask.h"
#include "shared/files.h"
#include "shared/json_write.h"
#include "shared/platform.h"
#include "src/cli/command.h"

#include <stdio.h>
#include <string.h>

enum { LINE_ROOM = 400, TRIES = 20 };

static const sw_option OPTIONS[] = {
    {"--output", "-o", "FILE", "where the document goes"},
    {"--force", NULL, NULL, "write over FILE"},
    {0},
};

static const char EXAMPLE[] = "  spinworth ask site -o yard.json\n"
                              "\n"
                              "  What is the place like?\n"
                              "    1 sheltered-yard  houses or trees all round, ...\n"
                              "    ...\n"
                              "  exposure> suburb\n"
                              "\n"
                              "  What moves on most days?\n"
                              "    ...\n"
                              "  leaves> ?\n";

/* With --json the questions stay unsaid: a program asks, and reads the document. */
typedef struct dialogue {
    const sw_cli *cli;
    const sw_ask_sheet *sheet;
    sw_ask_answers answers;
    bool terminal;
    bool stopped; /* Ctrl-C */
    bool ended;   /* no more lines */
    size_t at;    /* the question it stopped or ended at */
} dialogue;

static bool is_over(const dialogue *it) {
    return it->stopped || it->ended;
}

/* Was anything answered but a name? */
static bool knows_something(const dialogue *it) {
    for (size_t i = 0; i < it->sheet->count; i++)
        if (it->sheet->question[i].form != SW_ASK_TEXT && it->answers.item[i].known)
            return true;
    return false;
}

static sw_status say(const dialogue *it, sw_text *text, sw_error *error) {
    sw_status status = it->cli->json ? SW_OK : sw_cli_print_text(text, error);
    sw_text_free(text);
    return status;
}

static void write_choices(const sw_ask_choice *choices, sw_text *text) {
    for (int i = 0; choices[i].word != NULL; i++)
        sw_text_add(text, "  %2d %-15s %s\n", i + 1, choices[i].word, choices[i].said);
}

static sw_status pose(const dialogue *it, size_t i, sw_error *error) {
    const sw_ask_question *question = &it->sheet->question[i];
    sw_text text = {0};
    sw_text_add(&text, "\n");
    sw_text_paragraph(&text, 0, "%s", question->question);
    if (question->sketch != NULL)
        sw_text_add(&text, "%s", question->sketch);
    if (question->form == SW_ASK_WORD)
        write_choices(question->choices, &text);
    if (question->example != NULL)
        sw_text_add(&text, "  For example %s\n", question->example);
    sw_text_paragraph(&text, 4, "  ? = don't know: %s", question->unknown);
    return say(it, &text, error);
}

/* One line without its end; what is too long is cut, its rest skipped. */
static sw_status read_line(dialogue *it, size_t i, char *line, sw_error *error) {
    sw_text prompt = {0};
    sw_text_add(&prompt, "%s> ", it->sheet->question[i].key);
    sw_status status = say(it, &prompt, error);
    if (status != SW_OK)
        return status;
    sw_line_end end = sw_platform_read_line(stdin, line, LINE_ROOM);
    it->at = i;
    it->stopped = end == SW_LINE_INTERRUPTED;
    it->ended = !it->stopped && end != SW_LINE_READ;
    if (it->stopped || it->ended)
        return SW_OK;
    size_t length = strcspn(line, "\r\n");
    bool whole = strchr(line, '\n') != NULL;
    line[length] = '\0';
    for (int letter = 0; !whole && letter != '\n' && letter != EOF;)
        letter = getchar();
    return SW_OK;
}

static sw_status explain(const dialogue *it, sw_error *inner, sw_error *error) {
    sw_text text = {0};
    sw_text_make_printable(inner->message);
    sw_text_paragraph(&text, 2, "  %s", inner->message);
    return say(it, &text, error);
}

/* Ask until there is an answer; a file or a pipe that never has one comes to an end. */
static sw_status ask_one(dialogue *it, size_t i, sw_error *error) {
    char line[LINE_ROOM];
    sw_error inner = {SW_OK, ""};
    sw_status status = pose(it, i, error);
    for (int tries = 0; status == SW_OK && (it->terminal || tries < TRIES); tries++) {
        status = read_line(it, i, line, error);
        if (status != SW_OK || is_over(it))
            return status;
        if (sw_ask_read(it->sheet, i, line, it->cli->units, &it->answers, &inner) == SW_OK)
            return SW_OK;
        status = explain(it, &inner, error);
    }
    if (status != SW_OK)
        return status;
    return sw_fail(error, SW_VALUE, "question \"%s\": %.400s; asked %d times",
                   it->sheet->question[i].key, inner.message, TRIES);
}

static sw_status ask_all(dialogue *it, sw_error *error) {
    sw_text text = {0};
    sw_text_paragraph(&text, 0,
                      "%s One line an answer, with its unit where there is one. Where you don't "
                      "know, press Enter or type ?",
                      it->sheet->about);
    sw_status status = say(it, &text, error);
    for (size_t i = 0; i < it->sheet->count && status == SW_OK && !is_over(it); i++)
        if (sw_ask_applies(it->sheet, &it->answers, i))
            status = ask_one(it, i, error);
    return status;
}

static void write_guesses(const cJSON *document, sw_text *text) {
    const cJSON *guessed = cJSON_GetObjectItemCaseSensitive(document, "guessed");
    const cJSON *item = NULL;
    sw_text line = {0};
    cJSON_ArrayForEach(item, guessed)
        sw_text_add(&line, "%s%s", line.length == 0 ? "" : ", ", item->valuestring);
    if (line.length > 0)
        sw_text_paragraph(text, 0, "Guessed, not measured: %s.", sw_text_string(&line));
    sw_text_carry(&line, text);
}

static sw_status close_with(const dialogue *it, const cJSON *document, const char *output,
                            sw_error *error) {
    sw_text text = {0};
    if (it->cli->json)
        return sw_cli_print_json(document, error);
    sw_text_add(&text, "\n");
    if (it->sheet->remark != NULL)
        it->sheet->remark(&it->answers, &text);
    write_guesses(document, &text);
    if (is_over(it))
        sw_text_paragraph(&text, 0,
                          "The answers end before question \"%s\" (%zu of %zu): from there on "
                          "everything counts as \"don't know\".",
                          it->sheet->question[it->at].key, it->at + 1, it->sheet->count);
    sw_text_paragraph(&text, 0, "Saved in %s.", output);
    return say(it, &text, error);
}

/* Answers that are worth keeping go on as if the rest was not known; a program that asks with
 * --json can ask again. */
static bool is_kept(const dialogue *it) {
    return !is_over(it) || (!it->cli->json && knows_something(it));
}

static sw_status end_without(const dialogue *it, sw_error *error) {
    if (it->stopped) {
        (void)fputs("\nStopped; nothing was saved.\n", stderr);
        return SW_OK;
    }
    return sw_fail(error, SW_TOO_SHORT,
                   "the answers end before question \"%s\" (%zu of %zu); nothing was saved",
                   it->sheet->question[it->at].key, it->at + 1, it->sheet->count);
}

static sw_status check_call(const sw_cli *cli, const sw_arguments *arguments,
                            const sw_ask_sheet **sheet, sw_error *error) {
    const char *output = sw_argument(arguments, "--output");
    if (arguments->words != 1)
        return sw_fail(error, SW_USAGE, "say which document: motor, rotor, site or load");
    sw_status status = sw_ask_find(arguments->word[0], sheet, error);
    if (status == SW_OK && output == NULL && !cli->json)
        return sw_fail(error, SW_USAGE, "--output is missing, for example -o %s.json",
                       (*sheet)->document);
    if (status == SW_OK && output != NULL)
        status = sw_file_check_target(output, sw_argument_given(arguments, "--force"), error);
    return status;
}

static sw_status run(const sw_cli *cli, const sw_arguments *arguments, sw_error *error) {
    const char *output = sw_argument(arguments, "--output");
    dialogue it = {.cli = cli, .terminal = sw_file_is_terminal(stdin)};
    cJSON *document = NULL;
    sw_status status = check_call(cli, arguments, &it.sheet, error);
    if (status != SW_OK)
        return status;
    sw_ask_init(&it.answers);
    status = ask_all(&it, error);
    if (status == SW_OK && !is_kept(&it))
        return end_without(&it, error);
    if (status == SW_OK)
        status = sw_ask_document(it.sheet, &it.answers, cli->reference_dir, cli->units, &document,
                                 error);
    if (status == SW_OK && output != NULL)
        status = sw_json_save(document, output, sw_argument_given(arguments, "--force"), error);
    if (status == SW_OK)
        status = close_with(&it, document, output, error);
    cJSON_Delete(document);
    return status;
}

const sw_command sw_command_ask = {
    .name = "ask",
    .summary = "plain questions -> a motor, rotor, site or load document",
    .usage = "spinworth ask motor|rotor|site|load -o FILE",
    .about =
        "Asks on the terminal, one line an answer, and writes the document that match and\n"
        "rank read. \"Don't know\" (Enter, or ?) is an answer everywhere: then a usual value\n"
        "counts, with a wide uncertainty, and the document lists it as guessed. Answers may\n"
        "come through a pipe. When they end early, or at Ctrl-C, what was answered is saved\n"
        "and the rest counts as not known. With --json it asks silently and prints the document.",
    .example = EXAMPLE,
    .options = OPTIONS,
    .run = run,
};
