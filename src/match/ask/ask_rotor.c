/* Questions for a rotor: vanes by word, sizes, whether one side folds away or hides.
 *
 * Drag vanes on arms become a rotor of kind "cups"; straight aerofoils, two half barrels and a
 * wheel of blades become the published curve that is nearest. Each size or word that is not known
 * takes a usual one, and widens the uncertainty of the power coefficient, since power goes with
 * area times coefficient: common practice, no source. */
#include "src/match/ask/ask.h"

#include "shared/constants.h"
#include "shared/json_write.h"

#include <math.h>

enum {
    NAME,
    SHAPE,
    COUNT,
    VANE_WIDTH,
    VANE_HEIGHT,
    ARM,
    SIDE,
    OVERALL_WIDTH,
    OVERALL_HEIGHT,
    SURFACE,
    RIM,
    BEARING,
    MASS,
    RUN_OUT,
    QUESTIONS
};

enum { HALF_PIPE, CUP, FLAT, VEE, CORRUGATED, AEROFOIL, BARRELS, WHEEL };
enum { SIDE_NO, SIDE_FOLDS, SIDE_HALF, SIDE_MOST };

static const sw_ask_choice SHAPES[] = {
    {"half-pipe", "a pipe or barrel cut lengthwise"},
    {"cup", "a bowl or half ball"},
    {"flat", "a flat board or sheet"},
    {"v", "a sheet bent to a V"},
    {"corrugated", "corrugated sheet"},
    {"aerofoil", "upright wing sections, pulled by lift"},
    {"barrels", "two half barrels that overlap at the shaft"},
    {"wheel", "many blades round a hub that faces the wind"},
    {0},
};

static const sw_ask_choice SIDES[] = {
    {"no", "both sides stand in the wind"},
    {"folds", "the returning vanes fold away edge-on"},
    {"half-hidden", "a screen or wall hides about half of that side"},
    {"hidden", "it hides nearly all of that side"},
    {0},
};

static const char SKETCH[] = "  Seen from above, the wind comes from the left:\n"
                             "    half-pipe      flat       V       corrugated   aerofoil\n"
                             "        __          |          /          \\            __\n"
                             "       (            |         <           /        <__    >\n"
                             "        --          |          \\          \\            --\n";

static const char ARM_SKETCH[] = "  axis o------------[ vane ]\n"
                                 "       |<--- arm ---->|\n";

static const char AREA_SKETCH[] =
    "  Folding or corrugating a sheet adds surface, not swept area; so\n"
    "  the surface is only compared with what the rotor sweeps.\n";

/* Words of SHAPES that become vanes on arms, and the others. */
#define DRAG_SHAPES 0x1FU
#define CURVE_SHAPES 0xE0U

static const double WIDTH_M = 0.3;
static const double HEIGHT_M = 1.0;
static const double OVERALL_M = 1.0;

static double width_of(const sw_ask_answers *answers) {
    return sw_ask_value(&answers->item[VANE_WIDTH], WIDTH_M, NULL, NULL);
}

static double arm_of(const sw_ask_answers *answers) {
    return sw_ask_value(&answers->item[ARM], 1.5 * width_of(answers), NULL, NULL);
}

static sw_status arm_fits(const sw_ask_answers *answers, sw_error *error) {
    double least_m = width_of(answers) / 2;
    if (answers->item[ARM].quantity.value >= least_m)
        return SW_OK;
    return sw_fail(error, SW_VALUE,
                   "found %.4g m, less than half the vane's width (%.4g m): the arm goes from the "
                   "axis to the middle of the vane",
                   answers->item[ARM].quantity.value, least_m);
}

/* Flat vanes are pushed as hard on the way back as on the way out. */
static bool turns_only_sheltered(int shape) {
    return shape == FLAT || shape == CORRUGATED;
}

static sw_status side_fits(const sw_ask_answers *answers, sw_error *error) {
    if (answers->item[SIDE].word != SIDE_NO || !turns_only_sheltered(answers->item[SHAPE].word))
        return SW_OK;
    return sw_fail(error, SW_VALUE,
                   "flat vanes that neither fold nor hide are pushed as hard on the way back as "
                   "on the way out: such a rotor does not turn; say what you could change, folds "
                   "or half-hidden, to see what it would give");
}

