/* Tests may use POSIX: a folder and a named pipe. */
#define _XOPEN_SOURCE 700

#include "tests/cli/support_wrong.h"

#include "shared/files.h"
#include "tests/support.h"

#include <cjson/cJSON.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

enum { PATH_ROOM = 512, OUTPUT_ROOM = 4096, RATE = 8000, HEADER = 44 };

static void put(const char *directory, const char *name, const void *data, size_t length) {
    char path[2 * PATH_ROOM];
    sw_error error;
    snprintf(path, sizeof path, "%s/%s", directory, name);
    assert_ok(sw_file_save(path, data, length, true, &error), &error);
}

static void put_text(const char *directory, const char *name, const char *text) {
    put(directory, name, text, strlen(text));
}

static void little_endian(unsigned char *at, unsigned long value, int bytes) {
    for (int i = 0; i < bytes; i++)
        at[i] = (unsigned char)(value >> (8 * i));
}

/* One second of a 50 Hz tone, 16 bit, mono; the canonical RIFF/WAVE header of 44 bytes. */
static void put_sound(const char *directory, const char *name, unsigned long rate_hz,
                      size_t length) {
    static unsigned char bytes[HEADER + 2 * RATE];
    memcpy(bytes, "RIFF....WAVEfmt ", 16);
    little_endian(bytes + 4, sizeof bytes - 8, 4);
    little_endian(bytes + 16, 16, 4);
    little_endian(bytes + 20, 1, 2);
    little_endian(bytes + 22, 1, 2);
    little_endian(bytes + 24, rate_hz, 4);
    little_endian(bytes + 28, 2 * rate_hz, 4);
    little_endian(bytes + 32, 2, 2);
    little_endian(bytes + 34, 16, 2);
    memcpy(bytes + 36, "data", 4);
    little_endian(bytes + 40, sizeof bytes - HEADER, 4);
    for (int i = 0; i < RATE; i++) {
        long sample = lround(20000 * sin(2 * acos(-1) * 50 * i / RATE));
        little_endian(bytes + HEADER + 2L * i, (unsigned long)sample, 2);
    }
    put(directory, name, bytes, length);
}

static void put_table(const char *directory) {
    static char text[40000];
    size_t used = (size_t)snprintf(text, sizeof text, "time,volts\n");
    for (int i = 0; i < 1000; i++)
        used += (size_t)snprintf(text + used, sizeof text - used, "%.3f,%.4f\n", i * 1e-3,
                                 5 * sin(2 * acos(-1) * 20 * i * 1e-3));
    put_text(directory, "good.csv", text);
    char *row = strstr(text, "\n0.500,");
    memcpy(row, "\n0.5x0,", 7);
    put_text(directory, "badrow.csv", text);
}

static void put_documents(const char *directory) {
    put_text(directory, "motor.json",
             "{\"document\": \"motor\", \"version\": 1, \"kind\": \"magnet-ac\", \"phases\": 3,\n"
             " \"pole_pairs\": 24, \"voltage_constant\": \"0.1 V/rpm\",\n"
             " \"winding_resistance\": \"1.2 ohm\", \"winding_inductance\": \"3 mH\"}\n");
    put_text(directory, "rotor.json",
             "{\"document\": \"rotor\", \"version\": 1, \"kind\": \"cups\", \"vanes\": 6,\n"
             " \"vane_width\": \"400mm\", \"vane_height\": \"1200mm\", \"arm\": \"700mm\",\n"
             " \"drag_front\": 1.8, \"drag_back\": 0.8, \"shielded\": 0,\n"
             " \"rim_diameter\": \"1900mm\"}\n");
    put_text(directory, "site.json",
             "{\"document\": \"site\", \"version\": 1,\n"
             " \"mean_wind\": \"4.5 m/s\"}\n");
    put_text(directory, "load.json",
             "{\"document\": \"load\", \"version\": 1,\n"
             " \"kind\": \"battery\", \"voltage\": \"24 V\"}\n");
}

