#include "src/cli/command.h"

#include <stdio.h>

static sw_status print(const char *text, sw_error *error) {
    bool failed = fputs(text, stdout) == EOF || fflush(stdout) == EOF;
    if (failed || ferror(stdout))
        return sw_fail(error, SW_IO, "standard output cannot be written");
    return SW_OK;
}

sw_status sw_cli_print_text(const sw_text *text, sw_error *error) {
    if (text->failed)
        return sw_fail(error, SW_MEMORY, "not enough memory to print");
    return print(sw_text_string(text), error);
}

sw_status sw_cli_print_json(const cJSON *root, sw_error *error) {
    char *text = root == NULL ? NULL : cJSON_Print(root);
    if (text == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory to print");
    sw_status status = print(text, error);
    if (status == SW_OK)
        status = print("\n", error);
    cJSON_free(text);
    return status;
}
