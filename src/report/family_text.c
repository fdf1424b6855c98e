#include "src/report/family_text.h"

#include "shared/json_write.h"
#include "src/report/words.h"

#include <math.h>
#include <stdio.h>

/* A table from memory cannot be surer than this. */
static const double SUREST = 0.9;
static const double WORTH_NAMING = 0.3;
static const double PROBABLY = 0.5;
static const double WORTH_LISTING = 0.02;

static int in_ten(double probability) {
    return (int)lround(10 * fmin(probability, SUREST));
}

static void say_merits(const sw_family *family, sw_text *text) {
    sw_text_paragraph(text, 0, ": good for %s; bad for %s. (A guess from a short table, no fact.)",
                      family->good, family->bad);
}

static void say_details(const sw_family_guess *guess, sw_text *text) {
    sw_text line = {0};
    for (size_t i = 0; i < guess->count; i++)
        if (guess->candidate[i].probability >= WORTH_LISTING)
            sw_text_add(&line, "%s %.0f %%, ", guess->candidate[i].name,
                        100 * guess->candidate[i].probability);
    sw_text_paragraph(text, 0, "Families: %ssomething else %.0f %%.", sw_text_string(&line),
                      100 * guess->other);
    sw_text_carry(&line, text);
}

/* Weak magnets, said with care: the ranges are from memory, and other machines exist. */
static void say_low(const sw_family_guess *guess, sw_text *text) {
    char watts[32];
    if (guess == NULL || !guess->low)
        return;
    sw_words_number(guess->watts, 2, watts, sizeof watts);
    sw_text_add(text, "\n");
    sw_text_paragraph(text, 0,
                      "It makes few volts for its ohms: %s W at 1000 rpm (volts squared over four "
                      "times the ohms), where machines of its phases and poles make %g to %g. "
                      "Magnets that lost strength all round would do that; so would a smaller "
                      "machine than the table knows. A hint, no finding: an equal motor that is "
                      "good tells (--like GOOD.json).",
                      watts, guess->usual[0], guess->usual[1]);
}

static void say_guess(const sw_family_guess *guess, bool details, sw_text *text) {
    if (guess == NULL || guess->count == 0)
        return;
    const sw_family *first = &guess->candidate[0];
    if (first->probability < WORTH_NAMING && !details)
        return;
    sw_text_add(text, "\n");
    if (first->probability >= PROBABLY) {
        sw_text_add(text, "Probably %s (%d in 10)", first->called, in_ten(first->probability));
        say_merits(first, text);
    } else if (first->probability >= WORTH_NAMING) {
        sw_text_add(text, "Perhaps %s (%d in 10)", first->called, in_ten(first->probability));
        say_merits(first, text);
    } else {
        sw_text_paragraph(text, 0, "What machine it came off cannot be told from this.");
    }
    if (details)
        say_details(guess, text);
}

void sw_family_text(const sw_family_guess *guess, bool details, sw_text *text) {
    say_guess(guess, details, text);
    say_low(guess, text);
}

cJSON *sw_family_to_json(const sw_family_guess *guess) {
    if (guess == NULL || guess->count == 0)
        return cJSON_CreateNull();
    cJSON *object = cJSON_CreateObject();
    cJSON *list = cJSON_AddArrayToObject(object, "candidates");
    for (size_t i = 0; i < guess->count; i++) {
        if (guess->candidate[i].probability < WORTH_LISTING)
            continue;
        cJSON *row = cJSON_CreateObject();
        cJSON_AddStringToObject(row, "name", guess->candidate[i].name);
        sw_json_add_number(row, "probability", guess->candidate[i].probability);
        cJSON_AddItemToArray(list, row);
    }
    sw_json_add_number(object, "other", guess->other);
    if (guess->usual[0] > 0 && isfinite(guess->watts)) {
        double usual[2] = {guess->usual[0], guess->usual[1]};
        sw_json_add_number(object, "watts_at_1000_rpm", guess->watts);
        cJSON_AddItemToObject(object, "usual_watts", cJSON_CreateDoubleArray(usual, 2));
        cJSON_AddBoolToObject(object, "few_volts", guess->low);
    }
    cJSON_AddStringToObject(object, "good_for", guess->candidate[0].good);
    cJSON_AddStringToObject(object, "bad_for", guess->candidate[0].bad);
    cJSON_AddStringToObject(object, "judged", guess->candidate[0].judged);
    return object;
}
