/* What is typed about wires: "1-2 7.2, 2-3 7.1, 4-5 open". Commas part the items where a new pair
 * begins behind them, so that 7,2 may be a number. */
#include "shared/number.h"
#include "shared/text.h"
#include "src/measure/wires/wires.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

enum { ITEM_ROOM = 80 };

static const char *skip_spaces(const char *text) {
    while (isspace((unsigned char)*text))
        text++;
    return text;
}

/* A wire's number at text; 0 when there is none. */
static size_t scan_wire(const char *text, int *wire) {
    size_t length = 0;
    *wire = 0;
    while (isdigit((unsigned char)text[length]) && length < 4) {
        *wire = *wire * 10 + (text[length] - '0');
        length++;
    }
    return length;
}

/* "1-2" at text: its length, 0 when there is none. A dash of any length will do. */
static size_t scan_pair(const char *text, int *a, int *b) {
    static const char *const DASHES[] = {"-", "\u2013", "\u2014", "/", ":"};
    size_t first = scan_wire(text, a);
    if (first == 0)
        return 0;
    for (size_t i = 0; i < sizeof DASHES / sizeof *DASHES; i++) {
        size_t dash = strlen(DASHES[i]);
        if (strncmp(text + first, DASHES[i], dash) != 0)
            continue;
        size_t second = scan_wire(text + first + dash, b);
        return second > 0 ? first + dash + second : 0;
    }
    return 0;
}

static sw_status check_wire(const sw_wires *wires, int wire, const char *item, sw_error *error) {
    if (wire >= 1 && wire <= wires->count)
        return SW_OK;
    return sw_fail(error, SW_VALUE, "\"%.40s\": wire %d does not exist, there are 1 to %d", item,
                   wire, wires->count);
}

/* Cut the next item off at a comma or semicolon behind which a pair begins, or at the end. */
static bool next_item(const char **rest, char item[ITEM_ROOM]) {
    int a;
    int b;
    const char *start = skip_spaces(*rest);
    const char *end = start;
    while (*end != '\0' && *end != ';' && *end != '\n' &&
           !(*end == ',' &&
             (scan_pair(skip_spaces(end + 1), &a, &b) > 0 || *skip_spaces(end + 1) == '\0')))
        end++;
    size_t length = (size_t)(end - start);
    snprintf(item, ITEM_ROOM, "%.*s", (int)(length < ITEM_ROOM ? length : ITEM_ROOM - 1), start);
    *rest = *end == '\0' ? end : end + 1;
    return length > 0;
}

/* The pair at the head of an item; *tail is what follows it. */
static sw_status read_pair(const char *item, sw_wires *wires, sw_wire_pair **pair,
                           const char **tail, sw_error *error) {
    int a = 0;
    int b = 0;
    size_t length = scan_pair(item, &a, &b);
    if (length == 0)
        return sw_fail(error, SW_FORMAT, "found \"%.40s\", expected a pair of wires such as 1-2",
                       item);
    sw_status status = check_wire(wires, a, item, error);
    if (status == SW_OK)
        status = check_wire(wires, b, item, error);
    if (status != SW_OK)
        return status;
    if (a == b)
        return sw_fail(error, SW_VALUE, "\"%.40s\": a pair needs two different wires", item);
    *pair = sw_wires_pair(wires, a - 1, b - 1);
    *tail = skip_spaces(item + length);
    if (**tail == '=' || **tail == ':')
        *tail = skip_spaces(*tail + 1);
    return SW_OK;
}

static bool is_word(const char *text, const char *const *words) {
    for (; *words != NULL; words++) {
        size_t i = 0;
        while ((*words)[i] != '\0' && tolower((unsigned char)text[i]) == (*words)[i])
            i++;
        if ((*words)[i] == '\0' && *skip_spaces(text + i) == '\0')
            return true;
    }
    return false;
}

/* "1.2k" and "1.2M", as meters show them, become "1200 ohm". */
static bool read_shorthand(const char *text, sw_quantity *ohm) {
    size_t length = strlen(text);
    char last = length > 0 ? text[length - 1] : ' ';
    double factor = last == 'k' || last == 'K' ? 1e3 : last == 'M' ? 1e6 : 0;
    double value;
    if (factor <= 0 || (!sw_number_parse(text, length - 1, '.', &value) &&
                        !sw_number_parse(text, length - 1, ',', &value)))
        return false;
    *ohm = sw_quantity_of(value * factor, NAN, "ohm");
    return true;
}

static sw_status read_contact(const char *text, const sw_units *units, sw_wire_pair *pair,
                              sw_error *error) {
    static const char *const OPEN[] = {"open", "ol", "o.l", "0l", "inf", "infinite", NULL};
    static const char *const CLIMBS[] = {"climbs", "climbing", "capacitor", NULL};
    static const char *const UNMEASURED[] = {"?", "unknown", NULL};
    pair->said = true;
    pair->contact = is_word(text, OPEN)         ? SW_CONTACT_OPEN
                    : is_word(text, CLIMBS)     ? SW_CONTACT_CLIMBS
                    : is_word(text, UNMEASURED) ? SW_CONTACT_UNMEASURED
                                                : SW_CONTACT_OHMS;
    if (pair->contact != SW_CONTACT_OHMS || read_shorthand(text, &pair->ohm))
        return SW_OK;
    if (*text == '\0')
        return sw_fail(error, SW_FORMAT, "the ohms are missing, for example 7.2, open or climbs");
    return sw_quantity_parse(units, text, "ohm", &pair->ohm, error);
}

