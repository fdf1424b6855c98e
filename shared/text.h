/* A growing string: what the report layer writes into and the command prints. */
#ifndef SPINWORTH_SHARED_TEXT_H
#define SPINWORTH_SHARED_TEXT_H

#include <stddef.h>

typedef struct sw_text {
    char *data; /* NUL-terminated once anything was added; NULL before; owned here */
    size_t length;
    size_t room;
    int failed; /* set when memory ran out; later additions do nothing */
} sw_text;

/* Start from {0}. Release what text owns; it can be used again. */
void sw_text_free(sw_text *text);

/* Release piece, whose words went into whole; whole has failed when piece had. */
void sw_text_carry(sw_text *piece, sw_text *whole);

/* Add, printf style. */
void sw_text_add(sw_text *text, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* Add a paragraph broken at spaces so that lines stay below 80 columns; `indent` spaces stand
 * before every line but the first, which goes on where the text stands. Ends with a newline. */
void sw_text_paragraph(sw_text *text, int indent, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* The string, "" when nothing was added. Valid until the next addition. */
const char *sw_text_string(const sw_text *text);

/* Length of text in columns: UTF-8 continuation bytes do not count. */
size_t sw_text_columns(const char *string);

/* Copy what fits into out, never a part of a letter: cut text stays UTF-8. */
void sw_text_copy(const char *string, char *out, size_t room);

/* One printable line, in place: control characters and bytes that are no UTF-8 become "?". */
void sw_text_make_printable(char *string);

#endif
