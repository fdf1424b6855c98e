/* Lines of text from a source, as UTF-8 whatever the file's encoding (UTF-8 with or without byte
 * order mark, UTF-16 either way) and line ends (LF, CRLF, CR). */
#ifndef SPINWORTH_PROBES_SCOPE_LINES_H
#define SPINWORTH_PROBES_SCOPE_LINES_H

#include "probes/source.h"

#include <stdbool.h>

enum { SW_LINE_LIMIT_BYTES = 65536 };

typedef struct sw_line {
    const char *text; /* without its end; NUL-terminated */
    size_t length;
    long number; /* 1 = first */
    bool ended;  /* false: the file stops in this line */
} sw_line;

typedef struct sw_lines sw_lines;

/* The source stays the caller's and must outlive the lines. SW_MEMORY. */
sw_status sw_lines_open(sw_source *source, sw_lines **lines, sw_error *error);
void sw_lines_close(sw_lines *lines);
void sw_lines_rewind(sw_lines *lines);
const char *sw_lines_name(const sw_lines *lines);

/* "UTF-8", "UTF-8 with byte order mark", "UTF-16". */
const char *sw_lines_encoding(const sw_lines *lines);

/* The next line, valid until the next call; *more is false at the end. SW_FORMAT for a line that
 * is too long or holds a NUL byte. */
sw_status sw_lines_next(sw_lines *lines, sw_line *line, bool *more, sw_error *error);

/* Could these bytes be text? */
bool sw_text_likely(const unsigned char *head, size_t length);

/* The first lines of a file, kept. */
typedef struct sw_line_list {
    size_t count;
    sw_line *line; /* owned, their text too */
    char *text;
} sw_line_list;

/* Up to `limit` lines from the start; rewinds. */
sw_status sw_line_list_read(sw_lines *lines, size_t limit, sw_line_list *list, sw_error *error);
void sw_line_list_free(sw_line_list *list);

#endif
