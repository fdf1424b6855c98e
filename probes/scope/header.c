/* The lines above the values: a row of names, a row of units, and keys with their values, which
 * may also stand in the leading columns beside the values. */
#include "probes/scope/layout.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* ---- cutting header lines ---- */

static sw_cell without_comment(sw_cell cell) {
    while (cell.length > 0 && strchr(";#%!*/'", cell.text[0]) != NULL) {
        cell.text++;
        cell.length--;
    }
    while (cell.length > 0 && cell.text[0] == ' ') {
        cell.text++;
        cell.length--;
    }
    return cell;
}

/* With spaces as delimiter "CH1 (V)" is one name. */
static void join_brackets(sw_row *row) {
    size_t kept = 0;
    for (size_t i = 0; i < row->count; i++) {
        char first = row->cell[i].length > 0 ? row->cell[i].text[0] : '\0';
        if (kept > 0 && (first == '(' || first == '[')) {
            const char *end = row->cell[i].text + row->cell[i].length;
            row->cell[kept - 1].length = (size_t)(end - row->cell[kept - 1].text);
        } else {
            row->cell[kept++] = row->cell[i];
        }
    }
    row->count = kept;
}

static size_t filled_cells(const sw_row *row) {
    size_t filled = 0;
    for (size_t i = 0; i < row->count; i++)
        filled += row->cell[i].length > 0;
    return filled;
}

/* A header may be cut at another sign than its values. */
static void split_header(const sw_scope_layout *layout, const sw_line *line, sw_row *row) {
    static const char OTHERS[] = {',', ';', '\t', '|'};
    sw_row_split(line->text, line->length, layout->dialect.delimiter, row);
    if (layout->dialect.delimiter == ' ')
        join_brackets(row);
    for (size_t i = 0; i < sizeof OTHERS && filled_cells(row) <= 1 && layout->columns > 1; i++) {
        sw_row other;
        sw_row_split(line->text, line->length, OTHERS[i], &other);
        if (filled_cells(&other) >= layout->columns)
            *row = other;
    }
    if (row->count > 0 && layout->dialect.delimiter != ';')
        row->cell[0] = without_comment(row->cell[0]);
}

/* ---- names and units ---- */

static sw_cell cell_of(const sw_row *row, const sw_scope_layout *layout, size_t c) {
    size_t at = layout->column[c].cell;
    return at < row->count ? row->cell[at] : (sw_cell){"", 0};
}

static bool is_unit_row(const sw_row *row, const sw_scope_layout *layout) {
    size_t filled = 0;
    for (size_t c = 0; c < layout->columns; c++) {
        sw_cell cell = cell_of(row, layout, c);
        if (cell.length > 0 && sw_unit_word(cell.text, cell.length).dimension == SW_DIMENSION_NONE)
            return false;
        filled += cell.length > 0;
    }
    return filled > 0;
}

static bool is_plain_title(const sw_cell *cell) {
    char words[64];
    sw_plain_words(cell->text, cell->length, words, sizeof words);
    return strcmp(words, "waveform data") == 0 || strcmp(words, "data") == 0 ||
           strcmp(words, "values") == 0 || cell->text[0] == '[';
}

/* Text and no numbers in at least half of the columns, and no known key in front. */
static bool is_name_row(const sw_row *row, const sw_scope_layout *layout) {
    size_t texts = 0;
    bool beyond = false; /* a name over another column than the first */
    double scale = 1;
    bool has_unit = false;
    if (row->count == 0 || (row->cell[0].length > 0 && is_plain_title(&row->cell[0])))
        return false;
    sw_header_key key = sw_key_of(&row->cell[0], &scale, &has_unit);
    if (key != SW_KEY_NONE && filled_cells(row) > 1)
        return false;
    for (size_t c = 0; c < layout->columns; c++) {
        sw_cell cell = cell_of(row, layout, c);
        double value = 0;
        sw_cell_kind kind = sw_cell_read(&cell, layout->dialect.decimal, &value);
        if (kind == SW_CELL_NUMBER || memchr(cell.text, '=', cell.length) != NULL)
            return false;
        texts += kind == SW_CELL_TEXT;
        beyond = beyond || (kind == SW_CELL_TEXT && c > 0);
    }
    return 2 * texts >= layout->columns && texts > 0 && (beyond || layout->columns == 1);
}

static void take_units(const sw_row *row, sw_scope_layout *layout) {
    for (size_t c = 0; c < layout->columns; c++) {
        sw_cell cell = cell_of(row, layout, c);
        sw_scope_unit unit = sw_unit_word(cell.text, cell.length);
        if (cell.length > 0 && unit.dimension != SW_DIMENSION_NONE)
            layout->column[c].unit = unit;
    }
}

