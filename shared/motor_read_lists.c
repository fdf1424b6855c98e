/* Reading the parts of a motor document that are lists or small objects: pole pairs with their
 * candidates, harmonics, the wave, the stretch that was used, warnings. */
#include "shared/motor_parts.h"
#include "shared/text.h"

#include <math.h>

static sw_status read_candidates(const sw_node *node, sw_pole_pairs *poles, sw_error *error) {
    static const char *const ROW[] = {"value", "probability", NULL};
    sw_node list;
    size_t count = 0;
    sw_status status =
        sw_node_list(node, "candidates", SW_MOTOR_CANDIDATE_LIMIT, &list, &count, error);
    for (size_t i = 0; i < count && status == SW_OK; i++) {
        sw_node row = sw_node_item(&list, i);
        sw_pole_candidate *candidate = &poles->candidate[i];
        status = sw_node_allow(&row, ROW, error);
        if (status == SW_OK)
            status = sw_node_integer(&row, "value", 1, 1000, &candidate->pole_pairs, error);
        if (status == SW_OK)
            status = sw_node_number(&row, "probability", 0, 1, &candidate->probability, error);
        poles->candidates = i + 1;
    }
    return status;
}

static sw_status read_sentences(const sw_node *node, const char *key, size_t most,
                                char (*sentence)[SW_MOTOR_TEXT_ROOM], size_t *sentences,
                                sw_error *error) {
    sw_node list;
    size_t count = 0;
    sw_status status = sw_node_list(node, key, most, &list, &count, error);
    for (size_t i = 0; i < count && status == SW_OK; i++) {
        sw_node row = sw_node_item(&list, i);
        if (!cJSON_IsString(row.json))
            return sw_node_fail(&row, NULL, error, SW_FORMAT, "expected text in quotes");
        sw_text_copy(row.json->valuestring, sentence[i], sizeof sentence[i]);
        *sentences = i + 1;
    }
    return status;
}

/* A plain whole number (by hand) or the object that measuring writes. */
static sw_status read_pole_pairs(const sw_node *top, sw_motor *motor, sw_error *error) {
    static const char *const ALLOWED[] = {"value",    "probability", "candidates",
                                          "evidence", "against",     NULL};
    sw_pole_pairs *poles = &motor->pole_pairs;
    const cJSON *item = cJSON_GetObjectItemCaseSensitive(top->json, "pole_pairs");
    if (cJSON_IsNumber(item)) {
        poles->probability = 1;
        return sw_node_integer(top, "pole_pairs", 1, 1000, &poles->value, error);
    }
    sw_node node;
    sw_status status = sw_node_object(top, "pole_pairs", &node, error);
    if (status != SW_OK || node.json == NULL)
        return status;
    status = sw_node_allow(&node, ALLOWED, error);
    poles->probability = sw_node_has(&node, "value") ? 1 : 0;
    if (status == SW_OK)
        status = sw_node_integer(&node, "value", 1, 1000, &poles->value, error);
    if (status == SW_OK)
        status = sw_node_number(&node, "probability", 0, 1, &poles->probability, error);
    if (status == SW_OK)
        status = read_candidates(&node, poles, error);
    if (status == SW_OK)
        status = read_sentences(&node, "evidence", SW_MOTOR_EVIDENCE_LIMIT, poles->evidence,
                                &poles->evidences, error);
    if (status == SW_OK)
        status = read_sentences(&node, "against", SW_MOTOR_AGAINST_LIMIT, poles->against,
                                &poles->againsts, error);
    return status;
}

static sw_status read_harmonic(const sw_node *row, sw_harmonic *harmonic, sw_error *error) {
    static const char *const ROW[] = {"order", "relative", "angle_deg", NULL};
    sw_status status = sw_node_allow(row, ROW, error);
    if (status == SW_OK)
        status = sw_node_need(row, "order", "5", error);
    if (status == SW_OK)
        status = sw_node_integer(row, "order", 1, 99, &harmonic->order, error);
    if (status == SW_OK)
        status = sw_node_need(row, "relative", "0.03", error);
    if (status == SW_OK)
        status = sw_node_number(row, "relative", 0, 10, &harmonic->relative, error);
    if (status == SW_OK)
        status = sw_node_number(row, "angle_deg", -3600, 3600, &harmonic->angle_deg, error);
    return status;
}

