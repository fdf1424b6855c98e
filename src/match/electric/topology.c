/* The circuits. A new one is one more table here. */
#include "src/match/electric/circuit.h"

const sw_topology sw_topology_three_phase_bridge = {
    .name = "three-phase bridge",
    .windings = 3,
    .legs = 3,
    .groups = 1,
    .floating = true,
    .ports = 2,
    .leg_share = 1.0,
    .diodes_in_way = 2,
    .leg = {{0, 1.0, 0, 0, 1}, {1, 1.0, 0, 0, 1}, {2, 1.0, 0, 0, 1}},
    .turns = 2,
    .turn = {{6, true, false, -1, {1, 2, 0}}, {3, false, false, 1, {2, 0, 1}}},
};

const sw_topology sw_topology_one_phase_bridge = {
    .name = "single-phase bridge",
    .windings = 1,
    .legs = 2,
    .groups = 1,
    .floating = true,
    .ports = 2,
    .leg_share = 0.5,
    .diodes_in_way = 2,
    .leg = {{0, 0.5, 0, 0, 1}, {0, -0.5, 0, 0, 1}},
    .turns = 2,
    .turn = {{2, true, false, -1, {0, 1}}, {1, false, false, 1, {0, 1}}},
};

const sw_topology sw_topology_two_phase_bridges = {
    .name = "two bridges",
    .windings = 2,
    .legs = 4,
    .groups = 2,
    .floating = true,
    .ports = 2,
    .leg_share = 0.5,
    .diodes_in_way = 2,
    .leg = {{0, 0.5, 0, 0, 1}, {0, -0.5, 0, 0, 1}, {1, 0.5, 1, 0, 1}, {1, -0.5, 1, 0, 1}},
    .turns = 3,
    .turn = {{4, true, true, 1, {3, 2, 0, 1}},
             {2, true, false, -1, {0, 1, 2, 3}},
             {1, false, false, 1, {0, 1, 2, 3}}},
};

const sw_topology sw_topology_one_phase_half_wave = {
    .name = "half wave",
    .windings = 1,
    .legs = 1,
    .groups = 1,
    .ports = 1,
    .leg_share = 1.0,
    .diodes_in_way = 1,
    .leg = {{0, 1.0, 0, 0, -1}},
    .turns = 1,
    .turn = {{1, false, false, 1, {0}}},
};

const sw_topology sw_topology_two_phase_half_wave = {
    .name = "two-phase half wave",
    .windings = 2,
    .legs = 2,
    .groups = 1,
    .ports = 1,
    .leg_share = 1.0,
    .diodes_in_way = 1,
    .leg = {{0, 1.0, 0, 0, -1}, {1, 1.0, 0, 0, -1}},
    .turns = 1,
    .turn = {{1, false, false, 1, {0, 1}}},
};

const sw_topology sw_topology_three_phase_half_wave = {
    .name = "three-phase half wave",
    .windings = 3,
    .legs = 3,
    .groups = 1,
    .ports = 1,
    .leg_share = 1.0,
    .diodes_in_way = 1,
    .leg = {{0, 1.0, 0, 0, -1}, {1, 1.0, 0, 0, -1}, {2, 1.0, 0, 0, -1}},
    .turns = 1,
    .turn = {{3, false, false, 1, {2, 0, 1}}},
};

const sw_topology sw_topology_one_phase_centre_tap = {
    .name = "centre tap",
    .windings = 1,
    .legs = 2,
    .groups = 1,
    .ports = 1,
    .leg_share = 0.5,
    .diodes_in_way = 1,
    .leg = {{0, 0.5, 0, 0, -1}, {0, -0.5, 0, 0, -1}},
    .turns = 2,
    .turn = {{2, true, false, 1, {1, 0}}, {1, false, false, 1, {0, 1}}},
};

const sw_topology sw_topology_two_phase_centre_taps = {
    .name = "two centre taps",
    .windings = 2,
    .legs = 4,
    .groups = 1,
    .ports = 1,
    .leg_share = 0.5,
    .diodes_in_way = 1,
    .leg = {{0, 0.5, 0, 0, -1}, {0, -0.5, 0, 0, -1}, {1, 0.5, 0, 0, -1}, {1, -0.5, 0, 0, -1}},
    .turns = 3,
    .turn = {{4, true, true, 1, {3, 2, 0, 1}},
             {2, true, false, 1, {1, 0, 3, 2}},
             {1, false, false, 1, {0, 1, 2, 3}}},
};

const sw_topology sw_topology_one_phase_doubler = {
    .name = "doubler",
    .windings = 1,
    .legs = 1,
    .groups = 1,
    .units = 1,
    .ports = 2,
    .leg_share = 1.0,
    .diodes_in_way = 2,
    .leg = {{0, 1.0, 0, 0, 1}},
    .turns = 2,
    .turn = {{2, true, false, -1, {0}}, {1, false, false, 1, {0}}},
};

const sw_topology sw_topology_two_phase_doublers = {
    .name = "two doublers",
    .windings = 2,
    .legs = 2,
    .groups = 1,
    .units = 2,
    .ports = 4,
    .leg_share = 1.0,
    .diodes_in_way = 2,
    .leg = {{0, 1.0, 0, 0, 1}, {1, 1.0, 0, 2, 3}},
    .turns = 2,
    .turn = {{2, true, false, -1, {0, 1}}, {1, false, false, 1, {0, 1}}},
};

const sw_topology sw_topology_three_phase_doubler = {
    .name = "three-phase doubler",
    .windings = 3,
    .legs = 3,
    .groups = 1,
    .units = 1,
    .ports = 2,
    .leg_share = 1.0,
    .diodes_in_way = 2,
    .leg = {{0, 1.0, 0, 0, 1}, {1, 1.0, 0, 0, 1}, {2, 1.0, 0, 0, 1}},
    .turns = 2,
    .turn = {{6, true, false, -1, {1, 2, 0}}, {3, false, false, 1, {2, 0, 1}}},
};