static const sw_ask_question TABLE[QUESTIONS] = {
    [NAME] = {.key = "name",
              .question = "What do you call this rotor?",
              .unknown = "no name",
              .form = SW_ASK_TEXT},
    [SHAPE] = {.key = "shape",
               .question = "What are its vanes?",
               .sketch = SKETCH,
               .unknown = "half-pipe, and a wide uncertainty",
               .form = SW_ASK_WORD,
               .choices = SHAPES},
    [COUNT] = {.key = "vanes",
               .question = "How many vanes or blades?",
               .example = "4",
               .unknown = "4 vanes on arms; else as in the published curve",
               .form = SW_ASK_COUNT,
               .low = 1,
               .high = 60},
    [VANE_WIDTH] = {.key = "vane_width",
                    .question = "How wide is one vane, straight across as the wind sees it?",
                    .example = "300 mm, or 12 in",
                    .unknown = "300 mm",
                    .form = SW_ASK_QUANTITY,
                    .unit = "m",
                    .low = 0.01,
                    .high = 20,
                    .only_if = DRAG_SHAPES,
                    .of = SHAPE},
    [VANE_HEIGHT] = {.key = "vane_height",
                     .question = "How high is one vane, along the axis?",
                     .example = "1 m, or 3 ft",
                     .unknown = "1 m",
                     .form = SW_ASK_QUANTITY,
                     .unit = "m",
                     .low = 0.01,
                     .high = 50,
                     .only_if = DRAG_SHAPES,
                     .of = SHAPE},
    [ARM] = {.key = "arm",
             .question = "How long is the arm, from the axis to the middle of a vane?",
             .sketch = ARM_SKETCH,
             .example = "450 mm, or 18 in",
             .unknown = "1.5 times the vane's width",
             .form = SW_ASK_QUANTITY,
             .unit = "m",
             .low = 0.01,
             .high = 50,
             .only_if = DRAG_SHAPES,
             .of = SHAPE,
             .fits = arm_fits},
    [SIDE] = {.key = "side",
              .question = "Does the side that comes back fold away or hide from the wind?",
              .unknown = "no (flat vanes: they fold), and a wide uncertainty",
              .form = SW_ASK_WORD,
              .choices = SIDES,
              .only_if = DRAG_SHAPES,
              .of = SHAPE,
              .fits = side_fits},
    [OVERALL_WIDTH] = {.key = "width",
                       .question = "How wide is the whole rotor, tip to tip?",
                       .example = "1.2 m, or 4 ft",
                       .unknown = "1 m",
                       .form = SW_ASK_QUANTITY,
                       .unit = "m",
                       .low = 0.05,
                       .high = 100,
                       .only_if = CURVE_SHAPES,
                       .of = SHAPE},
    [OVERALL_HEIGHT] = {.key = "height",
                        .question = "How high is the whole rotor, along the axis?",
                        .example = "1 m, or 3 ft",
                        .unknown = "1 m",
                        .form = SW_ASK_QUANTITY,
                        .unit = "m",
                        .low = 0.05,
                        .high = 100,
                        .only_if = 1U << AEROFOIL | 1U << BARRELS,
                        .of = SHAPE},
    [SURFACE] = {.key = "surface",
                 .question = "How much sheet is in all vanes together?",
                 .sketch = AREA_SKETCH,
                 .example = "2.5 m2, or 27 ft2",
                 .unknown = "left out",
                 .form = SW_ASK_QUANTITY,
                 .unit = "m2",
                 .low = 0.0001,
                 .high = 10000},
    [RIM] = {.key = "rim_diameter",
             .question = "Is there a rim for a wheel to press on? Its diameter?",
             .example = "1900 mm, or 75 in",
             .unknown = "no rim: only chain, belt or a direct drive",
             .form = SW_ASK_QUANTITY,
             .unit = "mm",
             .low = 10,
             .high = 100000},
    [BEARING] =
        {.key = "bearing_torque",
         .question =
             "What torque just keeps it turning (weight times radius of a string wound round it)?",
         .example = "0.4 N m",
         .unknown = "0.05 N m, give or take 0.06",
         .form = SW_ASK_QUANTITY,
         .unit = "N m",
         .low = 0,
         .high = 1000},
    [MASS] = {.key = "vane_mass",
              .question = "What does one vane weigh?",
              .example = "1.5 kg, or 3 lb",
              .unknown = "left out: no pull at its fixings can be told",
              .form = SW_ASK_QUANTITY,
              .unit = "kg",
              .low = 0.001,
              .high = 10000},
    [RUN_OUT] = {.key = "friction_drive.run_out",
                 .question = "Hold a pencil beside the turning rim: how far does the rim move "
                             "either way from its middle?",
                 .example = "3 mm, or 1/8 in",
                 .unknown = "3 mm",
                 .form = SW_ASK_QUANTITY,
                 .unit = "mm",
                 .low = 0,
                 .high = 200,
                 .needs = RIM},
};

