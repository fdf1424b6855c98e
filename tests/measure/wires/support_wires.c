#include "tests/measure/wires/support_wires.h"

#include "tests/support.h"

sw_wire_finding find_wires(const sw_wires *wires) {
    sw_wire_finding finding;
    sw_error error;
    assert_ok(sw_wires_find(wires, &finding, &error), &error);
    return finding;
}

bool doubted(const sw_wire_finding *finding, sw_wire_doubt_code code) {
    for (size_t i = 0; i < finding->doubts; i++)
        if (finding->doubt[i].code == code)
            return true;
    return false;
}

int wires_used(const sw_wire_finding *finding) {
    int used = 0;
    for (int i = 0; i < SW_WIRE_LIMIT; i++)
        used += finding->use[i];
    return used;
}
