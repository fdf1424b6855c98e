/* measure: a recording (or hand readings, or facts read off a meter) -> the motor record. */
#include "shared/files.h"
#include "shared/json_write.h"
#include "src/cli/measure_facts.h"
#include "src/cli/measure_mechanics.h"
#include "src/cli/measure_request.h"
#include "src/cli/measure_sources.h"
#include "src/measure/family.h"
#include "src/measure/marks.h"
#include "src/measure/merge.h"
#include "src/measure/sensor.h"
#include "src/report/bench_text.h"
#include "src/report/family_text.h"
#include "src/report/motor_text.h"

#include <string.h>

/* All that is told of a motor. */
typedef struct outcome {
    sw_motor motor;
    sw_family_guess family;
    sw_bench bench;
    sw_text notes;  /* how the file was understood */
    sw_text remark; /* what became of evidence that was there before */
} outcome;

/* How the main recording was analysed, and its cycles. */
typedef struct main_run {
    sw_measure_request request;
    sw_course course;
    sw_motor before;       /* what --into names */
    const sw_motor *saved; /* the same, NULL without */
    sw_sourcing sourcing;
} main_run;

static sw_status analyse(const sw_recording *recording, main_run *run, sw_motor *motor,
                         sw_error *error) {
    sw_profile *profile = &run->request.profile;
    bool sound = recording->waveform.coupling == SW_COUPLING_AC;
    if (!profile->calibrated)
        *profile = sound ? sw_profile_uncalibrated() : sw_profile_scope();
    sw_status status = sw_measure_course(&recording->waveform, recording->clipped, &run->request,
                                         motor, &run->course, error);
    if (status == SW_OK)
        sw_marks_warn(&recording->marks, recording->waveform.rate_hz, motor);
    return status;
}

/* What was written down by hand; --meter and --phases go before what the table says. */
static sw_status analyse_readings(sw_readings *readings, const sw_arguments *arguments,
                                  const sw_measure_request *request, int phases, sw_motor *motor,
                                  sw_error *error) {
    const char *meter = sw_argument(arguments, "--meter");
    if (meter != NULL) {
        sw_status status = sw_meter_find(meter, &readings->meter, error);
        if (status != SW_OK)
            return sw_fail_within(error, "--meter");
        readings->meter_said = true;
    }
    if (phases > 0)
        readings->phases = phases;
    return sw_measure_readings(readings, request, motor, error);
}

/* Measure the recordings; the notes on how they were understood are moved to *notes. known: facts
 * of the command line and of the saved motor. */
static sw_status measure_files(const sw_cli *cli, const sw_motor *known, main_run *run,
                               sw_motor *motor, bool *readings, sw_text *notes, sw_error *error) {
    const sw_arguments *call = &run->sourcing.told.call;
    sw_recording_request files;
    sw_recording recording;
    sw_status status = sw_measure_request_from(cli, call, &run->request, error);
    run->request.slots = known->slots;
    run->request.brushed = known->kind == SW_BRUSHED;
    if (status == SW_OK)
        status = sw_recording_request_from(cli, call, &files, error);
    if (status == SW_OK)
        status = sw_recording_load(&files, &recording, error);
    if (status != SW_OK)
        return status;
    sw_text_add(notes, "%s", sw_text_string(&recording.notes));
    *readings = recording.is_readings;
    if (recording.is_readings)
        status =
            analyse_readings(recording.readings, call, &run->request, known->phases, motor, error);
    else
        status = analyse(&recording, run, motor, error);
    sw_recording_free(&recording);
    return status;
}

static sw_status nothing_asked(const sw_arguments *arguments, sw_error *error) {
    if (!sw_argument_given(arguments, "--into"))
        return sw_fail(error, SW_USAGE,
                       "no recording given; give one, or a saved motor with --into motor.json");
    return sw_fail(error, SW_USAGE,
                   "--into needs a recording or a fact to add, for example --resistance 1.2ohm or "
                   "--magnets 48");
}

/* The recording into the saved motor, as it stands to it. */
static sw_status join_recording(const sw_motor *saved, sw_acquaintance known, sw_motor *motor,
                                sw_error *error) {
    sw_motor joined = *saved;
    sw_status status = SW_OK;
    if (known == SW_RECORDING_NEW)
        status = sw_motor_merge(&joined, motor, error);
    else if (known == SW_RECORDING_RENEWS)
        status = sw_motor_renew(&joined, motor, error);
    *motor = joined;
    return status;
}

