/* Questions for a site: the mean wind from a station, or from what stands around and what moves.
 *
 * Two rough witnesses of the mean wind at some 6 m above ground, each a guess that is right within
 * a factor: the exposure, and what moves on most days (Beaufort's land signs: leaves rustle at 2,
 * move all the time at 3, small branches at 4; the middle of each step stands for it). Both are
 * taken as lognormal and weighted by their width; their errors hang together, so the result is
 * never held better than 25 %. Values of exposure: common practice, no source. */
#include "src/match/ask/ask.h"

#include "shared/json_write.h"

#include <math.h>

enum { NAME, STATION, STATION_HEIGHT, EXPOSURE, LEAVES, HUB, ALTITUDE, STORM, QUESTIONS };

typedef struct witness {
    double mean_m_s;
    double u; /* relative */
    const char *terrain;
} witness;

static const sw_ask_choice EXPOSURES[] = {
    {"sheltered-yard", "houses or trees all round, higher than the rotor"},
    {"suburb", "houses and gardens, rotor about roof height"},
    {"open-field", "fields, few hedges"},
    {"hilltop", "a bare hill or ridge"},
    {"coast", "the sea or a great lake in sight"},
    {0},
};

static const witness EXPOSURE_VALUES[] = {
    {2.2, 0.35, "villages-forest"}, {3.0, 0.3, "villages-forest"}, {4.3, 0.3, "farmland-open"},
    {5.5, 0.3, "farmland-open"},    {5.8, 0.25, "smooth-open"},
};

static const sw_ask_choice LEAVES_WORDS[] = {
    {"still", "on most days smoke rises straight or drifts"},
    {"rustle", "on most days leaves rustle, wind is felt on the face"},
    {"move", "on most days leaves and twigs move all the time"},
    {"branches", "on most days small branches move, dust flies"},
    {0},
};

/* Middles of Beaufort 2, 3, 4 (2.5, 4.4, 6.7 m/s; below them 1.6) over 1.15: what one sees by day
 * is windier than the mean of day and night by some 15 %, common practice, no source. */
static const double LEAVES_M_S[] = {1.4, 2.2, 3.8, 5.8};
static const double LEAVES_U = 0.35;

static const double UNKNOWN_M_S = 3.5;
static const double UNKNOWN_U = 0.5;
static const double LEAST_U = 0.25;

static const char LEAVES_SKETCH[] = "  Look at the trees at about the rotor's height.\n";

static const sw_ask_question TABLE[QUESTIONS] = {
    [NAME] = {.key = "name",
              .question = "What do you call this place?",
              .unknown = "no name",
              .form = SW_ASK_TEXT},
    [STATION] = {.key = "mean_wind",
                 .question = "Do you know its mean wind over the year (a station nearby, a map)?",
                 .example = "4.2 m/s, or 9 mph",
                 .unknown = "it is guessed from the next answers",
                 .form = SW_ASK_QUANTITY,
                 .unit = "m/s",
                 .low = 0.5,
                 .high = 15},
    [STATION_HEIGHT] = {.key = "measured_height",
                        .question = "How high above ground does that wind hold?",
                        .example = "10 m, or 33 ft",
                        .unknown = "10 m, as most stations",
                        .form = SW_ASK_QUANTITY,
                        .unit = "m",
                        .low = 0.5,
                        .high = 200,
                        .needs = STATION},
    [EXPOSURE] = {.key = "exposure",
                  .question = "What is the place like?",
                  .unknown = "anything between a yard and a field, 3.5 m/s give or take all of it",
                  .form = SW_ASK_WORD,
                  .choices = EXPOSURES},
    [LEAVES] = {.key = "leaves",
                .question = "What moves on most days?",
                .sketch = LEAVES_SKETCH,
                .unknown = "left out",
                .form = SW_ASK_WORD,
                .choices = LEAVES_WORDS,
                .unless = STATION},
    [HUB] = {.key = "hub_height",
             .question = "How high above ground is the middle of the rotor?",
             .example = "6 m, or 20 ft",
             .unknown = "6 m",
             .form = SW_ASK_QUANTITY,
             .unit = "m",
             .low = 0.3,
             .high = 100},
    [ALTITUDE] = {.key = "altitude",
                  .question = "How high above the sea is the place?",
                  .example = "350 m",
                  .unknown = "sea level",
                  .form = SW_ASK_QUANTITY,
                  .unit = "m",
                  .low = -400,
                  .high = 5000},
    [STORM] = {.key = "storm_wind",
               .question = "Which gust must it live through?",
               .example = "35 m/s, or 80 mph",
               .unknown = "taken from the mean wind by the class of small turbines",
               .form = SW_ASK_QUANTITY,
               .unit = "m/s",
               .low = 5,
               .high = 120},
};

