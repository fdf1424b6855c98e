/* The grid: how lines are cut, which columns hold values, and where the values begin.
 *
 * Every dialect (delimiter and decimal sign) is tried on a sample of the first lines. Under the
 * right one most lines have numbers in the same columns and no text; text beside them (a block of
 * keys in the leading columns) counts half. A wrong one leaves text in the cells ("1,5;2,5" cut at
 * commas has "5;2" in the middle). Ties go to the earlier row of the table.
 *
 * The values begin at the first line that has all its columns and is followed by such lines: one
 * torn row must not push the beginning past it.
 */
#include "probes/scope/layout.h"
#include "probes/scope/words.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

enum { LOOK_AHEAD = 4 };

static const sw_dialect DIALECTS[] = {
    {0, '.'},   {',', '.'},  {';', '.'}, {'\t', '.'}, {' ', '.'}, {'|', '.'},
    {';', ','}, {'\t', ','}, {' ', ','}, {'|', ','},  {',', ','},
};

typedef struct attempt {
    size_t columns;
    size_t cell[SW_SCOPE_COLUMN_LIMIT];
    size_t width;
    size_t score; /* 2 for a clean line, 1 for one with text beside the values */
    bool too_many;
} attempt;

static bool is_blank(const sw_row *row) {
    for (size_t i = 0; i < row->count; i++)
        if (row->cell[i].length > 0)
            return false;
    return true;
}

static bool holds_value(const sw_row *row, size_t cell, char decimal) {
    double value = 0;
    return cell < row->count && sw_cell_is_value(sw_cell_read(&row->cell[cell], decimal, &value));
}

/* All columns have a value, but for empty cells behind the first. */
static bool is_good(const sw_row *row, const attempt *found, char decimal) {
    if (found->columns == 0 || !holds_value(row, found->cell[0], decimal))
        return false;
    for (size_t c = 1; c < found->columns; c++) {
        bool empty = found->cell[c] < row->count && row->cell[found->cell[c]].length == 0;
        if (!empty && !holds_value(row, found->cell[c], decimal))
            return false;
    }
    return true;
}

static bool has_text(const sw_row *row, char decimal) {
    for (size_t i = 0; i < row->count; i++) {
        double value = 0;
        if (sw_cell_read(&row->cell[i], decimal, &value) == SW_CELL_TEXT)
            return true;
    }
    return false;
}

/* Columns that hold a value in at least half as many lines as the fullest one. */
static void pick_columns(const size_t *filled, size_t lines, attempt *found) {
    size_t most = 0;
    (void)lines;
    for (size_t i = 0; i < SW_CELL_LIMIT; i++)
        most = filled[i] > most ? filled[i] : most;
    for (size_t i = 0; i < SW_CELL_LIMIT && most > 0; i++) {
        if (2 * filled[i] < most)
            continue;
        found->too_many = found->columns == SW_SCOPE_COLUMN_LIMIT;
        if (!found->too_many)
            found->cell[found->columns++] = i;
    }
}

static void try_dialect(const sw_line_list *sample, sw_dialect dialect, attempt *found) {
    size_t filled[SW_CELL_LIMIT] = {0};
    sw_row row;
    *found = (attempt){0};
    for (size_t i = 0; i < sample->count; i++) {
        sw_row_split(sample->line[i].text, sample->line[i].length, dialect.delimiter, &row);
        for (size_t c = 0; c < row.count; c++)
            filled[c] += holds_value(&row, c, dialect.decimal);
    }
    pick_columns(filled, sample->count, found);
    size_t widths[SW_CELL_LIMIT + 1] = {0};
    bool cuts = dialect.delimiter == 0; /* a delimiter that is nowhere is none */
    for (size_t i = 0; i < sample->count; i++) {
        sw_row_split(sample->line[i].text, sample->line[i].length, dialect.delimiter, &row);
        if (!is_good(&row, found, dialect.decimal))
            continue;
        found->score += has_text(&row, dialect.decimal) ? 1 : 2;
        cuts = cuts || row.count > 1;
        widths[row.count]++;
        found->width = widths[row.count] > widths[found->width] ? row.count : found->width;
    }
    if (!cuts)
        found->score = 0;
}

/* "0,128" is one number with a decimal comma or two whole numbers. "-0,5" and "3,05" give the one
 * number away, and so does the same count of two or more digits behind every comma, unless the
 * first part is a row number. */
static bool looks_decimal(const sw_line_list *sample, size_t from) {
    size_t digits = 0;
    size_t lines = 0;
    long last = 0;
    bool even_digits = true;
    bool counts = true;
    for (size_t i = from; i < sample->count; i++) {
        const char *text = sample->line[i].text;
        const char *comma = strchr(text, ',');
        if (comma == NULL || !isdigit((unsigned char)comma[1]))
            continue;
        size_t behind = strspn(comma + 1, "0123456789");
        long whole = strtol(text, NULL, 10);
        if (strncmp(text, "-0,", 3) == 0 || (comma[1] == '0' && behind >= 2))
            return true;
        even_digits = even_digits && (lines == 0 || behind == digits);
        counts = counts && (lines == 0 || whole == last + 1);
        digits = behind;
        last = whole;
        lines++;
    }
    return lines > 2 && even_digits && digits >= 2 && !counts;
}

