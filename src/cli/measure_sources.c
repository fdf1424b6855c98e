/* The same evidence must not count twice.
 *
 * A motor document remembers the files it was made from, by a fingerprint of their bytes, and the
 * options that described them. When a file comes again:
 *   - it is the only recording in the motor: it is measured anew with everything that is known of
 *     it by now (this call's options, then the remembered ones), and takes the place of what it
 *     gave before;
 *   - there are others: volts, hertz and pole pairs stay as they are; what it has not given yet
 *     (its run-down, the open run beside a loaded one) is taken. What describes it otherwise than
 *     before is refused, with the way out.
 * What is counted or read by hand is remembered by its words; the same words are nothing new.
 */
#include "src/cli/measure_sources.h"

#include "src/cli/source_words.h"

#include <stdio.h>
#include <string.h>

enum { SPUN = SW_USED_OPEN | SW_USED_READINGS };

/* What only the recording can answer. */
static const char *const ASKING[] = {"--probe",
                                     "--between",
                                     "--about",
                                     "--turns",
                                     "--driver",
                                     "--gear",
                                     "--rate",
                                     "--tach-channel",
                                     "--coast",
                                     "--difference",
                                     "--level-untrusted",
                                     "--loaded",
                                     "--meter",
                                     NULL};
/* What is better answered with it. */
static const char *const BETTER[] = {"--magnets", "--detents", "--slots", NULL};
/* How to answer, nothing new about the motor. */
static const char *const MANNERS[] = {"--probe",   "--into",  "--output", "--force",   "--json",
                                      "--details", "--units", "--budget", "--explain", NULL};

static const char *first_given(const sw_arguments *arguments, const char *const *list) {
    for (size_t i = 0; list[i] != NULL; i++)
        if (sw_argument_given(arguments, list[i]))
            return list[i];
    return NULL;
}

static const char *asks(const sw_arguments *arguments) {
    bool speed = sw_argument_given(arguments, "--speed") &&
                 !sw_argument_given(arguments, "--dc-volts"); /* a meter's reading at a speed */
    return speed ? "--speed" : first_given(arguments, ASKING);
}

/* ---- the call's files ---- */

static sw_status fingerprint(sw_sourcing *sourcing, sw_error *error) {
    const sw_arguments *call = &sourcing->told.call;
    sw_status status = SW_OK;
    for (size_t i = 0; i < call->words && status == SW_OK; i++) {
        if (i >= SW_MOTOR_SOURCE_LIMIT)
            return SW_OK; /* too many files: said where they are read */
        sw_source *source = &sourcing->files.source[i];
        *source = (sw_source){.part = (int)i + 1};
        sw_text_copy(call->word[i], source->name, sizeof source->name);
        status = sw_content_of(call->word[i], source->content, error);
        sourcing->files.count = i + 1;
    }
    return status;
}

/* How many of the call's files the motor was made from. */
static sw_status count_known(const sw_sourcing *sourcing, const sw_motor *saved, size_t *known,
                             sw_error *error) {
    *known = 0;
    for (size_t i = 0; i < sourcing->files.count; i++) {
        const sw_source *file = &sourcing->files.source[i];
        const sw_source *old = sw_source_find(&saved->sources, file->content);
        if (old != NULL && (old->used_as & SW_USED_LOADED) != 0)
            return sw_fail(error, SW_MISMATCH,
                           "%s: is in the saved motor as a recording with a resistor across the "
                           "wires, expected one without",
                           file->name);
        *known += old != NULL && (old->used_as & SPUN) != 0;
    }
    return SW_OK;
}

/* ---- a recording that comes again ---- */

/* Does the call describe it otherwise than what is remembered? The option that does. */
static const char *describes_anew(const sw_arguments *given, const sw_sources *sources) {
    for (size_t i = 0; i < given->given; i++) {
        const char *name = given->option[i].option->name;
        if (sw_source_word_describes(name) &&
            !sw_sources_tell(sources, name, given->option[i].value))
            return name;
    }
    return NULL;
}

