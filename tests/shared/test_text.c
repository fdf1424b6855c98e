/* The growing string and its paragraphs. */
#include "tests/support.h"

#include "shared/text.h"

#include <stdio.h>
#include <string.h>

static void nothing_added_is_an_empty_string(void **state) {
    (void)state;
    sw_text text = {0};
    assert_string_equal(sw_text_string(&text), "");
    sw_text_free(&text);
    assert_string_equal(sw_text_string(&text), "");
}

static void additions_follow_each_other(void **state) {
    (void)state;
    enum { PIECES = 2000 };
    sw_text text = {0};
    for (int i = 0; i < PIECES; i++)
        sw_text_add(&text, "%03d,", i % 1000);
    assert_int_equal(text.failed, 0);
    assert_int_equal(text.length, 4 * PIECES);
    assert_int_equal(strlen(sw_text_string(&text)), 4 * PIECES);
    assert_memory_equal(sw_text_string(&text) + 4L * 1999, "999,", 4);
    sw_text_free(&text);
    assert_int_equal(text.length, 0);
    sw_text_add(&text, "again");
    assert_string_equal(sw_text_string(&text), "again");
    sw_text_free(&text);
}

/* Walks the lines of a text; returns the widest and counts them. */
static size_t widest_line(const char *string, size_t *lines) {
    size_t widest = 0;
    *lines = 0;
    while (*string != '\0') {
        char line[1000];
        size_t length = strcspn(string, "\n");
        assert_int_equal(string[length], '\n');
        snprintf(line, sizeof line, "%.*s", (int)length, string);
        size_t columns = sw_text_columns(line);
        widest = columns > widest ? columns : widest;
        string += length + 1;
        (*lines)++;
    }
    return widest;
}

static void a_paragraph_stays_below_80_columns(void **state) {
    (void)state;
    sw_text text = {0};
    sw_text words = {0};
    for (int i = 0; i < 120; i++)
        sw_text_add(&words, "%s", i % 3 == 0 ? "\u03a9\u00b5\u00b0 " : "eleven chars ");
    sw_text_paragraph(&text, 4, "%s", sw_text_string(&words));
    sw_text_free(&words);
    size_t lines = 0;
    assert_true(widest_line(sw_text_string(&text), &lines) < 80);
    assert_true(lines > 10);
    assert_memory_equal(strchr(sw_text_string(&text), '\n') + 1, "    ", 4);
    assert_int_not_equal(strchr(sw_text_string(&text), '\n')[5], ' ');
    sw_text_free(&text);
}

/* A call is pasted into a shell as it stands; words before and behind it are not part of it. */
static void a_broken_call_goes_on(void **state) {
    (void)state;
    sw_text text = {0};
    sw_text_paragraph(
        &text, 0,
        "Some words long enough that what follows has to be broken, and type  "
        "spinworth measure --into motor-drum.json --resistance 1.2ohm --test-leads 0.2ohm "
        "(save this first)");
    assert_string_equal(
        sw_text_string(&text),
        "Some words long enough that what follows has to be broken, and type \n"
        "spinworth measure --into motor-drum.json --resistance 1.2ohm --test-leads \\\n"
        "0.2ohm (save this first)\n");
    sw_text_free(&text);
    sw_text_paragraph(&text, 0,
                      "Ask  spinworth wires. What stands behind the sentence's end is no part of "
                      "what is typed, however long it goes on");
    assert_null(strchr(sw_text_string(&text), '\\'));
    sw_text_free(&text);
}

/* Greedy breaking: no line could have taken the next word too. */
static void lines_are_as_full_as_they_can_be(void **state) {
    (void)state;
    sw_text text = {0};
    char words[79 + 1];
    memset(words, 'a', 79);
    words[79] = '\0';
    sw_text_paragraph(&text, 0, "%s", words);
    assert_int_equal(text.length, 80); /* 79 columns fit in one line */
    sw_text_free(&text);
    words[39] = ' ';
    sw_text_paragraph(&text, 0, "%s", words);
    assert_int_equal(text.length, 80);
    sw_text_free(&text);
    sw_text_paragraph(&text, 0, "%s b", words);
    assert_string_equal(sw_text_string(&text) + 79, "\nb\n");
    sw_text_free(&text);
}

static void a_paragraph_goes_on_where_the_text_stands(void **state) {
    (void)state;
    sw_text text = {0};
    sw_text_add(&text, "first\n%-70s", "left");
    sw_text_paragraph(&text, 70, "nine char words");
    sw_text_paragraph(&text, 70, "next");
    assert_string_equal(sw_text_string(&text) + 6 + 70, "nine char\n                          "
                                                        "                                    "
                                                        "        words\nnext\n");
    sw_text_free(&text);
}

static void a_word_longer_than_a_line_stands_alone(void **state) {
    (void)state;
    sw_text text = {0};
    char word[120];
    memset(word, 'w', sizeof word - 1);
    word[sizeof word - 1] = '\0';
    sw_text_paragraph(&text, 2, "a %s b", word);
    assert_memory_equal(sw_text_string(&text), "a\n  www", 7);
    assert_string_equal(sw_text_string(&text) + 4 + 119, "\n  b\n");
    sw_text_free(&text);
}

static void columns_count_letters_not_bytes(void **state) {
    (void)state;
    assert_int_equal(sw_text_columns(""), 0);
    assert_int_equal(sw_text_columns("abc"), 3);
    assert_int_equal(sw_text_columns("8.5 \u00b1 0.04 \u03a9"), 12);
}

static void a_copy_is_cut_between_letters(void **state) {
    (void)state;
    char out[6];
    sw_text_copy("abcde", out, sizeof out);
    assert_string_equal(out, "abcde");
    sw_text_copy("abcdef", out, sizeof out);
    assert_string_equal(out, "abcde");
    sw_text_copy("abcd\u03a9", out, sizeof out);
    assert_string_equal(out, "abcd");
    sw_text_copy("\u20ac\u20ac", out, sizeof out);
    assert_string_equal(out, "\u20ac");
}

static void a_message_becomes_one_printable_line(void **state) {
    (void)state;
    static const char *const ROWS[][2] = {
        {"plain", "plain"},
        {"two\nlines\ttab\x7f", "two?lines?tab?"},
        {"\x1b[31mred", "?[31mred"},
        {"8 \u03a9 \u20ac \U0001F600", "8 \u03a9 \u20ac \U0001F600"},
        {"\xff\xc3", "??"},
        {"\xe2\x82", "??"},
        {"\xc3(", "?("},
        {"", ""},
    };
    for (size_t i = 0; i < sizeof ROWS / sizeof *ROWS; i++) {
        char text[40];
        snprintf(text, sizeof text, "%s", ROWS[i][0]);
        sw_text_make_printable(text);
        assert_string_equal(text, ROWS[i][1]);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_added_is_an_empty_string),
        cmocka_unit_test(additions_follow_each_other),
        cmocka_unit_test(a_paragraph_stays_below_80_columns),
        cmocka_unit_test(a_broken_call_goes_on),
        cmocka_unit_test(lines_are_as_full_as_they_can_be),
        cmocka_unit_test(a_paragraph_goes_on_where_the_text_stands),
        cmocka_unit_test(a_word_longer_than_a_line_stands_alone),
        cmocka_unit_test(columns_count_letters_not_bytes),
        cmocka_unit_test(a_copy_is_cut_between_letters),
        cmocka_unit_test(a_message_becomes_one_printable_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
