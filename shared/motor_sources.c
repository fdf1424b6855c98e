/* The evidence that a motor record was made from: which files, by their fingerprints, what each
 * was used for, and what was said with it. */
#include "shared/json_write.h"
#include "shared/motor_parts.h"
#include "shared/text.h"

#include <string.h>

static const char FINGERPRINT[] = "fnv1a64:";

static const char *const USES[] = {"open",       "readings", "run_down",
                                   "second_run", "loaded",   "by_hand"};
enum { USE_COUNT = sizeof USES / sizeof *USES };

const sw_source *sw_source_find(const sw_sources *sources, const char *content) {
    for (size_t i = 0; i < sources->count && content[0] != '\0'; i++)
        if (strcmp(sources->source[i].content, content) == 0)
            return &sources->source[i];
    return NULL;
}

/* By hand, the same words are the same reading. */
static sw_source *same(sw_sources *sources, const sw_source *wanted) {
    bool by_hand = wanted->used_as == SW_USED_BY_HAND;
    for (size_t i = 0; i < sources->count; i++) {
        sw_source *here = &sources->source[i];
        if (by_hand ? here->used_as == SW_USED_BY_HAND && strcmp(here->told, wanted->told) == 0
                    : wanted->content[0] != '\0' && strcmp(here->content, wanted->content) == 0)
            return here;
    }
    return NULL;
}

sw_status sw_source_add(sw_sources *sources, const sw_source *source, sw_error *error) {
    sw_source *here = same(sources, source);
    if (here == NULL && sources->count >= SW_MOTOR_SOURCE_LIMIT)
        return sw_fail(error, SW_UNSUPPORTED,
                       "the saved motor holds %d recordings and readings already, the most that it "
                       "can tell apart",
                       SW_MOTOR_SOURCE_LIMIT);
    if (here == NULL) {
        sources->source[sources->count++] = *source;
        return SW_OK;
    }
    here->used_as |= source->used_as;
    if (source->told[0] != '\0')
        memcpy(here->told, source->told, sizeof here->told);
    return SW_OK;
}

size_t sw_sources_recordings(const sw_sources *sources) {
    size_t count = 0;
    for (size_t i = 0; i < sources->count; i++) {
        bool spun = (sources->source[i].used_as & (SW_USED_OPEN | SW_USED_READINGS)) != 0;
        count += spun && sources->source[i].part <= 1;
    }
    return count;
}

/* ---- writing ---- */

static void add_told(cJSON *row, const char *told) {
    cJSON *list = cJSON_AddArrayToObject(row, "told");
    while (*told != '\0') {
        char word[SW_SOURCE_TEXT_ROOM];
        size_t length = strcspn(told, "\n");
        memcpy(word, told, length);
        word[length] = '\0';
        cJSON_AddItemToArray(list, cJSON_CreateString(word));
        told += length + (told[length] == '\n');
    }
}

static void add_source(cJSON *list, const sw_source *source) {
    cJSON *row = cJSON_CreateObject();
    cJSON_AddItemToArray(list, row);
    if (source->name[0] != '\0')
        cJSON_AddStringToObject(row, "name", source->name);
    if (source->content[0] != '\0') {
        char content[sizeof FINGERPRINT + SW_CONTENT_ROOM] = "";
        memcpy(content, FINGERPRINT, sizeof FINGERPRINT);
        strncat(content, source->content, SW_CONTENT_ROOM - 1);
        cJSON_AddStringToObject(row, "content", content);
    }
    if (source->part > 1)
        cJSON_AddNumberToObject(row, "part", source->part);
    cJSON *uses = cJSON_AddArrayToObject(row, "used_as");
    for (size_t i = 0; i < USE_COUNT; i++)
        if ((source->used_as >> i & 1U) != 0)
            cJSON_AddItemToArray(uses, cJSON_CreateString(USES[i]));
    if (source->told[0] != '\0')
        add_told(row, source->told);
}

void sw_sources_write(cJSON *root, const sw_sources *sources) {
    if (sources->count == 0)
        return;
    cJSON *list = cJSON_AddArrayToObject(root, "sources");
    for (size_t i = 0; i < sources->count; i++)
        add_source(list, &sources->source[i]);
}

/* ---- reading ---- */