static bool on_arms(int shape) {
    return shape < AEROFOIL;
}

/* What each unknown answer adds to the relative uncertainty of power. */
static double power_u(const sw_ask_answers *answers, int shape) {
    static const struct {
        int item;
        double u;
    } ON_ARMS[] = {{SHAPE, 0.4}, {VANE_WIDTH, 0.4}, {VANE_HEIGHT, 0.4}, {ARM, 0.2}, {SIDE, 0.3}},
      CURVES[] = {{OVERALL_WIDTH, 0.4}, {OVERALL_HEIGHT, 0.4}};
    double square = 0.25 * 0.25;
    for (size_t i = 0; on_arms(shape) && i < sizeof ON_ARMS / sizeof *ON_ARMS; i++)
        square += answers->item[ON_ARMS[i].item].known ? 0 : ON_ARMS[i].u * ON_ARMS[i].u;
    for (size_t i = 0; !on_arms(shape) && i < sizeof CURVES / sizeof *CURVES; i++)
        if (!(shape == WHEEL && CURVES[i].item == OVERALL_HEIGHT))
            square += answers->item[CURVES[i].item].known ? 0 : CURVES[i].u * CURVES[i].u;
    return sqrt(square);
}

/* A length nobody measured is good to 40 %, as in power_u. */
static void add_length(cJSON *root, const char *key, const sw_ask_answer *answer, double otherwise,
                       cJSON *guessed) {
    sw_quantity length = answer->quantity;
    if (!answer->known) {
        length = sw_quantity_of(otherwise, 0.4 * otherwise, "m");
        sw_ask_add_guess(guessed, key);
    }
    sw_json_add_quantity(root, key, length);
}

static void add_vanes_on_arms(const sw_ask_answers *answers, int shape, cJSON *root,
                              cJSON *guessed) {
    static const double SHIELDED[] = {
        [SIDE_NO] = 0, [SIDE_FOLDS] = 0.8, [SIDE_HALF] = 0.5, [SIDE_MOST] = 0.9};
    const sw_ask_answer *item = answers->item;
    bool flat = turns_only_sheltered(shape);
    int side = sw_ask_chosen(&item[SIDE], flat ? SIDE_FOLDS : SIDE_NO, "shielded", guessed);
    bool folds = side == SIDE_FOLDS && flat;
    cJSON_AddStringToObject(root, "shape", folds ? "folding-flat" : SHAPES[shape].word);
    cJSON_AddNumberToObject(root, "vanes", sw_ask_value(&item[COUNT], 4, "vanes", guessed));
    add_length(root, "vane_width", &item[VANE_WIDTH], WIDTH_M, guessed);
    add_length(root, "vane_height", &item[VANE_HEIGHT], HEIGHT_M, guessed);
    add_length(root, "arm", &item[ARM], arm_of(answers), guessed);
    sw_json_add_number(root, "shielded", folds ? 0 : SHIELDED[side]);
}

static void add_curve(const sw_ask_answers *answers, int shape, cJSON *root, cJSON *guessed) {
    const sw_ask_answer *item = answers->item;
    if (item[COUNT].known)
        cJSON_AddNumberToObject(root, "vanes", item[COUNT].quantity.value);
    add_length(root, "width", &item[OVERALL_WIDTH], OVERALL_M, guessed);
    sw_quantity half = item[OVERALL_WIDTH].quantity;
    half = sw_quantity_of(half.value / 2, half.u / 2, "m");
    if (shape == WHEEL)
        sw_json_add_quantity(
            root, "radius",
            item[OVERALL_WIDTH].known ? half : sw_quantity_of(OVERALL_M / 2, 0.2 * OVERALL_M, "m"));
    else
        add_length(root, "height", &item[OVERALL_HEIGHT], OVERALL_M, guessed);
}

