#include "shared/status.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

typedef struct status_row {
    const char *name;
    int exit_code;
} status_row;

static const status_row ROWS[SW_STATUS_COUNT] = {
    [SW_OK] = {"ok", 0},
    [SW_USAGE] = {"usage", 2},
    [SW_EXISTS] = {"exists", 2},
    [SW_NOT_FOUND] = {"not_found", 3},
    [SW_NOT_READABLE] = {"not_readable", 3},
    [SW_EMPTY] = {"empty", 3},
    [SW_FORMAT] = {"format", 3},
    [SW_VALUE] = {"value", 3},
    [SW_UNIT] = {"unit", 3},
    [SW_UNKNOWN_KEY] = {"unknown_key", 3},
    [SW_DUPLICATE_KEY] = {"duplicate_key", 3},
    [SW_MISSING_KEY] = {"missing_key", 3},
    [SW_TOO_SHORT] = {"too_short", 3},
    [SW_MISMATCH] = {"mismatch", 3},
    [SW_UNSUPPORTED] = {"unsupported", 3},
    [SW_NO_CONVERGENCE] = {"no_convergence", 3},
    [SW_IO] = {"io", 4},
    [SW_DEVICE] = {"device", 4},
    [SW_MEMORY] = {"memory", 4},
};

static const status_row *row_of(sw_status status) {
    int known = (int)status >= 0 && status < SW_STATUS_COUNT;
    return &ROWS[known ? status : SW_FORMAT];
}

const char *sw_status_name(sw_status status) {
    return row_of(status)->name;
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