/* A row of two names above settles it for two columns. */
static bool is_decimal_comma(const sw_line_list *sample, size_t first_row) {
    size_t above = first_row;
    while (above > 0 && sample->line[above - 1].length == 0)
        above--;
    bool two_names = above > 0 && strchr(sample->line[above - 1].text, ',') != NULL;
    return !two_names && looks_decimal(sample, first_row);
}

static bool all_whole(const sw_line_list *sample, const attempt *found) {
    for (size_t i = 0; i < sample->count; i++)
        if (strchr(sample->line[i].text, '.') != NULL)
            return false;
    return found->columns == 2;
}

/* ---- where the values begin ---- */

static bool is_good_line(const sw_line_list *sample, size_t i, sw_dialect dialect,
                         const attempt *found, bool *blank) {
    sw_row row;
    sw_row_split(sample->line[i].text, sample->line[i].length, dialect.delimiter, &row);
    *blank = is_blank(&row);
    return !*blank && is_good(&row, found, dialect.decimal);
}

/* At least half of the next few lines that are not blank are good. */
static bool goes_on(const sw_line_list *sample, size_t from, sw_dialect dialect,
                    const attempt *found) {
    int good = 0;
    int seen = 0;
    for (size_t i = from; i < sample->count && seen < LOOK_AHEAD; i++) {
        bool blank = false;
        good += is_good_line(sample, i, dialect, found, &blank);
        seen += !blank;
    }
    return 2 * good >= seen;
}

static bool find_start(const sw_line_list *sample, sw_dialect dialect, const attempt *found,
                       size_t *start) {
    for (size_t i = 0; i < sample->count; i++) {
        bool blank = false;
        if (is_good_line(sample, i, dialect, found, &blank) &&
            goes_on(sample, i + 1, dialect, found)) {
            *start = i;
            return true;
        }
    }
    return false;
}

static void choose(const sw_line_list *sample, sw_dialect *dialect, attempt *best) {
    *best = (attempt){0};
    for (size_t i = 0; i < sizeof DIALECTS / sizeof *DIALECTS; i++) {
        attempt found;
        try_dialect(sample, DIALECTS[i], &found);
        if (found.score > best->score) {
            *best = found;
            *dialect = DIALECTS[i];
        }
    }
    size_t start = 0;
    if (dialect->delimiter == ',' && dialect->decimal == '.' && all_whole(sample, best) &&
        find_start(sample, *dialect, best, &start) && is_decimal_comma(sample, start)) {
        *dialect = (sw_dialect){0, ','};
        try_dialect(sample, *dialect, best);
    }
}

static void note_decimals(const sw_line_list *sample, sw_scope_layout *layout) {
    for (size_t i = layout->first_row; i < sample->count; i++) {
        sw_row row;
        sw_row_split(sample->line[i].text, sample->line[i].length, layout->dialect.delimiter, &row);
        for (size_t c = 0; c < layout->columns; c++) {
            sw_scope_column *column = &layout->column[c];
            if (column->cell >= row.count)
                continue;
            int decimals = sw_cell_decimals(&row.cell[column->cell], layout->dialect.decimal);
            if (decimals > column->decimals)
                column->decimals = decimals;
        }
    }
}

static bool named_as_sound(const char *name) {
    static const char *const ENDINGS[] = {"wav", "w64", "rf64", "flac", "aiff", "aif"};
    const char *dot = strrchr(name, '.');
    char ending[8] = "";
    if (dot != NULL)
        sw_plain_words(dot, strlen(dot), ending, sizeof ending);
    for (size_t i = 0; i < sizeof ENDINGS / sizeof *ENDINGS; i++)
        if (strcmp(ending, ENDINGS[i]) == 0)
            return true;
    return false;
}

static sw_status no_numbers(const char *name, size_t lines, sw_error *error) {
    if (named_as_sound(name))
        return sw_fail(error, SW_FORMAT,
                       "%s: is named like a sound file, but there is text in it, and no table of "
                       "numbers; record or export it again as WAV or FLAC",
                       name);
    return sw_fail(error, SW_FORMAT,
                   "%s: no rows of numbers in its first %zu line%s; expected a scope's CSV or a "
                   "table of readings",
                   name, lines, lines == 1 ? "" : "s");
}

sw_status sw_scope_find_grid(const sw_line_list *sample, const char *name, sw_scope_layout *layout,
                             sw_error *error) {
    attempt best;
    *layout = (sw_scope_layout){.time = -1, .dialect = {',', '.'}};
    choose(sample, &layout->dialect, &best);
    if (best.score == 0 || !find_start(sample, layout->dialect, &best, &layout->first_row))
        return no_numbers(name, sample->count, error);
    if (best.too_many)
        return sw_fail(error, SW_UNSUPPORTED, "%s: more than %d columns of numbers", name,
                       SW_SCOPE_COLUMN_LIMIT);
    layout->width = best.width;
    layout->columns = best.columns;
    layout->first_line = sample->line[layout->first_row].number;
    for (size_t c = 0; c < best.columns; c++)
        layout->column[c] =
            (sw_scope_column){.cell = best.cell[c], .unit = {0, 1, ""}, .decimals = -99};
    note_decimals(sample, layout);
    return SW_OK;
}
