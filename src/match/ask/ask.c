#include "src/match/ask/ask.h"

#include "shared/json_read.h"
#include "shared/json_write.h"
#include "shared/motor.h"
#include "src/match/load/load.h"
#include "src/match/rotor/rotor.h"
#include "src/match/site/site.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const sw_ask_sheet *const SHEETS[] = {&SW_ASK_MOTOR, &SW_ASK_ROTOR, &SW_ASK_SITE,
                                             &SW_ASK_LOAD};

sw_status sw_ask_find(const char *document, const sw_ask_sheet **sheet, sw_error *error) {
    for (size_t i = 0; i < sizeof SHEETS / sizeof *SHEETS; i++)
        if (strcmp(SHEETS[i]->document, document) == 0) {
            *sheet = SHEETS[i];
            return SW_OK;
        }
    return sw_fail(error, SW_USAGE, "found \"%.40s\", expected motor, rotor, site or load",
                   document);
}

static const sw_ask_answer NOT_KNOWN = {false, -1, {NAN, NAN, NULL}, ""};

void sw_ask_init(sw_ask_answers *answers) {
    for (size_t i = 0; i < SW_ASK_LIMIT; i++)
        answers->item[i] = NOT_KNOWN;
}

bool sw_ask_applies(const sw_ask_sheet *sheet, const sw_ask_answers *answers, size_t i) {
    const sw_ask_question *question = &sheet->question[i];
    if (question->needs != 0 && !answers->item[question->needs].known)
        return false;
    if (question->unless != 0 && answers->item[question->unless].known)
        return false;
    if (question->only_if == 0)
        return true;
    /* A word not known counts as the first one, which is every sheet's default. */
    int word = answers->item[question->of].word;
    return (question->only_if >> (word < 0 ? 0 : word) & 1U) != 0;
}

/* Letters and digits in lower case, the rest left out: "Half pipe" and "half-pipe" are one. */
static void squeeze(const char *text, char *out, size_t room) {
    size_t used = 0;
    for (; *text != '\0' && used + 1 < room; text++)
        if (isalnum((unsigned char)*text))
            out[used++] = (char)tolower((unsigned char)*text);
    out[used] = '\0';
}

static bool says_unknown(const char *line) {
    static const char *const WORDS[] = {"",        "dontknow", "donotknow", "idontknow",
                                        "unknown", "dunno",    "noidea",    "notknown",
                                        "notsure", "skip",     "dontno",    "na",
                                        "later",   "none",     "canttell",  "cannottell"};
    char word[SW_ASK_TEXT_ROOM];
    squeeze(line, word, sizeof word);
    for (size_t i = 0; i < sizeof WORDS / sizeof *WORDS; i++)
        if (strcmp(WORDS[i], word) == 0)
            return true;
    return false;
}

static sw_status refuse_word(const sw_ask_question *question, const char *line, sw_error *error) {
    sw_text words = {0};
    for (const sw_ask_choice *choice = question->choices; choice->word != NULL; choice++)
        sw_text_add(&words, "%s%s", choice == question->choices ? "" : ", ", choice->word);
    sw_status status = sw_fail(error, SW_VALUE, "found \"%.40s\", expected one of %s, or ?", line,
                               sw_text_string(&words));
    sw_text_free(&words);
    return status;
}

/* The word itself, its number, or a beginning that only one of them has. */
static sw_status read_word(const sw_ask_question *question, const char *line, sw_ask_answer *answer,
                           sw_error *error) {
    char typed[SW_ASK_TEXT_ROOM];
    char word[SW_ASK_TEXT_ROOM];
    char number[16];
    int begins = 0;
    int last = -1;
    squeeze(line, typed, sizeof typed);
    for (int i = 0; question->choices[i].word != NULL; i++) {
        squeeze(question->choices[i].word, word, sizeof word);
        snprintf(number, sizeof number, "%d", i + 1);
        if (strcmp(word, typed) == 0 || strcmp(number, typed) == 0) {
            answer->word = i;
            return SW_OK;
        }
        if (strncmp(word, typed, strlen(typed)) == 0) {
            begins++;
            last = i;
        }
    }
    if (begins != 1)
        return refuse_word(question, line, error);
    answer->word = last;
    return SW_OK;
}

/* What is wrong, with an example of what would be right. */
static sw_status refuse_value(const sw_ask_question *question, sw_status status, const char *why,
                              sw_error *error) {
    return sw_fail(error, status, "%s: type for example %s (? = don't know)", why,
                   question->example);
}

