#!/bin/sh
# Installs what is missing, builds with the sanitizers on, and runs every test.
# Arguments go on to ctest: sh tests/run.sh -R shared
set -eu
cd "$(dirname "$0")/.."
jobs=$(nproc)

sh tests/install.sh build test
# -O1: the sanitizers' own advice; some tests are long without.
cmake -S . -B build/test -DCMAKE_BUILD_TYPE=Debug -DCMAKE_C_FLAGS_DEBUG='-g -O1' \
    -DSPINWORTH_SANITIZE=ON -DSPINWORTH_STRICT=ON
cmake --build build/test -j "$jobs"

ASAN_OPTIONS=detect_leaks=1:strict_string_checks=1:detect_stack_use_after_return=1
UBSAN_OPTIONS=print_stacktrace=1
export ASAN_OPTIONS UBSAN_OPTIONS
exec ctest --test-dir build/test --output-on-failure -j "$jobs" "$@"
