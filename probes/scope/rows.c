#include "probes/scope/layout.h"

static bool is_blank_row(const sw_row *row) {
    for (size_t i = 0; i < row->count; i++)
        if (row->cell[i].length > 0)
            return false;
    return true;
}

static bool is_note(const sw_line *line, char delimiter) {
    char first = line->text[0];
    return first == '#' || first == '%' || (first == ';' && delimiter != ';');
}

static sw_status bad_cell(const char *name, const sw_line *line, size_t column, const sw_cell *cell,
                          const char *expected, sw_error *error) {
    return sw_fail(error, SW_FORMAT, "%s: line %ld, column %zu: found \"%.*s\", expected %s", name,
                   line->number, column + 1, (int)(cell->length < 40 ? cell->length : 40),
                   cell->text, expected);
}

/* Cells beyond the usual width are a sign of a torn or foreign row. */
static sw_status check_extra(const sw_scope_layout *layout, const char *name, const sw_line *line,
                             const sw_row *row, sw_error *error) {
    if (row->too_many)
        return sw_fail(error, SW_FORMAT, "%s: line %ld: found more than %d cells", name,
                       line->number, SW_CELL_LIMIT);
    /* The first row may carry the header's numbers behind its values. */
    bool first = line->number == layout->first_line;
    for (size_t i = layout->width; i < row->count && !first; i++)
        if (row->cell[i].length > 0)
            return bad_cell(name, line, i, &row->cell[i], "the end of the row", error);
    return SW_OK;
}

static sw_status read_cell(const sw_scope_layout *layout, const char *name, const sw_line *line,
                           const sw_row *row, size_t c, double *value, sw_error *error) {
    const sw_scope_column *column = &layout->column[c];
    static const sw_cell ABSENT = {"", 0};
    const sw_cell *cell = column->cell < row->count ? &row->cell[column->cell] : &ABSENT;
    sw_cell_kind kind = sw_cell_read(cell, layout->dialect.decimal, value);
    bool is_time = (int)c == layout->time;
    if (kind == SW_CELL_TEXT || (is_time && kind != SW_CELL_NUMBER))
        return bad_cell(name, line, column->cell, cell, is_time ? "a time" : "a number", error);
    if (column->cell >= row->count)
        return sw_fail(error, SW_FORMAT,
                       "%s: line %ld, column %zu: the row ends before it, expected a number", name,
                       line->number, column->cell + 1);
    return SW_OK;
}

sw_status sw_scope_read_row(const sw_scope_layout *layout, const char *name, const sw_line *line,
                            double *values, sw_row_kind *kind, sw_error *error) {
    sw_row row;
    sw_row_split(line->text, line->length, layout->dialect.delimiter, &row);
    *kind = is_blank_row(&row)                         ? SW_ROW_BLANK
            : is_note(line, layout->dialect.delimiter) ? SW_ROW_NOTE
                                                       : SW_ROW_VALUES;
    if (*kind != SW_ROW_VALUES)
        return SW_OK;
    sw_status status = check_extra(layout, name, line, &row, error);
    for (size_t c = 0; c < layout->columns && status == SW_OK; c++)
        status = read_cell(layout, name, line, &row, c, &values[c], error);
    return status;
}