static sw_status read_ohms_item(const char *item, const sw_units *units, sw_wires *wires,
                                sw_error *error) {
    sw_wire_pair *pair = NULL;
    const char *tail = "";
    char name[ITEM_ROOM];
    sw_status status = read_pair(item, wires, &pair, &tail, error);
    if (status != SW_OK)
        return status;
    snprintf(name, sizeof name, "%.*s", (int)strcspn(item, " \t="), item);
    if (pair->said)
        return sw_fail(error, SW_DUPLICATE_KEY, "%s is given twice", name);
    status = read_contact(tail, units, pair, error);
    if (status != SW_OK)
        return sw_fail_within(error, name);
    if (pair->contact == SW_CONTACT_OHMS && !(pair->ohm.value >= 0))
        return sw_fail(error, SW_VALUE, "%s: found %g ohm, expected 0 or more", name,
                       pair->ohm.value);
    return SW_OK;
}

sw_status sw_wires_parse_ohms(const char *text, const sw_units *units, sw_wires *wires,
                              sw_error *error) {
    char item[ITEM_ROOM];
    sw_status status = SW_OK;
    if (!next_item(&text, item))
        return sw_fail(error, SW_FORMAT, "no reading found, expected for example '1-2 7.2'");
    do
        status = read_ohms_item(item, units, wires, error);
    while (status == SW_OK && next_item(&text, item));
    return status;
}

static sw_status read_volts_item(const char *item, const sw_units *units, sw_wires *wires,
                                 sw_error *error) {
    sw_wire_pair *pair = NULL;
    const char *tail = "";
    sw_status status = read_pair(item, wires, &pair, &tail, error);
    if (status != SW_OK)
        return status;
    status = sw_quantity_parse(units, tail, "V", &pair->volts, error);
    if (status == SW_OK && !(pair->volts.value >= 0))
        return sw_fail(error, SW_VALUE, "found %g V, expected AC volts, 0 or more",
                       pair->volts.value);
    return status;
}

sw_status sw_wires_parse_volts(const char *text, const sw_units *units, sw_wires *wires,
                               sw_error *error) {
    char item[ITEM_ROOM];
    sw_status status = SW_OK;
    while (status == SW_OK && next_item(&text, item))
        status = read_volts_item(item, units, wires, error);
    return status;
}

sw_status sw_wires_parse_stiffer(const char *text, sw_answer answer, sw_wires *wires,
                                 sw_error *error) {
    char item[ITEM_ROOM];
    while (next_item(&text, item)) {
        sw_wire_pair *pair = NULL;
        const char *tail = "";
        sw_status status = read_pair(item, wires, &pair, &tail, error);
        if (status != SW_OK)
            return status;
        if (*tail != '\0')
            return sw_fail(error, SW_FORMAT, "found \"%.40s\", expected a pair such as 1-2", item);
        if (pair->stiffer != SW_NOT_SAID && pair->stiffer != answer)
            return sw_fail(error, SW_MISMATCH, "%.40s is said to be both stiffer and not stiffer",
                           item);
        pair->stiffer = answer;
    }
    return SW_OK;
}

static sw_status set_weight(int wire, sw_wire_weight weight, const char *item, sw_wires *wires,
                            sw_error *error) {
    sw_status status = check_wire(wires, wire, item, error);
    if (status != SW_OK)
        return status;
    sw_wire_weight *kept = &wires->weight[wire - 1];
    if (*kept != SW_WEIGHT_NOT_SAID && *kept != weight)
        return sw_fail(error, SW_MISMATCH, "wire %d is said to be both thick and thin", wire);
    *kept = weight;
    return SW_OK;
}

sw_status sw_wires_parse_weight(const char *text, sw_wire_weight weight, sw_wires *wires,
                                sw_error *error) {
    sw_status status = SW_OK;
    while (*(text = skip_spaces(text)) != '\0' && status == SW_OK) {
        int from = 0;
        int to = 0;
        size_t length = scan_pair(text, &from, &to);
        if (length == 0) {
            length = scan_wire(text, &from);
            to = from;
        }
        const char *after = skip_spaces(text + length);
        if (length == 0 || from > to || (*after != '\0' && *after != ',' && *after != ';'))
            return sw_fail(error, SW_FORMAT,
                           "found \"%.40s\", expected numbers of wires such as 1,2,3 or 1-3", text);
        for (int wire = from; wire <= to && status == SW_OK; wire++)
            status = set_weight(wire, weight, text, wires, error);
        text = *after != '\0' ? after + 1 : after;
    }
    return status;
}

sw_status sw_wires_parse_colours(const char *text, sw_wires *wires, sw_error *error) {
    int wire = 0;
    for (bool more = true; more; wire++) {
        size_t length = strcspn(text, ",;");
        const char *start = skip_spaces(text);
        size_t lead = (size_t)(start - text);
        char colour[ITEM_ROOM];
        snprintf(colour, sizeof colour, "%.*s", lead < length ? (int)(length - lead) : 0, start);
        for (size_t end = strlen(colour); end > 0 && colour[end - 1] == ' '; end--)
            colour[end - 1] = '\0';
        if (wire < wires->count) {
            sw_text_copy(colour, wires->colour[wire], sizeof wires->colour[wire]);
            sw_text_make_printable(wires->colour[wire]);
        }
        more = text[length] != '\0';
        text += length + more;
    }
    if (wire != wires->count)
        return sw_fail(error, SW_MISMATCH,
                       "found %d colours for %d wires; leave a gap for one that "
                       "is not known: 'blue,,red'",
                       wire, wires->count);
    return SW_OK;
}
