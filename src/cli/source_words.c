#include "src/cli/source_words.h"

#include <ctype.h>
#include <string.h>

static const char *const DESCRIBING[] = {
    "--probe",        "--between",    "--speed",           "--about",   "--turns", "--driver",
    "--driven",       "--gear",       "--marks",           "--rate",    "--meter", "--detents",
    "--tach-channel", "--difference", "--level-untrusted", "--magnets", "--coast", NULL};
/* Of these, what does not touch volts, hertz and pole pairs, or may have become better. */
static const char *const HARMLESS[] = {"--probe", "--coast", NULL};
static const char *const COUNTS[] = {"--magnets", "--detents", NULL};
static const char *const METER[] = {"--resistance", "--test-leads", "--at", NULL};

bool sw_word_among(const char *name, const char *const *list) {
    for (size_t i = 0; list[i] != NULL; i++)
        if (strcmp(list[i], name) == 0)
            return true;
    return false;
}

bool sw_source_word_describes(const char *option) {
    return sw_word_among(option, DESCRIBING) && !sw_word_among(option, HARMLESS);
}

void sw_cli_add_word(const char *word, sw_text *text) {
    bool plain = *word != '\0';
    for (const char *c = word; *c != '\0'; c++)
        plain = plain && (isalnum((unsigned char)*c) || strchr("._-/:+=,@%", *c) != NULL);
    if (plain || strchr(word, '\'') != NULL)
        sw_text_add(text, plain ? " %s" : " \"%s\"", word);
    else
        sw_text_add(text, " '%s'", word);
}

void sw_cli_add_call(const char *command, const sw_arguments *arguments, sw_text *text) {
    sw_text_add(text, "spinworth %s", command);
    for (size_t i = 0; i < arguments->words; i++)
        sw_cli_add_word(arguments->word[i], text);
    for (size_t i = 0; i < arguments->given; i++) {
        sw_cli_add_word(arguments->option[i].option->name, text);
        if (arguments->option[i].option->value != NULL)
            sw_cli_add_word(arguments->option[i].value, text);
    }
}

/* ---- words into a source ---- */

static void add_line(char told[SW_SOURCE_TEXT_ROOM], const char *word) {
    size_t used = strlen(told);
    size_t length = strlen(word);
    memcpy(told + used, word, length);
    told[used + length] = '\n';
    told[used + length + 1] = '\0';
}

/* Option and value, both or, where they are too long to be kept, neither. */
static void add_option(const sw_given *given, char told[SW_SOURCE_TEXT_ROOM]) {
    const char *value = given->option->value != NULL ? given->value : NULL;
    size_t length = strlen(told) + strlen(given->option->name) + 2;
    length += value != NULL ? strlen(value) + 1 : 0;
    if (length > SW_SOURCE_TEXT_ROOM || (value != NULL && strchr(value, '\n') != NULL))
        return;
    add_line(told, given->option->name);
    if (value != NULL)
        add_line(told, value);
}

/* The last one of each counts, as everywhere. */
static void add_last(const sw_arguments *call, const char *name, char told[SW_SOURCE_TEXT_ROOM]) {
    const sw_given *last = NULL;
    for (size_t i = 0; i < call->given; i++)
        if (strcmp(call->option[i].option->name, name) == 0)
            last = &call->option[i];
    if (last != NULL)
        add_option(last, told);
}

void sw_source_describe(const sw_arguments *call, sw_source *source) {
    source->told[0] = '\0';
    for (size_t i = 0; DESCRIBING[i] != NULL; i++)
        add_last(call, DESCRIBING[i], source->told);
}

bool sw_source_by_hand(const sw_arguments *arguments, const char *const *options,
                       sw_source *source) {
    *source = (sw_source){.part = 1, .used_as = SW_USED_BY_HAND};
    if (!sw_argument_given(arguments, options[0]))
        return false;
    for (size_t i = 0; options[i] != NULL; i++)
        add_last(arguments, options[i], source->told);
    return true;
}

/* ---- words out of a source ---- */

static const char *next_line(const char *told, char word[SW_SOURCE_TEXT_ROOM]) {
    size_t length = strcspn(told, "\n");
    memcpy(word, told, length);
    word[length] = '\0';
    return told + length + (told[length] == '\n');
}

static bool begins_with(const sw_source *source, const char *option) {
    size_t length = strlen(option);
    return strncmp(source->told, option, length) == 0 && source->told[length] == '\n';
}

const sw_source *sw_source_find_hand(const sw_sources *sources, const char *option) {
    const sw_source *found = NULL;
    for (size_t i = 0; i < sources->count; i++)
        if (sources->source[i].used_as == SW_USED_BY_HAND &&
            begins_with(&sources->source[i], option))
            found = &sources->source[i];
    return found;
}

static bool tells(const char *told, const char *option, const char *value) {
    char word[SW_SOURCE_TEXT_ROOM];
    while (*told != '\0') {
        told = next_line(told, word);
        if (strcmp(word, option) != 0)
            continue;
        if (value == NULL || *value == '\0')
            return true;
        told = next_line(told, word);
        if (strcmp(word, value) == 0)
            return true;
    }
    return false;
}

bool sw_sources_tell(const sw_sources *sources, const char *option, const char *value) {
    for (size_t i = 0; i < sources->count; i++)
        if (tells(sources->source[i].told, option, value))
            return true;
    return false;
}

static const sw_option *option_of(const sw_option *options, const char *name) {
    for (; options->name != NULL; options++)
        if (strcmp(options->name, name) == 0)
            return options;
    return NULL;
}

/* A copy that lives as long as the call. */
static const char *keep(sw_told *told, const char *word) {
    size_t length = strlen(word) + 1;
    if (told->used + length > sizeof told->words)
        return NULL;
    char *kept = told->words + told->used;
    memcpy(kept, word, length);
    told->used += length;
    return kept;
}

/* Only what is wanted: a document must not slip in an option that writes somewhere. */
static void add_remembered(sw_told *told, const char *remembered, const char *const *wanted,
                           const sw_option *options) {
    char name[SW_SOURCE_TEXT_ROOM];
    char value[SW_SOURCE_TEXT_ROOM];
    while (*remembered != '\0') {
        remembered = next_line(remembered, name);
        const sw_option *option = option_of(options, name);
        if (option == NULL)
            continue;
        value[0] = '\0';
        if (option->value != NULL)
            remembered = next_line(remembered, value);
        bool given = sw_argument_given(&told->call, name);
        const char *kept = NULL;
        if (!given && sw_word_among(name, wanted) && told->call.given < SW_ARGUMENT_LIMIT)
            kept = keep(told, value);
        if (kept != NULL)
            told->call.option[told->call.given++] = (sw_given){option, kept};
    }
}

void sw_told_add(sw_told *told, const char *remembered, const sw_option *options) {
    add_remembered(told, remembered, DESCRIBING, options);
}

void sw_told_add_meter(sw_told *told, const char *remembered, const sw_option *options) {
    add_remembered(told, remembered, METER, options);
}

void sw_told_add_counts(sw_told *told, const char *remembered, const sw_option *options) {
    add_remembered(told, remembered, COUNTS, options);
}

void sw_told_drop_counts(sw_told *told, const sw_sources *sources) {
    size_t kept = 0;
    sw_arguments *call = &told->call;
    for (size_t i = 0; i < call->given; i++) {
        const sw_given *given = &call->option[i];
        if (!sw_word_among(given->option->name, COUNTS) ||
            !sw_sources_tell(sources, given->option->name, given->value))
            call->option[kept++] = *given;
    }
    call->given = kept;
}
