/* measure: a recording (or hand readings, or facts read off a meter) -> the motor record. */
#include "shared/files.h"
#include "shared/json_write.h"
#include "src/cli/measure_mechanics.h"
#include "src/cli/measure_request.h"
#include "src/measure/family.h"
#include "src/measure/marks.h"
#include "src/measure/merge.h"
#include "src/measure/sensor.h"
#include "src/report/bench_text.h"
#include "src/report/family_text.h"
#include "src/report/motor_text.h"

#include <string.h>

/* How the main recording was analysed, and its cycles. */
typedef struct main_run {
    sw_measure_request request;
    sw_course course;
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
static sw_status measure_files(const sw_cli *cli, const sw_arguments *arguments,
                               const sw_motor *known, main_run *run, sw_motor *motor,
                               sw_text *notes, sw_error *error) {
    sw_recording_request files;
    sw_recording recording;
    sw_status status = sw_measure_request_from(cli, arguments, &run->request, error);
    run->request.slots = known->slots;
    if (status == SW_OK)
        status = sw_recording_request_from(cli, arguments, &files, error);
    if (status == SW_OK)
        status = sw_recording_load(&files, &recording, error);
    if (status != SW_OK)
        return status;
    sw_text_add(notes, "%s", sw_text_string(&recording.notes));
    if (recording.is_readings)
        status = analyse_readings(recording.readings, arguments, &run->request, known->phases,
                                  motor, error);
    else
        status = analyse(&recording, run, motor, error);
    sw_recording_free(&recording);
    return status;
}

/* A motor only written down, never recorded: needs something to say of its voltage. */
static sw_status start_from_saved(const sw_cli *cli, const sw_arguments *arguments, sw_motor *motor,
                                  sw_error *error) {
    const char *into = sw_argument(arguments, "--into");
    if (into == NULL)
        return sw_fail(error, SW_USAGE,
                       "no recording given; give one, or a saved motor with --into motor.json");
    return sw_motor_read(into, cli->units, motor, error);
}

static sw_status gather(const sw_cli *cli, const sw_arguments *arguments, main_run *run,
                        sw_motor *motor, sw_text *notes, sw_error *error) {
    const char *into = sw_argument(arguments, "--into");
    sw_motor facts;
    bool any_facts = false;
    sw_status status = sw_measure_facts_from(cli, arguments, &facts, &any_facts, error);
    if (status != SW_OK)
        return status;
    if (arguments->words == 0) {
        status = start_from_saved(cli, arguments, motor, error);
        if (status == SW_OK && !any_facts && !sw_mechanics_given(arguments))
            return sw_fail(error, SW_USAGE,
                           "--into needs a recording or a fact to add, for example "
                           "--resistance 1.2ohm (turns and magnets that were counted go with "
                           "their recording: REC.wav --magnets 48 --into M.json)");
    } else {
        sw_motor saved;
        sw_motor known = facts;
        if (into != NULL)
            status = sw_motor_read(into, cli->units, &saved, error);
        if (status == SW_OK && into != NULL && known.slots == 0)
            known.slots = saved.slots;
        if (status == SW_OK)
            status = measure_files(cli, arguments, &known, run, motor, notes, error);
        if (status == SW_OK && into != NULL) {
            status = sw_motor_merge(&saved, motor, error);
            if (status == SW_OK)
                *motor = saved;
        }
    }
    return status == SW_OK && any_facts ? sw_motor_merge(motor, &facts, error) : status;
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

/* All that is told of a motor. */
typedef struct outcome {
    sw_motor motor;
    sw_family_guess family;
    sw_bench bench;
    sw_text notes;
} outcome;

static sw_status print_text(const sw_cli *cli, const sw_arguments *arguments, const outcome *told,
                            sw_error *error) {
    sw_text text = {0};
    sw_motor_text_options options = {cli->details, target_of(arguments), &told->family};
    if (sw_argument_given(arguments, "--explain"))
        sw_text_add(&text, "How the file was understood\n%s\n", sw_text_string(&told->notes));
    sw_motor_text(&told->motor, &options, &text);
    sw_bench_text(&told->bench, &told->motor, &text);
    if (options.saved_as != NULL)
        sw_text_add(&text, "\nSaved as %s.\n", options.saved_as);
    sw_status status = sw_cli_print_text(&text, error);
    sw_text_free(&text);
    return status;
}

static sw_status save_and_print_json(const sw_cli *cli, const sw_arguments *arguments,
                                     const outcome *told, sw_error *error) {
    cJSON *root = sw_motor_to_json(&told->motor);
    sw_bench_json(&told->bench, root);
    cJSON_AddItemToObject(root, "family", sw_family_to_json(&told->family));
    if (told->family.count == 0)
        sw_json_add_unknown(root, "family", "needs a voltage for each turn, or the pole pairs");
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
    sw_status status = gather(cli, arguments, &main_one, &told->motor, &told->notes, error);
    if (status == SW_OK)
        status = sw_mechanics_add(cli, arguments, &main_one.request, &main_one.course, &told->motor,
                                  &told->bench, error);
    sw_cycles_free(&main_one.course.cycles);
    if (status != SW_OK)
        return status;
    sw_sensor_check(&told->motor);
    return sw_family_guess_at(cli->reference_dir, &told->motor, &told->family, error);
}

static sw_status run(const sw_cli *cli, const sw_arguments *arguments, sw_error *error) {
    outcome told = {.notes = {0}};
    sw_status status = check_target(arguments, error);
    if (status == SW_OK)
        status = sw_mechanics_check(arguments, error);
    if (status == SW_OK)
        status = measure(cli, arguments, &told, error);
    if (status == SW_OK && !sw_argument_given(arguments, "--budget"))
        told.motor.budget.lines = 0;
    if (status == SW_OK)
        status = save_and_print_json(cli, arguments, &told, error);
    if (status == SW_OK && !cli->json)
        status = print_text(cli, arguments, &told, error);
    sw_text_free(&told.notes);
    return status;
}

const sw_command sw_command_measure = {
    .name = "measure",
    .summary = "a recording of the spinning motor -> what the motor is",
    .usage = "spinworth measure RECORDING... [OPTIONS]",
    .about = "Reads a sound file (WAV, FLAC, ...), a scope's CSV or a table of hand readings,\n"
             "and says what the motor is: whether it generates, from which speed it\n"
             "charges, its pole pairs, its voltage constant. Several files are the channels\n"
             "of one recording. More evidence goes into a saved motor with --into.",
    .example = "  You hold a drill to the shaft, clip two wires to the sound input and record\n"
               "  ten seconds. The drill's plate says about 300 turns a minute:\n"
               "    spinworth measure drum.wav --probe probe.json --about 300rpm -o drum.json\n"
               "  It answers in a sentence (Yes, it generates. ...), gives a reading to check\n"
               "  it by with a multimeter, then the numbers. Later, with a multimeter:\n"
               "    spinworth measure --into drum.json --resistance 7.4ohm --test-leads 0.2ohm",
    .options = SW_MEASURE_OPTIONS,
    .run = run,
};
