/* No status without a name and an exit status in the contract. */
#include "tests/support.h"

#include <string.h>

static void every_status_has_name_and_exit(void **state) {
    (void)state;
    for (int i = 0; i < SW_STATUS_COUNT; i++) {
        const char *name = sw_status_name((sw_status)i);
        assert_non_null(name);
        assert_true(strlen(name) >= 2);
        int code = sw_status_exit((sw_status)i);
        assert_true(i == SW_OK ? code == 0 : code >= 2 && code <= 4);
        for (int j = 0; j < i; j++)
            assert_string_not_equal(name, sw_status_name((sw_status)j));
    }
}

static void a_message_is_kept_and_prefixed(void **state) {
    (void)state;
    sw_error error;
    assert_int_equal(sw_fail(&error, SW_UNIT, "found %d", 7), SW_UNIT);
    assert_string_equal(error.message, "found 7");
    assert_int_equal(sw_fail_within(&error, "file.csv"), SW_UNIT);
    assert_string_equal(error.message, "file.csv: found 7");
    assert_int_equal(sw_fail(NULL, SW_IO, "nobody asks"), SW_IO);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_status_has_name_and_exit),
        cmocka_unit_test(a_message_is_kept_and_prefixed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