static void remark_on_recording(const main_run *run, sw_text *remark) {
    const char *name = run->sourcing.files.source[0].name;
    const char *into = sw_argument(&run->sourcing.told.call, "--into");
    if (run->sourcing.known == SW_RECORDING_RENEWS)
        sw_text_add(remark,
                    "%s is in %s already: measured again, it takes the place of what it gave "
                    "before. ",
                    name, into);
    else if (run->sourcing.known == SW_RECORDING_KNOWN)
        sw_text_add(remark,
                    "%s is in %s already: its volts and hertz were not counted a second time. ",
                    name, into);
}

/* A recording, with the saved motor where there is one. */
static sw_status gather_recording(const sw_cli *cli, const sw_motor *facts, main_run *run,
                                  sw_motor *motor, outcome *told, sw_error *error) {
    const sw_motor *saved = run->saved;
    sw_motor known = *facts;
    bool readings = false;
    if (saved != NULL && known.slots == 0)
        known.slots = saved->slots;
    if (saved != NULL && saved->kind == SW_BRUSHED)
        known.kind = SW_BRUSHED;
    sw_status status = measure_files(cli, &known, run, motor, &readings, &told->notes, error);
    if (status == SW_OK && readings && saved != NULL)
        status = sw_sourcing_check_table(&run->sourcing, saved, error);
    if (status == SW_OK)
        status = sw_sourcing_enter(&run->sourcing, readings ? SW_USED_READINGS : SW_USED_OPEN,
                                   motor, error);
    if (status == SW_OK && saved != NULL)
        status = join_recording(saved, run->sourcing.known, motor, error);
    if (status == SW_OK)
        remark_on_recording(run, &told->remark);
    return status;
}

static sw_status gather(const sw_cli *cli, const sw_arguments *arguments, main_run *run,
                        outcome *told, sw_error *error) {
    const char *into = sw_argument(arguments, "--into");
    sw_motor *motor = &told->motor;
    sw_motor facts;
    bool any_facts = false;
    sw_status status = sw_measure_facts_from(cli, arguments, &facts, &any_facts, error);
    if (status == SW_OK && arguments->words == 0 && into == NULL)
        return nothing_asked(arguments, error);
    if (status == SW_OK && into != NULL)
        status = sw_motor_read(into, cli->units, motor, error);
    if (status != SW_OK)
        return status;
    run->before = *motor;
    run->saved = into != NULL ? &run->before : NULL;
    status = sw_sourcing_begin(arguments, SW_MEASURE_OPTIONS, run->saved, &run->sourcing, error);
    const sw_arguments *call = &run->sourcing.told.call;
    bool counts = sw_argument_given(call, "--magnets") || sw_argument_given(call, "--detents");
    if (status == SW_OK && call->words > 0)
        status = gather_recording(cli, &facts, run, motor, told, error);
    else if (status == SW_OK && !any_facts && !counts && !sw_mechanics_given(arguments))
        status = nothing_asked(arguments, error);
    else if (status == SW_OK)
        status = sw_measure_add_counts(cli, call, motor, &told->remark, error);
    return status == SW_OK && any_facts
               ? sw_measure_add_facts(arguments, &facts, motor, &told->remark, error)
               : status;
}

/* Where to save: -o, else back into the saved motor; NULL = nowhere. */
static const char *target_of(const sw_arguments *arguments) {
    const char *output = sw_argument(arguments, "--output");
    return output != NULL ? output : sw_argument(arguments, "--into");
}

static sw_status check_target(const sw_arguments *arguments, sw_error *error) {
    const char *output = sw_argument(arguments, "--output");
    bool force = sw_argument_given(arguments, "--force");
    return output == NULL ? SW_OK : sw_file_check_target(output, force, error);
}

static sw_status save(const sw_arguments *arguments, const cJSON *root, sw_error *error) {
    const char *target = target_of(arguments);
    if (target == NULL)
        return SW_OK;
    bool own = sw_argument(arguments, "--output") == NULL;
    return sw_json_save(root, target, own || sw_argument_given(arguments, "--force"), error);
}

