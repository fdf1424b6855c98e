/* Fingerprints against the test vectors of IETF draft-eastlake-fnv, appendix C (from memory). */
#include "tests/support.h"

#include "shared/content.h"

#include <stdio.h>
#include <string.h>

static void published_vectors(void **state) {
    (void)state;
    assert_true(sw_fnv(SW_FNV_START, "", 0) == 0xcbf29ce484222325U);
    assert_true(sw_fnv(SW_FNV_START, "a", 1) == 0xaf63dc4c8601ec8cU);
    assert_true(sw_fnv(SW_FNV_START, "foobar", 6) == 0x85944171f73967e8U);
    /* in pieces as in one */
    assert_true(sw_fnv(sw_fnv(SW_FNV_START, "foo", 3), "bar", 3) == 0x85944171f73967e8U);
}

static void of_a_file(void **state) {
    (void)state;
    char content[SW_CONTENT_ROOM];
    sw_error error = {SW_OK, ""};
    FILE *file = fopen(support_at("six"), "wb");
    assert_non_null(file);
    assert_true(fputs("foobar", file) >= 0);
    assert_int_equal(fclose(file), 0);
    assert_ok(sw_content_of(support_at("six"), content, &error), &error);
    assert_string_equal(content, "85944171f73967e8");
    /* what can be read but once has none */
    assert_ok(sw_content_of("-", content, &error), &error);
    assert_string_equal(content, "");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_vectors),
        cmocka_unit_test(of_a_file),
    };
    return cmocka_run_group_tests(tests, support_folder_setup, support_folder_teardown);
}