/* Names that are as many as the columns but do not stand above them are taken in order. */
static bool stands_apart(const sw_row *row, const sw_scope_layout *layout) {
    bool gap = false;
    for (size_t c = 0; c < layout->columns; c++)
        gap = gap || cell_of(row, layout, c).length == 0;
    return gap && filled_cells(row) == layout->columns;
}

static void take_names(const sw_row *row, sw_scope_layout *layout) {
    bool in_order = stands_apart(row, layout);
    size_t next = 0;
    for (size_t c = 0; c < layout->columns; c++) {
        while (in_order && row->cell[next].length == 0)
            next++;
        sw_cell cell = in_order ? row->cell[next++] : cell_of(row, layout, c);
        sw_scope_unit unit;
        sw_scope_column *column = &layout->column[c];
        sw_split_name(&cell, column->name, sizeof column->name, &unit);
        if (column->unit.dimension == SW_DIMENSION_NONE)
            column->unit = unit;
    }
}

/* Upwards from the values: a row of units, if any, and the row of names above it. */
static void read_names(const sw_line_list *sample, sw_scope_layout *layout) {
    bool units = false;
    for (size_t i = layout->first_row; i-- > 0;) {
        sw_row row;
        split_header(layout, &sample->line[i], &row);
        if (filled_cells(&row) == 0)
            continue;
        if (!units && is_unit_row(&row, layout)) {
            take_units(&row, layout);
            units = true;
            continue;
        }
        bool names = is_name_row(&row, layout);
        if (names)
            take_names(&row, layout);
        if (names || sample->line[i].text[0] != '#')
            return;
    }
}

/* ---- keys ---- */

static void take_interval(sw_scope_facts *facts, const sw_cell *key, double value, double half,
                          bool is_rate, bool has_unit) {
    if (facts->interval_s > 0 || !(value > 0))
        return;
    facts->interval_s = is_rate ? 1 / value : value;
    facts->interval_half_digit_s = is_rate ? half / (value * value) : half;
    facts->interval_has_unit = has_unit || is_rate;
    snprintf(facts->key, sizeof facts->key, "%.*s", (int)(key->length < 47 ? key->length : 47),
             key->text);
}

static sw_cell after_label(sw_cell cell) {
    const char *colon = memchr(cell.text, ':', cell.length);
    if (colon == NULL)
        return cell;
    size_t skip = (size_t)(colon + 1 - cell.text);
    return (sw_cell){cell.text + skip, cell.length - skip};
}

static bool take_text(sw_scope_facts *facts, sw_header_key key, const sw_cell *value) {
    if (key == SW_KEY_SOURCE && facts->source[0] == '\0')
        snprintf(facts->source, sizeof facts->source, "%.*s",
                 (int)(value->length < 40 ? value->length : 40), value->text);
    sw_cell plain = after_label(*value);
    sw_scope_unit unit = sw_unit_word(plain.text, plain.length);
    if (key == SW_KEY_UNIT && facts->unit.dimension == SW_DIMENSION_NONE)
        facts->unit = unit;
    return key == SW_KEY_SOURCE || key == SW_KEY_UNIT;
}

/* One key with its value; true when both were understood. */
static bool take_pair(sw_scope_layout *layout, const sw_cell *name, const sw_cell *value_cell) {
    sw_scope_facts *facts = &layout->facts;
    double scale = 1;
    double value = 0;
    double half = 0;
    bool key_unit = false;
    bool value_unit = false;
    sw_header_key key = sw_key_of(name, &scale, &key_unit);
    if (key == SW_KEY_NONE || value_cell->length == 0)
        return false;
    if (take_text(facts, key, value_cell))
        return true;
    if (!sw_key_value(value_cell, key, layout->dialect.decimal, &value, &half, &value_unit))
        return false;
    if (!value_unit) {
        value *= scale;
        half *= scale;
    }
    if (key == SW_KEY_INTERVAL || key == SW_KEY_RATE)
        take_interval(facts, name, value, half, key == SW_KEY_RATE, key_unit || value_unit);
    if (key == SW_KEY_START && isnan(facts->start_s))
        facts->start_s = value;
    if (key == SW_KEY_COUNT && facts->count == 0)
        facts->count = value;
    return true;
}

/* "key=value", "key: value", "key<tab>value" within one piece of text. */
static bool take_joined(sw_scope_layout *layout, sw_cell whole) {
    static const char SIGNS[] = {'=', ':', '\t', ',', ';'};
    whole = without_comment(whole);
    for (size_t i = 0; i < sizeof SIGNS; i++) {
        const char *sign = memchr(whole.text, SIGNS[i], whole.length);
        if (sign == NULL)
            continue;
        sw_cell key = {whole.text, (size_t)(sign - whole.text)};
        sw_row rest;
        sw_row_split(sign + 1, whole.length - key.length - 1, 0, &rest);
        if (take_pair(layout, &key, &rest.cell[0]))
            return true;
    }
    return false;
}

