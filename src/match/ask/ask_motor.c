/* Questions for a motor that was tried with a meter and a drill, without a recording. What nobody
 * read stays unknown in the document, with its reason: a guessed winding would be worth nothing.
 */
#include "src/match/ask/ask.h"

#include "shared/discharge.h"
#include "shared/json_write.h"

#include <math.h>

enum {
    NAME,
    KIND,
    PHASES,
    VOLTS,
    SPEED,
    SPEED_BY,
    MAGNETS,
    OHMS,
    LEADS,
    COGGING,
    MATERIAL,
    DIAMETER,
    LENGTH,
    MASS,
    REWIRE,
    CURRENT,
    FASTEST,
    PLATE,
    QUESTIONS
};

static const sw_ask_choice KINDS[] = {
    {"ac", "AC volts when the shaft is turned"},
    {"dc", "DC volts: it has brushes"},
    {"nothing", "no volts either way, wires tried in pairs"},
    {0},
};

static const sw_ask_choice PHASES_WORDS[] = {
    {"three", "three wires, volts between any two"},
    {"one", "two wires"},
    {"two", "two pairs of wires, as steppers have"},
    {0},
};

static const sw_ask_choice SPEED_WORDS[] = {
    {"tachometer", "a tachometer"},
    {"counted", "turns counted against a clock"},
    {"drill-plate", "what the drill's plate says"},
    {"estimate", "an estimate"},
    {0},
};

/* In the order of sw_magnet_kind, from its second on. */
static const sw_ask_choice MATERIAL_WORDS[] = {
    {"ferrite", "dark grey, dull, like stone: most appliance motors"},
    {"neodymium", "shiny metal coat, small and very strong"},
    {"samarium-cobalt", "as neodymium, but no coat; rare"},
    {"alnico", "bare metal, long pieces; old machines"},
    {0},
};

static const sw_ask_choice REWIRE_WORDS[] = {
    {"no", "the motor stays closed"},
    {"ends-reachable", "the ends of the coils can be reached"},
    {"rewind", "it may be wound anew"},
    {0},
};

/* A drill turns slower than its plate says as soon as it drives anything: common practice, no
 * source. Not known is taken like the plate. */
static const double SPEED_U[] = {0.01, 0.02, 0.15, 0.3};
static const double PLATE_U = 0.15;

/* A hand meter on its AC range at the usual frequencies: common practice, no source. */
static const double METER_U = 0.03;

/* Test leads when nobody shorted them, and the resistance below which they matter. */
static const double LEADS_OHM = 0.2;
static const double LEADS_U_OHM = 0.1;
static const double LEADS_MATTER_OHM = 2;

#define GENERATES 0x3U

static sw_status magnets_fit(const sw_ask_answers *answers, sw_error *error) {
    double magnets = answers->item[MAGNETS].quantity.value;
    if (fmod(magnets, 2) == 0)
        return SW_OK;
    return sw_fail(error, SW_VALUE,
                   "found %g magnets; north and south take turns, so their number is even",
                   magnets);
}

static sw_status leads_fit(const sw_ask_answers *answers, sw_error *error) {
    double leads_ohm = answers->item[LEADS].quantity.value;
    double winding_ohm = answers->item[OHMS].quantity.value;
    if (leads_ohm < winding_ohm)
        return SW_OK;
    return sw_fail(error, SW_VALUE,
                   "found %g ohm for the leads alone, but %g ohm with the winding; the leads must "
                   "be less",
                   leads_ohm, winding_ohm);
}

