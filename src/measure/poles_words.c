/* Sentences about pole pairs. */
#include "src/measure/poles_parts.h"

#include <stdarg.h>
#include <stdio.h>

void sw_poles_say(sw_pole_pairs *result, const char *format, ...) {
    if (result->evidences >= SW_MOTOR_EVIDENCE_LIMIT)
        return;
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(result->evidence[result->evidences++], SW_MOTOR_TEXT_ROOM, format, arguments);
    va_end(arguments);
}
