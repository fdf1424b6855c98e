/* Questions for a load. A battery's resistance is not asked: its kind and size give it, by the
 * table of batteries, good to a factor of two. */
#include "src/match/ask/ask.h"

#include "shared/json_write.h"

enum {
    NAME,
    KIND,
    CHEMISTRY,
    VOLTS,
    CAPACITY,
    WHEN_FULL,
    RESISTOR,
    INPUT,
    INPUT_MOST,
    DIODE,
    CABLE_LENGTH,
    CABLE_AREA,
    STANDBY,
    QUESTIONS
};

enum { BATTERY, RESISTANCE, CONVERTER };

#define ONLY(word) .only_if = 1U << (word), .of = KIND

static const sw_ask_choice KINDS[] = {
    {"battery", "charged through the rectifier"},
    {"resistor", "a heater"},
    {"converter", "a charge controller or inverter with an input of its own"},
    {0},
};

static const sw_ask_choice CHEMISTRIES[] = {
    {"lead", "car or forklift kind, with caps to fill"},
    {"agm", "lead, sealed, glass mat"},
    {"gel", "lead, sealed, gel"},
    {"lifepo4", "iron phosphate"},
    {"tool-pack", "lithium, three cells"},
    {"bicycle-pack", "lithium, ten cells, 36 V"},
    {"nimh", "nickel, ten cells"},
    {0},
};

static const char *const ROWS[] = {"lead",      "lead-agm",   "lead-gel", "lifepo4",
                                   "li-ion-3s", "li-ion-10s", "nimh-10s"};

static const sw_ask_choice ENDS[] = {
    {"disconnect", "a controller or relay cuts it off"},
    {"dump", "a controller sends the rest into a heater"},
    {0},
};

static const sw_ask_choice DIODES[] = {
    {"silicon", "an ordinary bridge block"},
    {"schottky", "Schottky diodes, low drop"},
    {0},
};

static const sw_ask_question TABLE[QUESTIONS] = {
    [NAME] = {.key = "name",
              .question = "What do you call this load?",
              .unknown = "no name",
              .form = SW_ASK_TEXT},
    [KIND] = {.key = "kind",
              .question = "What is fed?",
              .unknown = "battery",
              .form = SW_ASK_WORD,
              .choices = KINDS},
    [CHEMISTRY] = {.key = "battery",
                   .question = "Which kind of battery?",
                   .unknown = "lead",
                   .form = SW_ASK_WORD,
                   .choices = CHEMISTRIES,
                   ONLY(BATTERY)},
    [VOLTS] = {.key = "voltage",
               .question = "Its volts as printed (12, 24, 36, 48)?",
               .example = "24 V",
               .unknown = "one block: 12 V, or the pack's own",
               .form = SW_ASK_QUANTITY,
               .unit = "V",
               .low = 6,
               .high = 400,
               ONLY(BATTERY)},
    [CAPACITY] = {.key = "capacity",
                  .question = "Its size in ampere hours?",
                  .example = "100 Ah",
                  .unknown = "100 Ah; its resistance follows from kind and size",
                  .form = SW_ASK_QUANTITY,
                  .unit = "Ah",
                  .low = 0.05,
                  .high = 1e5,
                  ONLY(BATTERY)},
    [WHEN_FULL] = {.key = "when_full",
                   .question = "What happens when it is full?",
                   .unknown = "disconnect, the worse of the two for the rotor",
                   .form = SW_ASK_WORD,
                   .choices = ENDS,
                   ONLY(BATTERY)},
    [RESISTOR] = {.key = "resistance",
                  .question = "How many ohms has it?",
                  .example = "10 ohm",
                  .unknown = "10 ohm, a wide guess",
                  .form = SW_ASK_QUANTITY,
                  .unit = "ohm",
                  .low = 0.01,
                  .high = 1e5,
                  ONLY(RESISTANCE)},
    [INPUT] = {.key = "input_voltage",
               .question = "At which DC volts does its input work?",
               .example = "24 V",
               .unknown = "24 V, a wide guess",
               .form = SW_ASK_QUANTITY,
               .unit = "V",
               .low = 1,
               .high = 1000,
               ONLY(CONVERTER)},
    [INPUT_MOST] = {.key = "input_max_voltage",
                    .question = "How many volts does its input bear?",
                    .example = "60 V",
                    .unknown = "left out: a storm's volts are not held against it",
                    .form = SW_ASK_QUANTITY,
                    .unit = "V",
                    .low = 1,
                    .high = 5000,
                    ONLY(CONVERTER)},
    [DIODE] = {.key = "diode",
               .question = "Which diodes are in the rectifier?",
               .unknown = "silicon",
               .form = SW_ASK_WORD,
               .choices = DIODES},
    [CABLE_LENGTH] = {.key = "cable_length",
                      .question = "How long is the cable to it, one way?",
                      .example = "12 m, or 40 ft",
                      .unknown = "no cable counted",
                      .form = SW_ASK_QUANTITY,
                      .unit = "m",
                      .low = 0,
                      .high = 10000},
    [CABLE_AREA] = {.key = "cable_area",
                    .question = "How thick is one conductor?",
                    .example = "2.5 mm2, or 14 AWG",
                    .unknown = "2.5 mm2",
                    .form = SW_ASK_QUANTITY,
                    .unit = "mm2",
                    .low = 0.03,
                    .high = 1000,
                    .needs = CABLE_LENGTH},
    [STANDBY] = {.key = "standby_power",
                 .question = "How many watts do controller and lamps take all the time?",
                 .example = "3 W",
                 .unknown = "none",
                 .form = SW_ASK_QUANTITY,
                 .unit = "W",
                 .low = 0,
                 .high = 1e5},
};