/* The next cell to the right that is not empty. */
static const sw_cell *next_filled(const sw_row *row, size_t from) {
    for (size_t i = from; i < row->count; i++)
        if (row->cell[i].length > 0)
            return &row->cell[i];
    return NULL;
}

static void read_keys_of_row(sw_scope_layout *layout, const sw_row *row) {
    for (size_t i = 0; i < row->count; i++) {
        const sw_cell *cell = &row->cell[i];
        const sw_cell *value = next_filled(row, i + 1);
        if (cell->length == 0)
            continue;
        if (value == NULL || !take_pair(layout, cell, value))
            take_joined(layout, *cell);
    }
}

static bool is_value_column(const sw_scope_layout *layout, size_t cell) {
    for (size_t c = 0; c < layout->columns; c++)
        if (layout->column[c].cell == cell)
            return true;
    return false;
}

/* "Start,Increment" among the names, their numbers in the row below. */
static void read_keys_below(sw_scope_layout *layout, const sw_row *row, const sw_row *below) {
    for (size_t i = 0; i < row->count && i < below->count; i++)
        if (!is_value_column(layout, i))
            take_pair(layout, &row->cell[i], &below->cell[i]);
}

static void read_header_keys(const sw_line_list *sample, sw_scope_layout *layout) {
    sw_row row;
    sw_row below;
    for (size_t i = 0; i < layout->first_row; i++) {
        const sw_line *line = &sample->line[i];
        split_header(layout, line, &row);
        read_keys_of_row(layout, &row);
        take_joined(layout, (sw_cell){line->text, line->length});
        if (i + 1 < sample->count) {
            split_header(layout, &sample->line[i + 1], &below);
            read_keys_below(layout, &row, &below);
        }
    }
}

/* The cells that are no columns of values, beside the first values. */
static void read_side_keys(const sw_line_list *sample, sw_scope_layout *layout) {
    for (size_t i = layout->first_row; i < sample->count; i++) {
        sw_row row;
        sw_row_split(sample->line[i].text, sample->line[i].length, layout->dialect.delimiter, &row);
        for (size_t c = 0; c < layout->columns; c++)
            if (layout->column[c].cell < row.count)
                row.cell[layout->column[c].cell].length = 0;
        if (filled_cells(&row) > 1)
            read_keys_of_row(layout, &row);
    }
}

/* The row right above the values with a number first and text behind is a torn row of values. */
static sw_status check_torn_first(const sw_line_list *sample, const char *name,
                                  const sw_scope_layout *layout, sw_error *error) {
    if (layout->first_row == 0 || layout->columns < 2)
        return SW_OK;
    const sw_line *line = &sample->line[layout->first_row - 1];
    sw_row row;
    sw_row_split(line->text, line->length, layout->dialect.delimiter, &row);
    double value = 0;
    sw_cell first = cell_of(&row, layout, 0);
    if (sw_cell_read(&first, layout->dialect.decimal, &value) != SW_CELL_NUMBER)
        return SW_OK;
    for (size_t c = 1; c < layout->columns; c++) {
        sw_cell cell = cell_of(&row, layout, c);
        if (sw_cell_read(&cell, layout->dialect.decimal, &value) == SW_CELL_TEXT)
            return sw_fail(error, SW_FORMAT,
                           "%s: line %ld, column %zu: found \"%.*s\", expected a number", name,
                           line->number, layout->column[c].cell + 1,
                           (int)(cell.length < 40 ? cell.length : 40), cell.text);
    }
    return SW_OK;
}

/* Twice as many columns of whole numbers as names: each number was cut at its decimal comma. */
static sw_status check_cut_numbers(const sw_line_list *sample, const char *name,
                                   const sw_scope_layout *layout, sw_error *error) {
    if (layout->dialect.delimiter != ',' || layout->first_row == 0 || layout->columns < 4)
        return SW_OK;
    sw_row row;
    split_header(layout, &sample->line[layout->first_row - 1], &row);
    for (size_t c = 0; c < layout->columns; c++)
        if (layout->column[c].decimals != 0)
            return SW_OK;
    if (filled_cells(&row) * 2 != layout->columns || !is_name_row(&row, layout))
        return SW_OK;
    return sw_fail(error, SW_FORMAT,
                   "%s: line %ld: commas both between the columns and inside the numbers; export "
                   "it with semicolons or with decimal points",
                   name, layout->first_line);
}

sw_status sw_scope_read_header(const sw_line_list *sample, const char *name,
                               sw_scope_layout *layout, sw_error *error) {
    layout->facts.start_s = NAN;
    layout->facts.unit = (sw_scope_unit){SW_DIMENSION_NONE, 1, ""};
    sw_status status = check_torn_first(sample, name, layout, error);
    if (status == SW_OK)
        status = check_cut_numbers(sample, name, layout, error);
    if (status != SW_OK)
        return status;
    read_names(sample, layout);
    read_header_keys(sample, layout);
    read_side_keys(sample, layout);
    return SW_OK;
}
