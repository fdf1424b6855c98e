#include "shared/status.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

typedef struct status_row {
    const char *name;
    const char *text;
    int exit_code;
} status_row;

static const status_row ROWS[SW_STATUS_COUNT] = {
    [SW_OK] = {"ok", "Nothing is wrong.", 0},
    [SW_USAGE] = {"usage", "The command was called in a way it does not know.", 2},
    [SW_EXISTS] = {"exists", "The output file is there already.", 2},
    [SW_NOT_FOUND] = {"not_found", "There is no such file, table or name.", 3},
    [SW_NOT_READABLE] = {"not_readable", "The file cannot be read.", 3},
    [SW_EMPTY] = {"empty", "The file has nothing in it.", 3},
    [SW_FORMAT] = {"format", "The file is not in a form that can be read.", 3},
    [SW_VALUE] = {"value", "A value is not a number or is outside its range.", 3},
    [SW_UNIT] = {"unit", "A unit is missing, unknown, or of another kind.", 3},
    [SW_UNKNOWN_KEY] = {"unknown_key", "A key is not one the program knows.", 3},
    [SW_DUPLICATE_KEY] = {"duplicate_key", "A key stands twice.", 3},
    [SW_MISSING_KEY] = {"missing_key", "A key that is needed is not there.", 3},
    [SW_TOO_SHORT] = {"too_short", "There is less data than the question needs.", 3},
    [SW_MISMATCH] = {"mismatch", "Two inputs do not fit each other.", 3},
    [SW_UNSUPPORTED] = {"unsupported", "This is understood but cannot be done here.", 3},
    [SW_NO_CONVERGENCE] = {"no_convergence", "A calculation ended without an answer.", 3},
    [SW_IO] = {"io", "A disk or a pipe failed.", 4},
    [SW_DEVICE] = {"device", "A capture device failed.", 4},
    [SW_MEMORY] = {"memory", "There is not enough memory.", 4},
};

static const status_row *row_of(sw_status status) {
    int known = (int)status >= 0 && status < SW_STATUS_COUNT;
    return &ROWS[known ? status : SW_FORMAT];
}

const char *sw_status_name(sw_status status) {
    return row_of(status)->name;
}

const char *sw_status_text(sw_status status) {
    return row_of(status)->text;
}

int sw_status_exit(sw_status status) {
    return row_of(status)->exit_code;
}

void sw_error_set(sw_error *error, sw_status status, const char *format, ...) {
    if (error == NULL)
        return;
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(error->message, sizeof error->message, format, arguments);
    va_end(arguments);
    error->status = status;
}

sw_status sw_fail_within(sw_error *error, const char *prefix) {
    if (error == NULL)
        return SW_FORMAT;
    char inner[sizeof error->message];
    memcpy(inner, error->message, sizeof inner);
    snprintf(error->message, sizeof error->message, "%.180s: %.400s", prefix, inner);
    return error->status;
}