static const char *table_of(const sw_ask_answers *answers, int shape) {
    const sw_ask_answer *count = &answers->item[COUNT];
    if (shape == AEROFOIL)
        return "h-rotor-3-blade-solidity-0.8";
    if (shape == WHEEL)
        return "multi-blade";
    return count->known && count->quantity.value >= 3 ? "savonius-3-bucket" : "savonius-2-bucket";
}

static void add_plain(const sw_ask_answer *answer, const char *key, cJSON *root) {
    if (answer->known)
        sw_json_add_quantity(root, key, answer->quantity);
}

static cJSON *build(const sw_ask_answers *answers) {
    const sw_ask_answer *item = answers->item;
    cJSON *root = sw_json_document("rotor");
    cJSON *guessed = cJSON_CreateArray();
    int shape = sw_ask_chosen(&item[SHAPE], HALF_PIPE, "shape", guessed);
    cJSON_AddStringToObject(root, "kind", on_arms(shape) ? "cups" : "published");
    /* A published curve's name is its table; the builder's own name goes into the note. */
    sw_json_add_text(root, "name", on_arms(shape) ? item[NAME].text : table_of(answers, shape));
    if (!on_arms(shape))
        sw_json_add_text(root, "note", item[NAME].text);
    if (on_arms(shape))
        add_vanes_on_arms(answers, shape, root, guessed);
    else
        add_curve(answers, shape, root, guessed);
    add_plain(&item[SURFACE], "surface", root);
    add_plain(&item[RIM], "rim_diameter", root);
    add_plain(&item[BEARING], "bearing_torque", root);
    add_plain(&item[MASS], "vane_mass", root);
    if (item[RUN_OUT].known)
        add_plain(&item[RUN_OUT], "run_out", cJSON_AddObjectToObject(root, "friction_drive"));
    if (!item[BEARING].known)
        sw_ask_add_guess(guessed, "bearing_torque");
    sw_json_add_number(root, "power_coefficient_u", power_u(answers, shape));
    sw_ask_add_guess(guessed, "power_coefficient");
    cJSON_AddItemToObject(root, "guessed", guessed);
    return root;
}

static double swept_m2(const sw_ask_answers *answers) {
    const sw_ask_answer *item = answers->item;
    int shape = item[SHAPE].known ? item[SHAPE].word : HALF_PIPE;
    double width_m = sw_ask_value(&item[OVERALL_WIDTH], OVERALL_M, NULL, NULL);
    if (shape == WHEEL)
        return M_PI * width_m * width_m / 4;
    if (on_arms(shape)) /* 2 (arm + width / 2) height */
        return (2 * arm_of(answers) + width_of(answers)) *
               sw_ask_value(&item[VANE_HEIGHT], HEIGHT_M, NULL, NULL);
    return width_m * sw_ask_value(&item[OVERALL_HEIGHT], OVERALL_M, NULL, NULL);
}

static void remark(const sw_ask_answers *answers, sw_text *text) {
    double area_m2 = swept_m2(answers);
    const sw_ask_answer *surface = &answers->item[SURFACE];
    sw_text_paragraph(text, 0, "As it turns, the rotor sweeps %.3g m2 as the wind sees it.",
                      area_m2);
    if (surface->known && surface->quantity.value > area_m2)
        sw_text_paragraph(text, 0,
                          "The sheet has more surface, %.3g m2. That is no mistake in your "
                          "measuring, but only the swept area catches wind: folding or "
                          "corrugating a sheet makes it stiffer and adds surface, not swept area.",
                          surface->quantity.value);
}

const sw_ask_sheet SW_ASK_ROTOR = {
    .document = "rotor",
    .about = "A few questions about the rotor.",
    .count = QUESTIONS,
    .question = TABLE,
    .build = build,
    .remark = remark,
};
