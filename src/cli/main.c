/* The frame around the commands: finds the command, sorts its arguments, runs it, and turns a
 * status into a message and an exit status. */
#include "shared/files.h"
#include "shared/near.h"
#include "src/cli/commands.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void print_error(const char *command, sw_error *error, bool json) {
    sw_text_make_printable(error->message);
    if (!json) {
        fprintf(stderr, "spinworth%s%s: %s\n", *command != '\0' ? " " : "", command,
                error->message);
        return;
    }
    cJSON *root = cJSON_CreateObject();
    cJSON_AddStringToObject(root, "error", sw_status_name(error->status));
    cJSON_AddStringToObject(root, "message", error->message);
    char *line = cJSON_PrintUnformatted(root);
    fprintf(stderr, "%s\n", line != NULL ? line : "{\"error\":\"memory\"}");
    cJSON_free(line);
    cJSON_Delete(root);
}

/* The tables: named by the environment; else those of the sources for the program that stands
 * where it was built, so that an older installation does not answer for it; else as installed. */
static const char *reference_directory(const char *called) {
    const char *named = getenv("SPINWORTH_REFERENCE");
    if (named != NULL && *named != '\0')
        return named;
    bool beside_sources = sw_file_is_program(SPINWORTH_BUILT_PROGRAM, called);
    if (!beside_sources && sw_file_is_directory(SPINWORTH_REFERENCE_INSTALL))
        return SPINWORTH_REFERENCE_INSTALL;
    return SPINWORTH_REFERENCE_SOURCE;
}

static sw_status run(const sw_command *command, const sw_arguments *arguments, const char *called,
                     sw_error *error) {
    static const char *const SYSTEMS[] = {"si", "us", NULL};
    int system = 0;
    sw_units *units = NULL;
    sw_status status = sw_argument_word(arguments, "--units", SYSTEMS, &system, error);
    if (status == SW_OK)
        status = sw_units_new(&units, error);
    if (status != SW_OK)
        return status;
    sw_cli cli = {.units = units,
                  .reference_dir = reference_directory(called),
                  .us_units = system == 1,
                  .json = sw_argument_given(arguments, "--json"),
                  .details = sw_argument_given(arguments, "--details")};
    status = command->run(&cli, arguments, error);
    sw_units_free(units);
    return status;
}

static sw_status show(void (*write)(sw_text *), const sw_command *command, sw_error *error) {
    sw_text text = {0};
    if (command != NULL)
        sw_help_command(command, &text);
    else
        write(&text);
    sw_status status = sw_cli_print_text(&text, error);
    sw_text_free(&text);
    return status;
}

static void write_version(sw_text *text) {
    sw_text_add(text, "spinworth " SPINWORTH_VERSION "\n");
}

static bool is_any(const char *word, const char *one, const char *two, const char *three) {
    return strcmp(word, one) == 0 || strcmp(word, two) == 0 || strcmp(word, three) == 0;
}

static bool asks_json(int argc, char **argv) {
    for (int i = 1; i < argc; i++)
        if (strcmp(argv[i], "--json") == 0)
            return true;
    return false;
}

static sw_status unknown_command(const char *word, sw_error *error) {
    enum { MOST = 40 };
    const char *names[MOST + 1] = {NULL};
    for (size_t i = 0; i < MOST && SW_COMMANDS[i] != NULL; i++)
        names[i] = SW_COMMANDS[i]->name;
    const char *close = sw_near_word(word, names);
    if (close != NULL)
        return sw_fail(error, SW_USAGE, "command \"%.40s\" is not known; did you mean %s?", word,
                       close);
    return sw_fail(error, SW_USAGE, "command \"%.40s\" is not known; spinworth --help lists them",
                   word);
}

static const sw_command *command_named(const char *word, sw_error *error) {
    const sw_command *command = sw_command_find(word);
    if (word[0] == '\0' || word[0] == '-')
        sw_fail(error, SW_USAGE, "no command given; it comes first, spinworth --help lists them");
    else if (command == NULL)
        unknown_command(word, error);
    return command;
}

static sw_status dispatch(int argc, char **argv, sw_error *error) {
    const char *word = argc > 1 ? argv[1] : "";
    bool help = is_any(word, "--help", "-h", "help");
    if (help && argc > 2 && argv[2][0] != '-')
        word = argv[2]; /* help measure */
    else if (help)
        return show(sw_help_overview, NULL, error);
    if (is_any(word, "--version", "-V", "version"))
        return show(write_version, NULL, error);
    const sw_command *command = command_named(word, error);
    if (command == NULL)
        return SW_USAGE;
    if (help)
        return show(NULL, command, error);
    sw_arguments arguments;
    sw_status status = sw_arguments_parse(command->options, SW_COMMON_OPTIONS, argc - 2, argv + 2,
                                          &arguments, error);
    if (status != SW_OK)
        return status;
    if (sw_argument_given(&arguments, "--help"))
        return show(NULL, command, error);
    return run(command, &arguments, argv[0], error);
}

int main(int argc, char **argv) {
#ifdef SIGPIPE
    /* A reader that went away is an error to report, not a silent death. */
    (void)signal(SIGPIPE, SIG_IGN);
#endif
    sw_error error = {SW_OK, ""};
    sw_status status = dispatch(argc, argv, &error);
    if (status == SW_OK)
        return EXIT_SUCCESS;
    error.status = status;
    bool named = argc > 1 && sw_command_find(argv[1]) != NULL;
    print_error(named ? argv[1] : "", &error, asks_json(argc, argv));
    return sw_status_exit(status);
}
