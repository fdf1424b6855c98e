#!/bin/sh
# Makes rectifier_table.csv anew: 40 random circuits, four of each kind, simulated with ngspice.
# The committed table was made with ngspice 39 (Debian package ngspice 39.3).
#   sh tests/outside/make_rectifier_table.sh BUILD_DIRECTORY
set -eu
here=$(dirname "$0")
SPINWORTH_SEED=20240607 "$1/tests/outside.test_rectifier_spice" --table 40 \
    >"$here/rectifier_table.csv"
