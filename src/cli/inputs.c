/* inputs: what there is to record from. */
#include "src/cli/command.h"
#include "src/report/recording_text.h"

static const sw_option OPTIONS[] = {{0}};

static sw_status run(const sw_cli *cli, const sw_arguments *arguments, sw_error *error) {
    if (arguments->words > 0)
        return sw_fail(error, SW_USAGE, "\"%.60s\" is not expected; inputs takes no file",
                       arguments->word[0]);
    sw_input_list list;
    sw_status status = sw_inputs_list(&list, error);
    if (status != SW_OK)
        return status;
    if (cli->json) {
        cJSON *root = sw_inputs_to_json(&list);
        status = sw_cli_print_json(root, error);
        cJSON_Delete(root);
    } else {
        sw_text text = {0};
        sw_inputs_text(&list, &text);
        status = sw_cli_print_text(&text, error);
        sw_text_free(&text);
    }
    sw_inputs_free(&list);
    return status;
}

const sw_command sw_command_inputs = {
    .name = "inputs",
    .summary = "the sound inputs there are to record from",
    .usage = "spinworth inputs [--json]",
    .about = "Lists every sound input with its number, the sound system it is reached through,\n"
             "how many channels it has and which rates it takes by itself. Only an input that\n"
             "is free is seen. An input through a converter takes any rate, but its frequencies\n"
             "may be off a little: prefer one marked (hw:...).",
    .example = "  spinworth inputs\n"
               "  spinworth record rec.wav --input 2\n"
               "  For another program: spinworth inputs --json",
    .options = OPTIONS,
    .run = run,
};