static bool asks_anything(const sw_arguments *given) {
    for (size_t i = 0; i < given->given; i++) {
        const char *name = given->option[i].option->name;
        if (!sw_word_among(name, MANNERS) && !sw_source_word_describes(name))
            return true;
    }
    return false;
}

static sw_status refuse_among_others(const sw_sourcing *sourcing, const sw_motor *saved,
                                     const char *into, const char *anew, sw_error *error) {
    sw_text list = {0};
    for (size_t i = 0; i < saved->sources.count; i++)
        if ((saved->sources.source[i].used_as & SPUN) != 0)
            sw_text_add(&list, "%s%s", list.length > 0 ? ", " : "", saved->sources.source[i].name);
    (void)sw_fail(error, SW_EXISTS,
                  "%s: is in %s already%s%s, together with others (%.200s); merged again it would "
                  "count twice. To change what is said of it, measure them anew: the first with -o "
                  "new.json, each other with --into new.json",
                  sourcing->files.source[0].name, into, anew != NULL ? " without this " : "",
                  anew != NULL ? anew : "", sw_text_string(&list));
    sw_text_free(&list);
    return SW_EXISTS;
}

static sw_status recognise(const sw_arguments *given, const sw_option *options,
                           const sw_motor *saved, sw_sourcing *sourcing, sw_error *error) {
    size_t known = 0;
    const char *into = sw_argument(given, "--into");
    sw_status status = count_known(sourcing, saved, &known, error);
    if (status != SW_OK || known == 0)
        return status;
    const sw_source *first = &sourcing->files.source[0];
    if (known < sourcing->files.count)
        return sw_fail(error, SW_MISMATCH,
                       "%zu of the %zu files are in %s already, the others are not; measure them "
                       "together anew (-o new.json)",
                       known, sourcing->files.count, into);
    const sw_source *old = sw_source_find(&saved->sources, first->content);
    bool only = sw_sources_recordings(&saved->sources) == 1 &&
                sw_source_find_hand(&saved->sources, "--dc-volts") == NULL;
    sourcing->known = only ? SW_RECORDING_RENEWS : SW_RECORDING_KNOWN;
    const char *anew = describes_anew(given, &saved->sources);
    if (!only && (anew != NULL || !asks_anything(given)))
        return refuse_among_others(sourcing, saved, into, anew, error);
    sw_told_add(&sourcing->told, old->told, options);
    for (size_t i = 0; only && i < saved->sources.count; i++)
        if (saved->sources.source[i].used_as == SW_USED_BY_HAND)
            sw_told_add_counts(&sourcing->told, saved->sources.source[i].told, options);
    return SW_OK;
}

/* ---- a recording that is not named ---- */

static bool still_there(const sw_source *source) {
    char content[SW_CONTENT_ROOM];
    return source->content[0] != '\0' && sw_content_of(source->name, content, NULL) == SW_OK &&
           strcmp(content, source->content) == 0;
}

/* The call that would do it, with a place to put where the recording is now. */
static sw_status send_for_it(const sw_arguments *given, const sw_motor *saved, const char *asking,
                             sw_error *error) {
    sw_text call = {0};
    const char *into = sw_argument(given, "--into");
    const sw_source *gone = NULL;
    sw_text_add(&call, "spinworth measure");
    for (size_t i = 0; i < saved->sources.count; i++) {
        const sw_source *source = &saved->sources.source[i];
        if ((source->used_as & SPUN) == 0 || (source->part <= 1 && gone != NULL))
            continue;
        gone = gone != NULL ? gone : source;
        sw_cli_add_word(source->name, &call);
    }
    if (gone == NULL)
        sw_text_add(&call, " REC.wav");
    for (size_t i = 0; i < given->given; i++) {
        sw_cli_add_word(given->option[i].option->name, &call);
        if (given->option[i].option->value != NULL)
            sw_cli_add_word(given->option[i].value, &call);
    }
    bool several = sw_sources_recordings(&saved->sources) > 1;
    (void)sw_fail(error, SW_USAGE, "%s needs the recording itself%s%s%s: %s", asking,
                  several        ? ", and there are several in "
                  : gone != NULL ? ", which is not where it was (or has changed): "
                                 : ", and which one is not noted in ",
                  several || gone == NULL ? into : gone->name, several ? ", name one" : "; give it",
                  sw_text_string(&call));
    sw_text_free(&call);
    return SW_USAGE;
}