static sw_status read_value(const sw_ask_question *question, const char *line,
                            const sw_units *units, sw_ask_answer *answer, sw_error *error) {
    sw_error inner = {SW_OK, ""};
    const char *unit = question->form == SW_ASK_COUNT ? "1" : question->unit;
    char why[200];
    if (sw_quantity_parse(units, line, unit, &answer->quantity, &inner) != SW_OK) {
        snprintf(why, sizeof why, "\"%.40s\" is no answer here", line);
        return refuse_value(question, inner.status, why, error);
    }
    double value = answer->quantity.value;
    if (question->form == SW_ASK_COUNT && value != floor(value)) {
        snprintf(why, sizeof why, "found %g, expected a whole number", value);
        return refuse_value(question, SW_VALUE, why, error);
    }
    if (value >= question->low && value <= question->high)
        return SW_OK;
    bool plain = question->form == SW_ASK_COUNT;
    snprintf(why, sizeof why, "found %g%s%s, expected %g to %g", value, plain ? "" : " ",
             plain ? "" : unit, question->low, question->high);
    return refuse_value(question, SW_VALUE, why, error);
}

static void read_text(const char *line, sw_ask_answer *answer) {
    while (isspace((unsigned char)*line))
        line++;
    sw_text_copy(line, answer->text, sizeof answer->text);
    sw_text_make_printable(answer->text);
    size_t length = strlen(answer->text);
    while (length > 0 && answer->text[length - 1] == ' ')
        answer->text[--length] = '\0';
}

sw_status sw_ask_read(const sw_ask_sheet *sheet, size_t i, const char *line, const sw_units *units,
                      sw_ask_answers *answers, sw_error *error) {
    const sw_ask_question *question = &sheet->question[i];
    sw_ask_answer *answer = &answers->item[i];
    sw_status status = SW_OK;
    *answer = NOT_KNOWN;
    if (says_unknown(line))
        return SW_OK;
    if (question->form == SW_ASK_TEXT)
        read_text(line, answer);
    else if (question->form == SW_ASK_WORD)
        status = read_word(question, line, answer, error);
    else
        status = read_value(question, line, units, answer, error);
    answer->known = status == SW_OK;
    if (status == SW_OK && question->fits != NULL)
        status = question->fits(answers, error);
    if (status != SW_OK)
        *answer = NOT_KNOWN;
    return status;
}

void sw_ask_add_guess(cJSON *guessed, const char *key) {
    if (key != NULL)
        cJSON_AddItemToArray(guessed, cJSON_CreateString(key));
}

double sw_ask_value(const sw_ask_answer *answer, double otherwise, const char *key,
                    cJSON *guessed) {
    if (answer->known)
        return answer->quantity.value;
    sw_ask_add_guess(guessed, key);
    return otherwise;
}

int sw_ask_chosen(const sw_ask_answer *answer, int otherwise, const char *key, cJSON *guessed) {
    if (answer->known)
        return answer->word;
    sw_ask_add_guess(guessed, key);
    return otherwise;
}

static sw_status check_rotor(const cJSON *root, const char *reference_dir, const sw_units *units,
                             sw_error *error) {
    sw_rotor rotor;
    sw_status status = sw_rotor_parse(root, "the answers", reference_dir, units, &rotor, error);
    if (status == SW_OK)
        sw_rotor_free(&rotor);
    return status;
}

static sw_status check_site(const cJSON *root, const char *reference_dir, const sw_units *units,
                            sw_error *error) {
    sw_site site;
    sw_status status = sw_site_parse(root, "the answers", reference_dir, units, &site, error);
    if (status == SW_OK)
        sw_site_free(&site);
    return status;
}

static sw_status check_motor(const cJSON *root, const sw_units *units, sw_error *error) {
    sw_motor *motor = malloc(sizeof *motor);
    if (motor == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for a motor");
    sw_status status = sw_motor_parse(root, "the answers", units, motor, error);
    free(motor);
    return status;
}

static sw_status check(const sw_ask_sheet *sheet, const cJSON *root, const char *reference_dir,
                       const sw_units *units, sw_error *error) {
    sw_load load;
    if (sheet == &SW_ASK_ROTOR)
        return check_rotor(root, reference_dir, units, error);
    if (sheet == &SW_ASK_SITE)
        return check_site(root, reference_dir, units, error);
    if (sheet == &SW_ASK_MOTOR)
        return check_motor(root, units, error);
    return sw_load_parse(root, "the answers", reference_dir, units, &load, error);
}

sw_status sw_ask_document(const sw_ask_sheet *sheet, const sw_ask_answers *answers,
                          const char *reference_dir, const sw_units *units, cJSON **document,
                          sw_error *error) {
    cJSON *built = sheet->build(answers);
    cJSON *root = NULL;
    char *text = sw_json_print(built);
    cJSON_Delete(built);
    if (text == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for the document");
    sw_status status = sw_json_parse(text, strlen(text), "the answers", &root, error);
    cJSON_free(text);
    if (status == SW_OK)
        status = check(sheet, root, reference_dir, units, error);
    if (status == SW_OK)
        *document = root;
    else
        cJSON_Delete(root);
    return status;
}