static sw_status print_text(const sw_cli *cli, const sw_arguments *arguments, const outcome *told,
                            sw_error *error) {
    sw_text text = {0};
    sw_text call = {0};
    sw_cli_add_call("measure", arguments, &call);
    sw_motor_text_options options = {cli->details, target_of(arguments), &told->family,
                                     sw_text_string(&call)};
    if (sw_argument_given(arguments, "--explain"))
        sw_text_add(&text, "How the file was understood\n%s\n", sw_text_string(&told->notes));
    sw_motor_text(&told->motor, &options, &text);
    sw_bench_text(&told->bench, &told->motor, &text);
    if (told->remark.length > 0) {
        sw_text_add(&text, "\n");
        sw_text_paragraph(&text, 0, "%s", sw_text_string(&told->remark));
    }
    if (options.saved_as != NULL)
        sw_text_add(&text, "\nSaved as %s.\n", options.saved_as);
    sw_status status = sw_cli_print_text(&text, error);
    sw_text_free(&text);
    sw_text_free(&call);
    return status;
}

static sw_status save_and_print_json(const sw_cli *cli, const sw_arguments *arguments,
                                     const outcome *told, sw_error *error) {
    cJSON *root = sw_motor_to_json(&told->motor);
    sw_bench_json(&told->bench, root);
    cJSON_AddItemToObject(root, "family", sw_family_to_json(&told->family));
    if (told->family.count == 0)
        sw_json_add_unknown(root, "family", sw_family_reason(&told->motor));
    sw_status status = save(arguments, root, error);
    if (status == SW_OK && cli->json) {
        if (sw_argument_given(arguments, "--explain"))
            cJSON_AddStringToObject(root, "understood", sw_text_string(&told->notes));
        status = sw_cli_print_json(root, error);
    }
    cJSON_Delete(root);
    return status;
}

static sw_status measure(const sw_cli *cli, const sw_arguments *arguments, outcome *told,
                         sw_error *error) {
    main_run main_one = {.request = sw_measure_default(), .course = {.line_over_lead = 1}};
    sw_status status = gather(cli, arguments, &main_one, told, error);
    if (status == SW_OK)
        status = sw_mechanics_add(cli, &main_one.sourcing.told.call, &main_one.request,
                                  &main_one.course, &told->motor, &told->bench, error);
    if (status == SW_OK && told->bench.has_rundown)
        status = sw_sourcing_enter(&main_one.sourcing, SW_USED_RUN_DOWN, &told->motor, error);
    sw_cycles_free(&main_one.course.cycles);
    if (status != SW_OK)
        return status;
    sw_sensor_check(&told->motor);
    status = sw_family_guess_at(cli->reference_dir, &told->motor, &told->family, error);
    sw_family_check_volts(&told->family, &told->motor);
    return status;
}

static sw_status run(const sw_cli *cli, const sw_arguments *arguments, sw_error *error) {
    outcome told = {.notes = {0}, .remark = {0}};
    sw_status status = check_target(arguments, error);
    if (status == SW_OK)
        status = sw_mechanics_check(arguments, error);
    if (status == SW_OK)
        status = measure(cli, arguments, &told, error);
    if (status == SW_OK && !sw_argument_given(arguments, "--budget"))
        told.motor.budget.lines = told.bench.brushed.budget.lines = 0;
    if (status == SW_OK)
        status = save_and_print_json(cli, arguments, &told, error);
    if (status == SW_OK && !cli->json)
        status = print_text(cli, arguments, &told, error);
    sw_text_free(&told.notes);
    sw_text_free(&told.remark);
    return status;
}

const sw_command sw_command_measure = {
    .name = "measure",
    .summary = "a recording of the spinning motor -> what the motor is",
    .usage = "spinworth measure RECORDING... [OPTIONS]",
    .about = "Reads a sound file (WAV, FLAC, ...), a scope's CSV or a table of hand readings,\n"
             "and says what the motor is: whether it generates, from which speed it\n"
             "charges, its pole pairs, its voltage constant. Several files are the channels\n"
             "of one recording. More evidence goes into a saved motor with --into; a recording\n"
             "that is in it already is measured anew and does not count twice.",
    .example = "  You hold a drill to the shaft, clip two wires to the sound input and record\n"
               "  ten seconds. The drill's plate says about 300 turns a minute:\n"
               "    spinworth measure drum.wav --probe probe.json --about 300rpm -o drum.json\n"
               "  It answers in a sentence (Yes, it generates. ...), gives a reading to check\n"
               "  it by with a multimeter, then the numbers. Later, with a multimeter:\n"
               "    spinworth measure --into drum.json --resistance 7.4ohm --test-leads 0.2ohm\n"
               "  and, while drum.wav is where it was, whatever else you know of it by then:\n"
               "    spinworth measure --into drum.json --magnets 48",
    .options = SW_MEASURE_OPTIONS,
    .run = run,
};
