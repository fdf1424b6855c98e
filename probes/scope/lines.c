#include "probes/scope/lines.h"

#include <stdlib.h>
#include <string.h>

enum { BLOCK_BYTES = 65536, END = -1 };

typedef enum encoding { PLAIN, MARKED, UTF16_LITTLE, UTF16_BIG } encoding;

struct sw_lines {
    sw_source *source;
    encoding encoding;
    size_t at;
    size_t filled;
    long number;
    bool after_return; /* a LF right now belongs to the CR before it */
    size_t used;
    char line[SW_LINE_LIMIT_BYTES + 8];
    unsigned char block[BLOCK_BYTES];
};

/* ---- encoding ---- */

static encoding encoding_of(const unsigned char *head, size_t length) {
    if (length >= 3 && memcmp(head, "\xEF\xBB\xBF", 3) == 0)
        return MARKED;
    if (length >= 2 && memcmp(head, "\xFF\xFE", 2) == 0)
        return UTF16_LITTLE;
    if (length >= 2 && memcmp(head, "\xFE\xFF", 2) == 0)
        return UTF16_BIG;
    if (length >= 4 && head[0] != 0 && head[1] == 0 && head[2] != 0 && head[3] == 0)
        return UTF16_LITTLE;
    return PLAIN;
}

static size_t mark_length(encoding found, const unsigned char *head) {
    if (found == MARKED)
        return 3;
    return found != PLAIN && (head[0] == 0xFF || head[0] == 0xFE) ? 2 : 0;
}

bool sw_text_likely(const unsigned char *head, size_t length) {
    encoding found = encoding_of(head, length);
    size_t odd = 0;
    if (found == UTF16_LITTLE || found == UTF16_BIG)
        return true;
    for (size_t i = 0; i < length; i++) {
        if (head[i] == 0)
            return false;
        odd += (head[i] < 32 && strchr("\t\n\r\f\x1A", head[i]) == NULL) || head[i] == 127;
    }
    return odd * 100 <= length;
}

/* ---- bytes ---- */

static int next_byte(sw_lines *lines) {
    if (lines->at == lines->filled) {
        lines->filled = sw_source_read(lines->source, lines->block, BLOCK_BYTES);
        lines->at = 0;
        if (lines->filled == 0)
            return END;
    }
    return lines->block[lines->at++];
}

static long next_unit16(sw_lines *lines) {
    int first = next_byte(lines);
    int second = first == END ? END : next_byte(lines);
    if (second == END)
        return END;
    return lines->encoding == UTF16_LITTLE ? first | second << 8 : second | first << 8;
}

static void put(sw_lines *lines, unsigned long byte) {
    lines->line[lines->used++] = (char)(unsigned char)byte;
}

/* One code point as UTF-8; room for four bytes is there. */
static void put_point(sw_lines *lines, unsigned long point) {
    if (point < 0x80) {
        put(lines, point);
        return;
    }
    if (point < 0x800) {
        put(lines, 0xC0U | point >> 6);
    } else {
        if (point < 0x10000) {
            put(lines, 0xE0U | point >> 12);
        } else {
            put(lines, 0xF0U | point >> 18);
            put(lines, 0x80U | (point >> 12 & 0x3FU));
        }
        put(lines, 0x80U | (point >> 6 & 0x3FU));
    }
    put(lines, 0x80U | (point & 0x3FU));
}

/* The next code point (a byte for UTF-8), END at the end. */
static long next_point(sw_lines *lines) {
    if (lines->encoding == PLAIN || lines->encoding == MARKED)
        return next_byte(lines);
    long high = next_unit16(lines);
    if (high < 0xD800 || high > 0xDBFF)
        return high;
    long low = next_unit16(lines);
    if (low < 0xDC00 || low > 0xDFFF)
        return '?';
    return 0x10000 + ((high - 0xD800) << 10) + (low - 0xDC00);
}

/* ---- lines ---- */

sw_status sw_lines_open(sw_source *source, sw_lines **lines, sw_error *error) {
    *lines = malloc(sizeof **lines);
    if (*lines == NULL)
        return sw_fail(error, SW_MEMORY, "%s: not enough memory to read it",
                       sw_source_name(source));
    (*lines)->source = source;
    size_t length = 0;
    const unsigned char *head = sw_source_head(source, &length);
    (*lines)->encoding = encoding_of(head, length);
    sw_lines_rewind(*lines);
    return SW_OK;
}

