/* The list of sound inputs. */
#include "probes/capture/sound_system.h"

#include <stdlib.h>

static sw_status list_devices(sw_input_list *list, sw_error *error) {
    int count = Pa_GetDeviceCount();
    if (count <= 0)
        return SW_OK;
    list->input = calloc((size_t)count, sizeof *list->input);
    if (list->input == NULL)
        return sw_fail(error, SW_MEMORY, "not enough memory for %d inputs", count);
    for (int i = 0; i < count; i++)
        if (sw_sound_system_describe(i, &list->input[list->count]))
            list->count++;
    return SW_OK;
}

sw_status sw_inputs_list(sw_input_list *list, sw_error *error) {
    *list = (sw_input_list){0};
    sw_status status = sw_sound_system_begin(error);
    if (status != SW_OK)
        return status;
    status = list_devices(list, error);
    sw_sound_system_end();
    return status;
}

void sw_inputs_free(sw_input_list *list) {
    free(list->input);
    *list = (sw_input_list){0};
}
