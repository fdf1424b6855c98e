/* Questions whose answers make a motor, rotor, site or load document.
 *
 * The questions are constant tables; an answer is read from one line of text; a sheet turns the
 * answers into a document. Nothing here prints: the dialogue is the command's business. "Don't
 * know" is an answer everywhere: then a stated default counts, and the document's "guessed" names
 * the key. A question may depend on the word chosen in an earlier one.
 */
#ifndef SPINWORTH_MATCH_ASK_H
#define SPINWORTH_MATCH_ASK_H

#include "shared/quantity.h"
#include "shared/status.h"
#include "shared/text.h"

#include <cjson/cJSON.h>
#include <stdbool.h>
#include <stddef.h>

enum { SW_ASK_LIMIT = 20, SW_ASK_TEXT_ROOM = 80 };

typedef enum sw_ask_form {
    SW_ASK_TEXT,
    SW_ASK_WORD,  /* one of choices */
    SW_ASK_COUNT, /* a whole number in [low, high] */
    SW_ASK_QUANTITY
} sw_ask_form;

typedef struct sw_ask_choice {
    const char *word; /* typed, or its number, or its beginning */
    const char *said;
} sw_ask_choice;

typedef struct sw_ask_answers sw_ask_answers;

typedef struct sw_ask_question {
    const char *key; /* short name for messages: "arm" */
    const char *question;
    const char *sketch;  /* lines shown before it, NULL = none */
    const char *example; /* of an answer, NULL = a word of the list, or any text */
    const char *unknown; /* what counts when it is not known */
    sw_ask_form form;
    const sw_ask_choice *choices; /* ends with {0} */
    const char *unit;
    double low;
    double high;
    unsigned only_if; /* bit i: asked only when answer `of` has word i; 0 = always */
    size_t of;        /* index of an earlier question of form word */
    size_t needs;     /* asked only when this earlier one (not the first) is known; 0 = always */
    size_t unless;    /* asked only when this earlier one (not the first) is not; 0 = always */
    /* Does the answer fit the earlier ones? NULL = always. */
    sw_status (*fits)(const sw_ask_answers *answers, sw_error *error);
} sw_ask_question;

typedef struct sw_ask_answer {
    bool known;
    int word; /* index into choices; -1 when not known */
    sw_quantity quantity;
    char text[SW_ASK_TEXT_ROOM];
} sw_ask_answer;

struct sw_ask_answers {
    sw_ask_answer item[SW_ASK_LIMIT];
};

/* One kind of document. */
typedef struct sw_ask_sheet {
    const char *document; /* "rotor" */
    const char *about;    /* a paragraph before the first question */
    size_t count;
    const sw_ask_question *question;
    cJSON *(*build)(const sw_ask_answers *answers);
    /* What the builder should be told about the answers (NULL: nothing ever). */
    void (*remark)(const sw_ask_answers *answers, sw_text *text);
} sw_ask_sheet;

/* "motor", "rotor", "site", "load"; SW_USAGE names them. */
sw_status sw_ask_find(const char *document, const sw_ask_sheet **sheet, sw_error *error);

/* Answers that say "don't know" to everything. */
void sw_ask_init(sw_ask_answers *answers);

/* Is question i asked, given the answers before it? */
bool sw_ask_applies(const sw_ask_sheet *sheet, const sw_ask_answers *answers, size_t i);

/* Read the answer to question i from a line; on failure it stays unknown. */
sw_status sw_ask_read(const sw_ask_sheet *sheet, size_t i, const char *line, const sw_units *units,
                      sw_ask_answers *answers, sw_error *error);

/* The document, read back by the same reader as any other before it is handed out; the caller
 * frees it with cJSON_Delete. */
sw_status sw_ask_document(const sw_ask_sheet *sheet, const sw_ask_answers *answers,
                          const char *reference_dir, const sw_units *units, cJSON **document,
                          sw_error *error);

/* For the sheets. The value of a known answer, else the default; an unknown one adds key to
 * guessed (NULL = do not). */
double sw_ask_value(const sw_ask_answer *answer, double otherwise, const char *key, cJSON *guessed);
int sw_ask_chosen(const sw_ask_answer *answer, int otherwise, const char *key, cJSON *guessed);
void sw_ask_add_guess(cJSON *guessed, const char *key);

/* Mean wind in m/s at SW_ASK_WIND_HEIGHT_M with its uncertainty, from the exposure (index of the
 * site's words) and from what moves in the wind; -1 = not known. */
#define SW_ASK_WIND_HEIGHT_M 6.0
sw_quantity sw_ask_mean_wind(int exposure, int leaves);

extern const sw_ask_sheet SW_ASK_MOTOR;
extern const sw_ask_sheet SW_ASK_ROTOR;
extern const sw_ask_sheet SW_ASK_SITE;
extern const sw_ask_sheet SW_ASK_LOAD;

#endif