static sw_status read_word(const sw_node *list, size_t i, const char **word, sw_error *error) {
    sw_node item = sw_node_item(list, i);
    if (!cJSON_IsString(item.json))
        return sw_node_fail(&item, NULL, error, SW_FORMAT, "expected text in quotes");
    *word = item.json->valuestring;
    return SW_OK;
}

static sw_status read_uses(const sw_node *row, sw_source *source, sw_error *error) {
    sw_node list;
    size_t count = 0;
    const char *word = NULL;
    sw_status status = sw_node_need(row, "used_as", "[\"open\"]", error);
    if (status == SW_OK)
        status = sw_node_list(row, "used_as", USE_COUNT, &list, &count, error);
    for (size_t k = 0; k < count && status == SW_OK; k++) {
        size_t i = 0;
        status = read_word(&list, k, &word, error);
        while (status == SW_OK && i < USE_COUNT && strcmp(USES[i], word) != 0)
            i++;
        if (status == SW_OK && i == USE_COUNT)
            return sw_node_fail(row, "used_as", error, SW_VALUE,
                                "found \"%.20s\", expected open, readings, run_down, second_run, "
                                "loaded or by_hand",
                                word);
        if (status == SW_OK)
            source->used_as |= 1U << i;
    }
    return status;
}

static sw_status read_told(const sw_node *row, sw_source *source, sw_error *error) {
    enum { WORD_LIMIT = 64 };
    sw_node list;
    size_t count = 0;
    size_t used = 0;
    const char *word = NULL;
    sw_status status = sw_node_list(row, "told", WORD_LIMIT, &list, &count, error);
    for (size_t i = 0; i < count && status == SW_OK; i++) {
        status = read_word(&list, i, &word, error);
        size_t length = status == SW_OK ? strlen(word) : 0;
        if (status == SW_OK && (used + length + 2 > sizeof source->told || strchr(word, '\n')))
            return sw_node_fail(row, "told", error, SW_VALUE,
                                "found a word with a line break or more than %d letters in all",
                                SW_SOURCE_TEXT_ROOM - 1);
        if (status != SW_OK)
            return status;
        memcpy(source->told + used, word, length);
        source->told[used + length] = '\n';
        source->told[used + length + 1] = '\0';
        used += length + 1;
    }
    return status;
}

static sw_status read_content(const sw_node *row, sw_source *source, sw_error *error) {
    const char *text = NULL;
    size_t before = sizeof FINGERPRINT - 1;
    sw_status status = sw_node_text(row, "content", &text, error);
    if (status != SW_OK || text == NULL)
        return status;
    if (strncmp(text, FINGERPRINT, before) != 0 ||
        strspn(text + before, "0123456789abcdef") != SW_CONTENT_ROOM - 1 ||
        strlen(text) != before + SW_CONTENT_ROOM - 1)
        return sw_node_fail(row, "content", error, SW_VALUE,
                            "found \"%.30s\", expected fnv1a64: and 16 hexadecimal digits", text);
    memcpy(source->content, text + before, SW_CONTENT_ROOM);
    return SW_OK;
}

static sw_status read_source(const sw_node *row, sw_source *source, sw_error *error) {
    static const char *const ALLOWED[] = {"name", "content", "part", "used_as", "told", NULL};
    const char *name = "";
    *source = (sw_source){.part = 1};
    sw_status status = sw_node_allow(row, ALLOWED, error);
    if (status == SW_OK)
        status = sw_node_text(row, "name", &name, error);
    if (status == SW_OK)
        status = read_content(row, source, error);
    if (status == SW_OK)
        status = sw_node_integer(row, "part", 1, 16, &source->part, error);
    if (status == SW_OK)
        status = read_uses(row, source, error);
    if (status == SW_OK)
        status = read_told(row, source, error);
    sw_text_copy(name, source->name, sizeof source->name);
    return status;
}

sw_status sw_sources_read(const sw_node *top, sw_sources *sources, sw_error *error) {
    sw_node list;
    size_t count = 0;
    sw_status status = sw_node_list(top, "sources", SW_MOTOR_SOURCE_LIMIT, &list, &count, error);
    for (size_t i = 0; i < count && status == SW_OK; i++) {
        sw_node row = sw_node_item(&list, i);
        status = read_source(&row, &sources->source[i], error);
        sources->count = i + 1;
    }
    return status;
}