static sw_status recall(const sw_arguments *given, const sw_motor *saved, sw_sourcing *sourcing,
                        sw_error *error) {
    const char *asking = asks(given);
    sw_arguments *call = &sourcing->told.call;
    if (asking == NULL && first_given(given, BETTER) == NULL)
        return SW_OK;
    bool found = sw_sources_recordings(&saved->sources) == 1;
    for (size_t i = 0; i < saved->sources.count && found; i++) {
        const sw_source *source = &saved->sources.source[i];
        if ((source->used_as & SPUN) == 0)
            continue;
        found = still_there(source) && call->words < SW_ARGUMENT_LIMIT;
        if (found)
            call->word[call->words++] = source->name;
    }
    if (found)
        return SW_OK;
    call->words = 0;
    return asking != NULL ? send_for_it(given, saved, asking, error) : SW_OK;
}

sw_status sw_sourcing_begin(const sw_arguments *arguments, const sw_option *options,
                            const sw_motor *saved, sw_sourcing *sourcing, sw_error *error) {
    sw_status status = SW_OK;
    sourcing->told.call = *arguments;
    sourcing->told.used = 0;
    sourcing->known = SW_RECORDING_NEW;
    sourcing->files.count = 0;
    if (saved != NULL && arguments->words == 0)
        status = recall(arguments, saved, sourcing, error);
    if (status == SW_OK)
        status = fingerprint(sourcing, error);
    if (status == SW_OK && saved != NULL)
        status = recognise(arguments, options, saved, sourcing, error);
    bool added = sourcing->known == SW_RECORDING_NEW && sourcing->told.call.words > 0;
    if (status == SW_OK && saved != NULL && added)
        sw_told_drop_counts(&sourcing->told, &saved->sources);
    return status;
}

sw_status sw_sourcing_check_table(const sw_sourcing *sourcing, const sw_motor *saved,
                                  sw_error *error) {
    const sw_source *now = &sourcing->files.source[0];
    if (sourcing->known != SW_RECORDING_NEW || now->content[0] == '\0')
        return SW_OK;
    for (size_t i = 0; i < saved->sources.count; i++) {
        const sw_source *source = &saved->sources.source[i];
        if ((source->used_as & SW_USED_READINGS) != 0 && strcmp(source->name, now->name) == 0)
            return sw_fail(error, SW_MISMATCH,
                           "%s: an earlier state of this table is in the saved motor, and its rows "
                           "would count twice; put the new rows alone into another table, or "
                           "measure the whole of it anew (-o new.json)",
                           now->name);
    }
    return SW_OK;
}

sw_status sw_sourcing_enter(const sw_sourcing *sourcing, unsigned used_as, sw_motor *motor,
                            sw_error *error) {
    sw_status status = SW_OK;
    for (size_t i = 0; i < sourcing->files.count && status == SW_OK; i++) {
        sw_source source = sourcing->files.source[i];
        source.used_as = used_as;
        if (i == 0)
            sw_source_describe(&sourcing->told.call, &source);
        status = sw_source_add(&motor->sources, &source, error);
    }
    return status;
}

/* ---- other files ---- */

sw_status sw_source_enter_file(const char *path, unsigned used_as, sw_motor *motor,
                               sw_error *error) {
    sw_source source = {.part = 1, .used_as = used_as};
    sw_text_copy(path, source.name, sizeof source.name);
    sw_status status = sw_content_of(path, source.content, error);
    return status == SW_OK ? sw_source_add(&motor->sources, &source, error) : status;
}

sw_status sw_source_used(const sw_motor *motor, const char *path, unsigned use, bool *known,
                         sw_error *error) {
    char content[SW_CONTENT_ROOM];
    sw_status status = sw_content_of(path, content, error);
    const sw_source *found = status == SW_OK ? sw_source_find(&motor->sources, content) : NULL;
    *known = found != NULL && (found->used_as & use) != 0;
    return status;
}
