#include "shared/text.h"

#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { LINE_COLUMNS = 79 };

void sw_text_free(sw_text *text) {
    free(text->data);
    *text = (sw_text){0};
}

void sw_text_carry(sw_text *piece, sw_text *whole) {
    if (piece->failed)
        whole->failed = 1;
    sw_text_free(piece);
}

static int make_room(sw_text *text, size_t more) {
    size_t needed = text->length + more + 1;
    if (needed <= text->room)
        return 1;
    size_t room = needed * 2 + 256;
    char *data = realloc(text->data, room);
    if (data == NULL) {
        text->failed = 1;
        return 0;
    }
    text->data = data;
    text->room = room;
    return 1;
}

static void add_bytes(sw_text *text, const char *bytes, size_t count) {
    if (text->failed || !make_room(text, count))
        return;
    memcpy(text->data + text->length, bytes, count);
    text->length += count;
    text->data[text->length] = '\0';
}

static char *format_new(const char *format, va_list arguments) {
    va_list again;
    va_copy(again, arguments);
    int length = vsnprintf(NULL, 0, format, arguments);
    char *formatted = length < 0 ? NULL : malloc((size_t)length + 1);
    if (formatted != NULL)
        vsnprintf(formatted, (size_t)length + 1, format, again);
    va_end(again);
    return formatted;
}

void sw_text_add(sw_text *text, const char *format, ...) {
    va_list arguments;
    va_start(arguments, format);
    char *formatted = format_new(format, arguments);
    va_end(arguments);
    if (formatted == NULL) {
        text->failed = 1;
        return;
    }
    add_bytes(text, formatted, strlen(formatted));
    free(formatted);
}

static size_t columns_of(const char *bytes, size_t count) {
    size_t columns = 0;
    for (size_t i = 0; i < count; i++)
        columns += ((unsigned char)bytes[i] & 0xC0U) != 0x80U;
    return columns;
}

size_t sw_text_columns(const char *string) {
    return columns_of(string, strlen(string));
}

/* Columns already used in the last line. */
static size_t column_of(const sw_text *text) {
    size_t start = text->length;
    while (start > 0 && text->data[start - 1] != '\n')
        start--;
    return start == text->length ? 0 : columns_of(text->data + start, text->length - start);
}

/* A call of the program stands behind two spaces and ends at two more, at a bracket, or with the
 * sentence: where it is broken over lines it is still to be pasted into a shell. */
static bool begins_a_call(const char *word, size_t length) {
    static const char NAME[] = "spinworth";
    return length == sizeof NAME - 1 && memcmp(word, NAME, length) == 0;
}

static bool ends_a_call(const char *word, size_t length) {
    return length == 0 || word[0] == '(';
}

static bool is_last_of_call(const char *word, size_t length) {
    return length > 0 && (word[length - 1] == '.' || word[length - 1] == ';');
}

static void add_words(sw_text *text, int indent, const char *words) {
    size_t column = column_of(text);
    bool first = true;
    bool call = false;
    bool behind_two = false;
    while (*words != '\0') {
        size_t length = strcspn(words, " ");
        size_t wide = columns_of(words, length);
        bool inside = call && !ends_a_call(words, length);
        call = inside || (behind_two && begins_a_call(words, length));
        behind_two = length == 0;
        if (!first && column + 1 + wide > LINE_COLUMNS - (call ? 2 : 0)) {
            sw_text_add(text, "%s\n%*s", inside ? " \\" : "", indent, "");
            column = (size_t)indent;
        } else if (!first) {
            add_bytes(text, " ", 1);
            column++;
        }
        add_bytes(text, words, length);
        column += wide;
        first = false;
        call = call && !is_last_of_call(words, length);
        words += length;
        if (*words == ' ')
            words++;
    }
    add_bytes(text, "\n", 1);
}

void sw_text_paragraph(sw_text *text, int indent, const char *format, ...) {
    va_list arguments;
    va_start(arguments, format);
    char *formatted = format_new(format, arguments);
    va_end(arguments);
    if (formatted == NULL) {
        text->failed = 1;
        return;
    }
    add_words(text, indent, formatted);
    free(formatted);
}

const char *sw_text_string(const sw_text *text) {
    return text->data != NULL ? text->data : "";
}

void sw_text_copy(const char *string, char *out, size_t room) {
    size_t length = strlen(string);
    if (length >= room) {
        length = room - 1;
        while (length > 0 && ((unsigned char)string[length] & 0xC0U) == 0x80U)
            length--;
    }
    memcpy(out, string, length);
    out[length] = '\0';
}

/* Bytes of the UTF-8 letter at bytes, 0 when there is none (Unicode 15, table 3-6; the few
 * overlong and surrogate forms that its ranges leave in do no harm on a screen). */
static size_t letter_at(const unsigned char *bytes) {
    size_t length = bytes[0] < 0x80   ? 1
                    : bytes[0] < 0xC2 ? 0
                    : bytes[0] < 0xE0 ? 2
                    : bytes[0] < 0xF0 ? 3
                    : bytes[0] < 0xF5 ? 4
                                      : 0;
    for (size_t i = 1; i < length; i++)
        if ((bytes[i] & 0xC0U) != 0x80U)
            return 0;
    return length;
}

void sw_text_make_printable(char *string) {
    while (*string != '\0') {
        unsigned char first = (unsigned char)*string;
        size_t length = letter_at((const unsigned char *)string);
        if (length == 0 || first < 0x20 || first == 0x7F) {
            *string++ = '?';
            continue;
        }
        string += length;
    }
}