int support_wrong_setup(void **state) {
    char *directory = malloc(PATH_ROOM);
    if (directory == NULL)
        return -1;
    support_temporary_directory(directory, PATH_ROOM);
    put_sound(directory, "good.wav", RATE, HEADER + 2 * RATE);
    put_sound(directory, "cut.wav", RATE, 20);
    put_sound(directory, "norate.wav", 0, HEADER + 2 * RATE);
    put_sound(directory, "nosound.wav", RATE, HEADER);
    put(directory, "binary.bin",
        "\x7f"
        "ELF\0\1\2\3\xff\xfe\0\0 \0",
        14);
    put_text(directory, "empty", "");
    put_text(directory, "there.json", "{}\n");
    put_table(directory);
    put_documents(directory);
    char path[2 * PATH_ROOM];
    snprintf(path, sizeof path, "%s/pipe", directory);
    int failed = mkfifo(path, 0600);
    snprintf(path, sizeof path, "%s/none", directory);
    failed = failed || mkdir(path, 0700);
    *state = directory;
    return failed ? -1 : 0;
}

int support_wrong_teardown(void **state) {
    support_remove_tree(*state);
    free(*state);
    return 0;
}

/* A complaint about a row; what is wrong with one does not hide the others. */
static bool wrong(const wrong_use *row, const char *option, const char *what, const char *found) {
    print_error("spinworth %s %s\n  %s: %s\n", row->arguments, option, what, found);
    return false;
}

static bool has_pieces(const char *message, const char *pieces) {
    bool all = true;
    while (*pieces != '\0') {
        char piece[200];
        size_t length = strcspn(pieces, "|");
        snprintf(piece, sizeof piece, "%.*s", (int)length, pieces);
        all = all && strstr(message, piece) != NULL;
        pieces += length + (pieces[length] == '|');
    }
    return all;
}

/* One line that ends, and is free of what a terminal would act on. */
static bool is_one_line(const char *message) {
    size_t length = strlen(message);
    bool one = length > 20 && strchr(message, '\n') == message + length - 1;
    for (size_t i = 0; i + 1 < length; i++)
        one = one && (unsigned char)message[i] >= ' ';
    return one;
}

/* Runs the row; true when status, silence on standard output and one line of errors are right. */
static bool run(const char *directory, const wrong_use *row, const char *option, char *err) {
    char line[3 * PATH_ROOM];
    char out[OUTPUT_ROOM];
    char status[40];
    const char *shell = row->shell != NULL ? row->shell : "";
    snprintf(line, sizeof line, "cd %s && { %s %s %s %s; }", directory, TEST_SPINWORTH,
             row->arguments, option, shell);
    int exit_status = support_run(line, out, sizeof out, err, OUTPUT_ROOM);
    snprintf(status, sizeof status, "exit status %d, not %d", exit_status, row->exit_status);
    if (exit_status != row->exit_status)
        return wrong(row, option, status, err);
    if (out[0] != '\0')
        return wrong(row, option, "standard output is not empty", out);
    return is_one_line(err) || wrong(row, option, "not one clear line", err);
}

static bool check_plain(const char *directory, const wrong_use *row, char *message) {
    char err[OUTPUT_ROOM];
    if (!run(directory, row, "", err))
        return false;
    const char *colon = strstr(err, ": ");
    if (strncmp(err, "spinworth", 9) != 0 || colon == NULL)
        return wrong(row, "", "does not say who speaks", err);
    snprintf(message, OUTPUT_ROOM, "%.*s", (int)strcspn(colon + 2, "\n"), colon + 2);
    return has_pieces(message, row->says) || wrong(row, "", row->says, err);
}

static bool check_json(const char *directory, const wrong_use *row, const char *message) {
    char err[OUTPUT_ROOM];
    if (!run(directory, row, "--json", err))
        return false;
    cJSON *root = cJSON_Parse(err);
    const cJSON *name = cJSON_GetObjectItemCaseSensitive(root, "error");
    const cJSON *text = cJSON_GetObjectItemCaseSensitive(root, "message");
    bool same =
        cJSON_IsString(name) && cJSON_IsString(text) && strcmp(text->valuestring, message) == 0;
    cJSON_Delete(root);
    return same || wrong(row, "--json", message, err);
}

void support_wrong_check(const char *directory, const wrong_use *rows, size_t count) {
    size_t failed = 0;
    for (size_t i = 0; i < count; i++) {
        char message[OUTPUT_ROOM];
        if (rows[i].file != NULL)
            put_text(directory, rows[i].file, rows[i].text);
        bool fine =
            check_plain(directory, &rows[i], message) && check_json(directory, &rows[i], message);
        failed += !fine;
    }
    if (failed > 0)
        fail_msg("%zu of %zu rows", failed, count);
}