static void add_known(const sw_ask_answer *answer, const char *key, cJSON *root) {
    if (answer->known)
        sw_json_add_quantity(root, key, answer->quantity);
}

static void add_battery(const sw_ask_answers *answers, cJSON *root, cJSON *guessed) {
    const sw_ask_answer *item = answers->item;
    int chemistry = sw_ask_chosen(&item[CHEMISTRY], 0, "battery", guessed);
    int when = sw_ask_chosen(&item[WHEN_FULL], 0, "when_full", guessed);
    cJSON_AddStringToObject(root, "battery", ROWS[chemistry]);
    add_known(&item[VOLTS], "voltage", root);
    add_known(&item[CAPACITY], "capacity", root);
    cJSON_AddStringToObject(root, "when_full", ENDS[when].word);
    if (!item[VOLTS].known)
        sw_ask_add_guess(guessed, "voltage");
    if (!item[CAPACITY].known)
        sw_ask_add_guess(guessed, "capacity");
    sw_ask_add_guess(guessed, "resistance");
}

static void add_guessed(const sw_ask_answer *answer, const char *key, double otherwise,
                        const char *unit, cJSON *root, cJSON *guessed) {
    sw_quantity quantity =
        answer->known ? answer->quantity : sw_quantity_of(otherwise, otherwise / 2, unit);
    sw_json_add_quantity(root, key, quantity);
    if (!answer->known)
        sw_ask_add_guess(guessed, key);
}

static void add_kind(const sw_ask_answers *answers, int kind, cJSON *root, cJSON *guessed) {
    const sw_ask_answer *item = answers->item;
    if (kind == BATTERY) {
        add_battery(answers, root, guessed);
    } else if (kind == RESISTANCE) {
        add_guessed(&item[RESISTOR], "resistance", 10, "ohm", root, guessed);
    } else {
        add_guessed(&item[INPUT], "input_voltage", 24, "V", root, guessed);
        add_known(&item[INPUT_MOST], "input_max_voltage", root);
    }
}

static void add_cable(const sw_ask_answers *answers, cJSON *root, cJSON *guessed) {
    const sw_ask_answer *item = answers->item;
    if (!item[CABLE_LENGTH].known)
        return;
    sw_json_add_quantity(root, "cable_length", item[CABLE_LENGTH].quantity);
    add_guessed(&item[CABLE_AREA], "cable_area", 2.5, "mm2", root, guessed);
}

static cJSON *build(const sw_ask_answers *answers) {
    const sw_ask_answer *item = answers->item;
    cJSON *root = sw_json_document("load");
    cJSON *guessed = cJSON_CreateArray();
    int kind = sw_ask_chosen(&item[KIND], BATTERY, "kind", guessed);
    if (item[NAME].known)
        cJSON_AddStringToObject(root, "name", item[NAME].text);
    cJSON_AddStringToObject(root, "kind", KINDS[kind].word);
    add_kind(answers, kind, root, guessed);
    if (item[DIODE].known)
        cJSON_AddStringToObject(root, "diode", DIODES[item[DIODE].word].word);
    else
        sw_ask_add_guess(guessed, "diode");
    add_cable(answers, root, guessed);
    add_known(&item[STANDBY], "standby_power", root);
    cJSON_AddItemToObject(root, "guessed", guessed);
    return root;
}

const sw_ask_sheet SW_ASK_LOAD = {
    .document = "load",
    .about = "A few questions about what the generator feeds.",
    .count = QUESTIONS,
    .question = TABLE,
    .build = build,
};