static const sw_ask_question TABLE[QUESTIONS] = {
    [NAME] = {.key = "name",
              .question = "What do you call this motor?",
              .unknown = "no name",
              .form = SW_ASK_TEXT},
    [KIND] = {.key = "kind",
              .question = "What does the meter show while you turn the shaft?",
              .unknown = "ac",
              .form = SW_ASK_WORD,
              .choices = KINDS},
    [PHASES] = {.key = "phases",
                .question = "Between which wires?",
                .unknown = "left open",
                .form = SW_ASK_WORD,
                .choices = PHASES_WORDS,
                .only_if = 1,
                .of = KIND},
    [VOLTS] = {.key = "volts",
               .question = "How many volts between two wires, nothing connected?",
               .example = "23 V",
               .unknown = "left open: without it there is no answer",
               .form = SW_ASK_QUANTITY,
               .unit = "V",
               .low = 0.01,
               .high = 2000,
               .only_if = GENERATES,
               .of = KIND},
    [SPEED] = {.key = "speed",
               .question = "At which speed of the shaft?",
               .example = "640 rpm, or 48 turns in 10 s",
               .unknown = "left open: without it there is no answer",
               .form = SW_ASK_QUANTITY,
               .unit = "rpm",
               .low = 1,
               .high = 50000,
               .needs = VOLTS},
    [SPEED_BY] = {.key = "speed_by",
                  .question = "How do you know that speed?",
                  .unknown = "as a drill's plate, 30 % either way",
                  .form = SW_ASK_WORD,
                  .choices = SPEED_WORDS,
                  .needs = SPEED},
    [MAGNETS] = {.key = "magnets",
                 .question = "How many magnets go round (poles, north and south counted)?",
                 .example = "48",
                 .unknown = "left open",
                 .form = SW_ASK_COUNT,
                 .low = 2,
                 .high = 400,
                 .only_if = 1,
                 .of = KIND,
                 .fits = magnets_fit},
    [OHMS] = {.key = "winding_resistance",
              .question = "How many ohms between two wires, as the meter shows them?",
              .example = "7.2 ohm",
              .unknown = "left open: without it there is no verdict",
              .form = SW_ASK_QUANTITY,
              .unit = "ohm",
              .low = 0.001,
              .high = 10000,
              .only_if = GENERATES,
              .of = KIND},
    [LEADS] = {.key = "test_leads",
               .question = "How many ohms with the test leads held together?",
               .example = "0.2 ohm",
               .unknown = "0.2 ohm, give or take 0.2, where it matters",
               .form = SW_ASK_QUANTITY,
               .unit = "ohm",
               .low = 0,
               .high = 20,
               .needs = OHMS,
               .fits = leads_fit},
    [COGGING] = {.key = "cogging_torque",
                 .question = "What torque turns it over its magnets (weight times lever)?",
                 .example = "0.15 N m",
                 .unknown = "left open",
                 .form = SW_ASK_QUANTITY,
                 .unit = "N m",
                 .low = 0,
                 .high = 1000,
                 .only_if = GENERATES,
                 .of = KIND},
    [MATERIAL] = {.key = "magnet_kind",
                  .question = "What are its magnets made of?",
                  .unknown = "left open: heat and braking are told for ferrite",
                  .form = SW_ASK_WORD,
                  .choices = MATERIAL_WORDS,
                  .only_if = GENERATES,
                  .of = KIND},
    [DIAMETER] = {.key = "diameter",
                  .question = "How wide is the motor's housing?",
                  .unknown = "left open",
                  .example = "260 mm, or 10 in",
                  .form = SW_ASK_QUANTITY,
                  .unit = "mm",
                  .low = 5,
                  .high = 2000,
                  .only_if = GENERATES,
                  .of = KIND},
    [LENGTH] = {.key = "length",
                .question = "How long is it, without the shaft?",
                .unknown = "left open",
                .example = "60 mm",
                .form = SW_ASK_QUANTITY,
                .unit = "mm",
                .low = 5,
                .high = 2000,
                .needs = DIAMETER},
    [MASS] = {.key = "mass",
              .question = "What does the whole motor weigh?",
              .unknown = "left open",
              .example = "3.5 kg",
              .form = SW_ASK_QUANTITY,
              .unit = "kg",
              .low = 0.01,
              .high = 1000,
              .only_if = GENERATES,
              .of = KIND},
    [REWIRE] = {.key = "can_rewire",
                .question = "May the coils be connected otherwise?",
                .unknown = "no",
                .form = SW_ASK_WORD,
                .choices = REWIRE_WORDS,
                .only_if = GENERATES,
                .of = KIND},
    [CURRENT] = {.key = "current",
                 .question = "How many amps does its winding bear for long?",
                 .example = "5 A",
                 .unknown = "left open",
                 .form = SW_ASK_QUANTITY,
                 .unit = "A",
                 .low = 0.01,
                 .high = 1000,
                 .only_if = GENERATES,
                 .of = KIND},
    [FASTEST] = {.key = "fastest",
                 .question = "How fast may it turn at most?",
                 .example = "2000 rpm",
                 .unknown = "left open",
                 .form = SW_ASK_QUANTITY,
                 .unit = "rpm",
                 .low = 10,
                 .high = 100000,
                 .only_if = GENERATES,
                 .of = KIND},
    [PLATE] = {.key = "nameplate_power",
               .question = "How many watts does its plate say?",
               .example = "300 W",
               .unknown = "left open",
               .form = SW_ASK_QUANTITY,
               .unit = "W",
               .low = 0.1,
               .high = 1e6},
};

static sw_quantity voltage_constant(const sw_ask_answers *answers) {
    const sw_ask_answer *volts = &answers->item[VOLTS];
    const sw_ask_answer *speed = &answers->item[SPEED];
    if (!volts->known || !speed->known)
        return sw_quantity_unknown();
    int by = answers->item[SPEED_BY].word;
    double value = volts->quantity.value / speed->quantity.value;
    double volts_u = sw_quantity_u_or(volts->quantity, METER_U) / volts->quantity.value;
    double speed_u =
        sw_quantity_u_or(speed->quantity, by < 0 ? PLATE_U : SPEED_U[by]) / speed->quantity.value;
    return sw_quantity_of(value, hypot(volts_u, speed_u) * value, "V/rpm");
}

