/* What a command prints: a text that lost words for want of memory is an error, not half an answer.
 */
#include "tests/support.h"

#include "src/cli/command.h"

#include <string.h>

static void a_whole_text_is_printed(void **state) {
    (void)state;
    sw_text text = {0};
    sw_error error = {SW_OK, ""};
    sw_text_add(&text, "whole\n");
    assert_ok(sw_cli_print_text(&text, &error), &error);
    sw_text_free(&text);
}

static void a_failed_text_is_an_error(void **state) {
    (void)state;
    sw_text text = {0};
    sw_error error = {SW_OK, ""};
    sw_text_add(&text, "the first half");
    text.failed = 1;
    assert_int_equal(sw_cli_print_text(&text, &error), SW_MEMORY);
    assert_non_null(strstr(error.message, "memory"));
    sw_text_free(&text);
}

static void a_failed_piece_fails_the_whole(void **state) {
    (void)state;
    sw_text whole = {0};
    sw_text piece = {0};
    sw_text_add(&whole, "A sentence. ");
    sw_text_carry(&piece, &whole);
    assert_int_equal(whole.failed, 0);
    sw_text_add(&piece, "half of the ne");
    piece.failed = 1;
    sw_text_carry(&piece, &whole);
    assert_null(piece.data);
    assert_int_equal(sw_cli_print_text(&whole, NULL), SW_MEMORY);
    sw_text_free(&whole);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_whole_text_is_printed),
        cmocka_unit_test(a_failed_text_is_an_error),
        cmocka_unit_test(a_failed_piece_fails_the_whole),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