void sw_lines_close(sw_lines *lines) {
    free(lines);
}

void sw_lines_rewind(sw_lines *lines) {
    size_t length = 0;
    const unsigned char *head = sw_source_head(lines->source, &length);
    sw_source_seek(lines->source, (int64_t)mark_length(lines->encoding, head));
    lines->at = 0;
    lines->filled = 0;
    lines->number = 0;
    lines->after_return = false;
}

const char *sw_lines_name(const sw_lines *lines) {
    return sw_source_name(lines->source);
}

const char *sw_lines_encoding(const sw_lines *lines) {
    if (lines->encoding == PLAIN)
        return "UTF-8";
    return lines->encoding == MARKED ? "UTF-8 with byte order mark" : "UTF-16";
}

static sw_status bad_line(sw_lines *lines, const char *what, sw_error *error) {
    return sw_fail(error, SW_FORMAT, "%s: line %ld: %s, expected lines of text",
                   sw_lines_name(lines), lines->number, what);
}

/* Collect up to the end of the line; *point is what ended it. */
static sw_status collect(sw_lines *lines, long *point, sw_error *error) {
    bool wide = lines->encoding == UTF16_LITTLE || lines->encoding == UTF16_BIG;
    lines->used = 0;
    for (*point = next_point(lines); *point != END && *point != '\n' && *point != '\r';
         *point = next_point(lines)) {
        if (*point == 0)
            return bad_line(lines, "found a NUL byte", error);
        if (lines->used >= SW_LINE_LIMIT_BYTES)
            return bad_line(lines, "found a line longer than 65536 bytes", error);
        if (wide)
            put_point(lines, (unsigned long)*point);
        else
            put(lines, (unsigned long)*point);
    }
    lines->line[lines->used] = '\0';
    return SW_OK;
}

sw_status sw_lines_next(sw_lines *lines, sw_line *line, bool *more, sw_error *error) {
    long point = END;
    bool again = true;
    lines->number++;
    while (again) {
        sw_status status = collect(lines, &point, error);
        if (status != SW_OK)
            return status;
        again = point == '\n' && lines->used == 0 && lines->after_return;
        lines->after_return = false;
    }
    lines->after_return = point == '\r';
    /* 0x1A is the end mark of an old system. */
    bool nothing = lines->used == 0 || (lines->used == 1 && lines->line[0] == 0x1A);
    *more = !(point == END && nothing);
    *line = (sw_line){lines->line, lines->used, lines->number, point != END};
    if (!*more && sw_source_broken(lines->source))
        return sw_fail(error, SW_IO, "%s: reading failed", sw_lines_name(lines));
    return SW_OK;
}

/* ---- the first lines ---- */

static bool keep(sw_line_list *list, size_t *room, size_t *used, const sw_line *line) {
    if (*used + line->length + 1 > *room) {
        size_t larger = 2 * (*room + line->length + 1);
        char *text = realloc(list->text, larger);
        if (text == NULL)
            return false;
        list->text = text;
        *room = larger;
    }
    memcpy(list->text + *used, line->text, line->length + 1);
    list->line[list->count] = *line;
    *used += line->length + 1;
    list->count++;
    return true;
}

/* The text moved while it grew: point into it at the end. */
static void settle(sw_line_list *list) {
    size_t at = 0;
    for (size_t i = 0; list->text != NULL && i < list->count; i++) {
        list->line[i].text = list->text + at;
        at += list->line[i].length + 1;
    }
}

sw_status sw_line_list_read(sw_lines *lines, size_t limit, sw_line_list *list, sw_error *error) {
    size_t room = 0;
    size_t used = 0;
    bool more = true;
    *list = (sw_line_list){.line = malloc(limit * sizeof *list->line)};
    sw_status status = list->line != NULL ? SW_OK : sw_fail(error, SW_MEMORY, "out of memory");
    while (status == SW_OK && more && list->count < limit) {
        sw_line line;
        status = sw_lines_next(lines, &line, &more, error);
        if (status == SW_OK && more && !keep(list, &room, &used, &line))
            status = sw_fail(error, SW_MEMORY, "out of memory");
    }
    if (status == SW_OK)
        settle(list);
    else
        sw_line_list_free(list);
    sw_lines_rewind(lines);
    return status;
}

void sw_line_list_free(sw_line_list *list) {
    free(list->line);
    free(list->text);
    *list = (sw_line_list){0};
}