/* Leads are taken off where they matter: when somebody read them, or below 2 ohm. */
static sw_quantity winding_resistance(const sw_ask_answers *answers) {
    const sw_ask_answer *ohms = &answers->item[OHMS];
    const sw_ask_answer *leads = &answers->item[LEADS];
    if (!ohms->known)
        return sw_quantity_unknown();
    double read_ohm = ohms->quantity.value;
    double u_ohm = sw_quantity_u_or(ohms->quantity, 0.02);
    if (leads->known)
        return sw_quantity_of(read_ohm - leads->quantity.value, hypot(u_ohm, 0.05), "ohm");
    if (read_ohm >= LEADS_MATTER_OHM)
        return sw_quantity_of(read_ohm, hypot(u_ohm, LEADS_U_OHM), "ohm");
    double off_ohm = fmin(LEADS_OHM, read_ohm / 2);
    return sw_quantity_of(read_ohm - off_ohm, fmax(LEADS_U_OHM, u_ohm), "ohm");
}

static void add_or_why(cJSON *root, const char *key, sw_quantity quantity, const char *why) {
    sw_json_add_quantity(root, key, quantity);
    if (!sw_quantity_known(quantity))
        sw_json_add_unknown(root, key, why);
}

static void add_phases(const sw_ask_answers *answers, cJSON *root) {
    static const int PHASES_OF[] = {3, 1, 2};
    const sw_ask_answer *phases = &answers->item[PHASES];
    if (phases->known) {
        cJSON_AddNumberToObject(root, "phases", PHASES_OF[phases->word]);
        return;
    }
    cJSON_AddNullToObject(root, "phases");
    sw_json_add_unknown(root, "phases", "nobody said how many");
}

static void add_poles(const sw_ask_answers *answers, cJSON *root) {
    const sw_ask_answer *magnets = &answers->item[MAGNETS];
    if (magnets->known) {
        cJSON_AddNumberToObject(root, "pole_pairs", magnets->quantity.value / 2);
        return;
    }
    cJSON_AddNullToObject(root, "pole_pairs");
    sw_json_add_unknown(root, "pole_pairs", "the magnets were not counted");
}

static void add_limits(const sw_ask_answers *answers, cJSON *root) {
    cJSON *limits = cJSON_AddObjectToObject(root, "limits");
    sw_json_add_quantity(limits, "speed", answers->item[FASTEST].quantity);
    sw_json_add_quantity(limits, "current", answers->item[CURRENT].quantity);
    sw_json_add_quantity(limits, "nameplate_power", answers->item[PLATE].quantity);
}

/* What tells how much heat it sheds and what its magnets bear. */
static void add_body(const sw_ask_answer *item, cJSON *root) {
    const sw_ask_answer *material = &item[MATERIAL];
    if (material->known)
        cJSON_AddStringToObject(root, "magnet_kind", MATERIAL_WORDS[material->word].word);
    add_or_why(root, "diameter", item[DIAMETER].quantity, "not measured");
    add_or_why(root, "length", item[LENGTH].quantity, "not measured");
    add_or_why(root, "mass", item[MASS].quantity, "not weighed");
}

static cJSON *build(const sw_ask_answers *answers) {
    static const char *const KIND_NAMES[] = {"magnet-ac", "brushed", "none"};
    const sw_ask_answer *item = answers->item;
    cJSON *root = sw_json_document("motor");
    cJSON *guessed = cJSON_CreateArray();
    int kind = sw_ask_chosen(&item[KIND], 0, "kind", guessed);
    sw_json_add_text(root, "name", item[NAME].text);
    cJSON_AddStringToObject(root, "kind", KIND_NAMES[kind]);
    if (kind == 0) {
        add_phases(answers, root);
        add_poles(answers, root);
    }
    if (kind < 2) {
        add_or_why(root, "voltage_constant", voltage_constant(answers),
                   "volts at a known speed were not read");
        add_or_why(root, "winding_resistance", winding_resistance(answers),
                   "the winding's ohms were not read");
        add_or_why(root, "cogging_torque", item[COGGING].quantity, "not tried");
        add_body(item, root);
        cJSON_AddStringToObject(
            root, "can_rewire",
            REWIRE_WORDS[sw_ask_chosen(&item[REWIRE], 0, "can_rewire", guessed)].word);
    }
    add_limits(answers, root);
    cJSON_AddItemToObject(root, "guessed", guessed);
    return root;
}

static void remark(const sw_ask_answers *answers, sw_text *text) {
    const sw_ask_answer *item = answers->item;
    if (item[KIND].word == 2)
        sw_text_paragraph(text, 0,
                          "Turn it the other way round too before you call it dead: a geared hub "
                          "freewheels one way. No volts either way means no magnets: it is no "
                          "generator as it stands.");
    else if (!item[VOLTS].known || !item[SPEED].known || !item[OHMS].known)
        sw_text_paragraph(text, 0,
                          "Volts at a known speed and the winding's ohms are what match needs "
                          "most; a recording of the spinning motor (spinworth measure) gives the "
                          "volts best.");
}

const sw_ask_sheet SW_ASK_MOTOR = {
    .document = "motor",
    .about =
        "A few questions about the motor. Unplug it, discharge its capacitor through a "
        "resistor (" SW_DISCHARGE_RESISTOR "; " SW_DISCHARGE_CHECK "), take its controller off.",
    .count = QUESTIONS,
    .question = TABLE,
    .build = build,
    .remark = remark,
};