static sw_status read_harmonics(const sw_node *top, sw_motor *motor, sw_error *error) {
    static const char *const ALLOWED[] = {"of", "list", NULL};
    static const char *const OF[] = {"line", "phase", NULL};
    sw_node node;
    sw_node list = {0};
    int of = 0;
    sw_status status = sw_node_object(top, "harmonics", &node, error);
    if (status != SW_OK || node.json == NULL)
        return status;
    status = sw_node_allow(&node, ALLOWED, error);
    if (status == SW_OK)
        status = sw_node_word(&node, "of", OF, &of, error);
    size_t count = 0;
    if (status == SW_OK)
        status = sw_node_list(&node, "list", SW_MOTOR_HARMONIC_LIMIT, &list, &count, error);
    motor->harmonics_of_phase = of == 1;
    for (size_t i = 0; i < count && status == SW_OK; i++) {
        sw_node row = sw_node_item(&list, i);
        status = read_harmonic(&row, &motor->harmonic[i], error);
        motor->harmonics = i + 1;
    }
    return status;
}

static sw_status read_wave(const sw_node *top, sw_motor *motor, sw_error *error) {
    static const char *const ALLOWED[] = {"form_factor", "crest_factor", "distortion", NULL};
    sw_quantity *const targets[] = {&motor->form_factor, &motor->crest_factor, &motor->distortion};
    sw_node node;
    sw_status status = sw_node_object(top, "wave", &node, error);
    if (status != SW_OK || node.json == NULL)
        return status;
    status = sw_node_allow(&node, ALLOWED, error);
    for (size_t i = 0; ALLOWED[i] != NULL && status == SW_OK; i++) {
        double value = NAN;
        status = sw_node_number(&node, ALLOWED[i], 0, 1e6, &value, error);
        if (status == SW_OK && !isnan(value))
            *targets[i] = sw_quantity_of(value, NAN, "1");
    }
    return status;
}

static sw_status read_stretch(const sw_node *top, sw_motor *motor, sw_error *error) {
    static const char *const ALLOWED[] = {"from_s", "to_s", NULL};
    sw_node node;
    sw_status status = sw_node_object(top, "stretch", &node, error);
    if (status != SW_OK || node.json == NULL)
        return status;
    status = sw_node_allow(&node, ALLOWED, error);
    if (status == SW_OK)
        status = sw_node_number(&node, "from_s", -1e9, 1e9, &motor->stretch_from_s, error);
    if (status == SW_OK)
        status = sw_node_number(&node, "to_s", -1e9, 1e9, &motor->stretch_to_s, error);
    return status;
}

static sw_status read_warning(const sw_node *row, sw_motor *motor, sw_error *error) {
    static const char *const ROW[] = {"code", "message", NULL};
    const char *names[SW_WARN_COUNT + 1] = {NULL};
    for (int i = 0; i < SW_WARN_COUNT; i++)
        names[i] = sw_warning_name((sw_warning_code)i);
    int code = 0;
    const char *message = "";
    sw_status status = sw_node_allow(row, ROW, error);
    if (status == SW_OK)
        status = sw_node_need(row, "code", "\"clipped\"", error);
    if (status == SW_OK)
        status = sw_node_word(row, "code", names, &code, error);
    if (status == SW_OK)
        status = sw_node_text(row, "message", &message, error);
    if (status == SW_OK)
        sw_motor_warn(motor, (sw_warning_code)code, "%s", message);
    return status;
}

static sw_status read_warnings(const sw_node *top, sw_motor *motor, sw_error *error) {
    sw_node list;
    size_t count = 0;
    sw_status status = sw_node_list(top, "warnings", SW_MOTOR_WARNING_LIMIT, &list, &count, error);
    for (size_t i = 0; i < count && status == SW_OK; i++) {
        sw_node row = sw_node_item(&list, i);
        status = read_warning(&row, motor, error);
    }
    return status;
}

sw_status sw_motor_read_lists(const sw_node *top, sw_motor *motor, sw_error *error) {
    sw_status status = read_pole_pairs(top, motor, error);
    if (status == SW_OK)
        status = read_harmonics(top, motor, error);
    if (status == SW_OK)
        status = read_wave(top, motor, error);
    if (status == SW_OK)
        status = read_stretch(top, motor, error);
    return status == SW_OK ? read_warnings(top, motor, error) : status;
}
