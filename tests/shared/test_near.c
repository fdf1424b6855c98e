/* The nearest word to a mistyped one. */
#include "tests/support.h"

#include "shared/near.h"

static const char *const WORDS[] = {"measure", "match", "rank", "report", "record", NULL};

static void one_slip_is_recognised(void **state) {
    (void)state;
    assert_string_equal(sw_near_word("mesure", WORDS), "measure");   /* left out */
    assert_string_equal(sw_near_word("meassure", WORDS), "measure"); /* added */
    assert_string_equal(sw_near_word("masure", WORDS), "measure");
    assert_string_equal(sw_near_word("rnak", WORDS), "rank"); /* swapped */
    assert_string_equal(sw_near_word("recodr", WORDS), "record");
    assert_string_equal(sw_near_word("rank", WORDS), "rank");
}

static void another_word_is_none_of_them(void **state) {
    (void)state;
    static const char *const NONE[] = {NULL};
    assert_null(sw_near_word("generator", WORDS));
    assert_null(sw_near_word("x", WORDS));
    assert_null(sw_near_word("", WORDS));
    assert_null(sw_near_word("match", NONE));
    assert_null(sw_near_word("a-word-of-more-than-forty-letters-is-never-near-to-anything", WORDS));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_slip_is_recognised),
        cmocka_unit_test(another_word_is_none_of_them),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