sw_quantity sw_ask_mean_wind(int exposure, int leaves) {
    double weight = 0;
    double sum = 0;
    if (exposure >= 0) {
        const witness *it = &EXPOSURE_VALUES[exposure];
        weight += 1 / (it->u * it->u);
        sum += log(it->mean_m_s) / (it->u * it->u);
    }
    if (leaves >= 0) {
        weight += 1 / (LEAVES_U * LEAVES_U);
        sum += log(LEAVES_M_S[leaves]) / (LEAVES_U * LEAVES_U);
    }
    if (weight == 0)
        return sw_quantity_of(UNKNOWN_M_S, UNKNOWN_U * UNKNOWN_M_S, "m/s");
    /* Weighted mean of logarithms; u = 1 / sqrt(sum of weights), not below the floor. */
    double mean_m_s = exp(sum / weight);
    return sw_quantity_of(mean_m_s, fmax(LEAST_U, 1 / sqrt(weight)) * mean_m_s, "m/s");
}

static void add_metres(cJSON *root, const char *key, double metres) {
    sw_json_add_quantity(root, key, sw_quantity_of(metres, NAN, "m"));
}

/* A station's mean: 15 % unless said, for another place and other years. */
static void add_station(const sw_ask_answers *answers, cJSON *root, cJSON *guessed) {
    sw_quantity mean = answers->item[STATION].quantity;
    mean.u = sw_quantity_u_or(mean, 0.15);
    sw_json_add_quantity(root, "mean_wind", mean);
    add_metres(root, "measured_height",
               sw_ask_value(&answers->item[STATION_HEIGHT], 10, "measured_height", guessed));
}

static cJSON *build(const sw_ask_answers *answers) {
    const sw_ask_answer *item = answers->item;
    cJSON *root = sw_json_document("site");
    cJSON *guessed = cJSON_CreateArray();
    sw_json_add_text(root, "name", item[NAME].text);
    if (item[STATION].known) {
        add_station(answers, root, guessed);
    } else {
        sw_json_add_quantity(root, "mean_wind",
                             sw_ask_mean_wind(item[EXPOSURE].word, item[LEAVES].word));
        add_metres(root, "measured_height", SW_ASK_WIND_HEIGHT_M);
        sw_ask_add_guess(guessed, "mean_wind");
    }
    if (item[EXPOSURE].known)
        cJSON_AddStringToObject(root, "terrain", EXPOSURE_VALUES[item[EXPOSURE].word].terrain);
    add_metres(root, "hub_height",
               sw_ask_value(&item[HUB], SW_ASK_WIND_HEIGHT_M, "hub_height", guessed));
    add_metres(root, "altitude", sw_ask_value(&item[ALTITUDE], 0, "altitude", guessed));
    if (item[STORM].known)
        sw_json_add_quantity(root, "storm_wind", item[STORM].quantity);
    else
        sw_ask_add_guess(guessed, "storm_wind");
    cJSON_AddItemToObject(root, "guessed", guessed);
    return root;
}

static void remark(const sw_ask_answers *answers, sw_text *text) {
    if (answers->item[STATION].known)
        return;
    sw_quantity mean = sw_ask_mean_wind(answers->item[EXPOSURE].word, answers->item[LEAVES].word);
    sw_text_paragraph(text, 0,
                      "That speaks for a mean wind of about %.1f m/s %.0f m above ground, and "
                      "anything from %.1f to %.1f would be no surprise. A cheap cup anemometer "
                      "with a log of some weeks narrows it most.",
                      mean.value, SW_ASK_WIND_HEIGHT_M, fmax(mean.value - 2 * mean.u, 0.5),
                      mean.value + 2 * mean.u);
}

const sw_ask_sheet SW_ASK_SITE = {
    .document = "site",
    .about = "A few questions about the place and its wind.",
    .count = QUESTIONS,
    .question = TABLE,
    .build = build,
    .remark = remark,
};
