#!/bin/sh
# The first run: installs what is missing, builds, and takes the motors of the example's shelf
# from their recordings to a verdict. Everything it writes goes to build/example.
#
#   1. build         Release, without tests, in build/release
#   2. measure       each recording in examples/recordings -> build/example/motors/NAME.json;
#                    options of one recording stand in NAME.options beside it, one line
#   3. match         each motor with examples/rotor.json, site.json and load.json
#   4. rank          the whole shelf
set -eu
cd "$(dirname "$0")/.."
jobs=$(nproc)

sh tests/install.sh build
echo "Building (once, about a minute) ..."
mkdir -p build/release
{
    cmake -S . -B build/release -DCMAKE_BUILD_TYPE=Release -DSPINWORTH_TESTS=OFF
    cmake --build build/release -j "$jobs"
} >build/release/build.log 2>&1 || { cat build/release/build.log >&2; exit 1; }

out=build/example
rm -rf "$out"
mkdir -p "$out/motors"

# Shows a command as a person would type it, runs it, and leaves a line free.
show() {
    echo "\$ spinworth $*"
    build/release/spinworth "$@"
    echo
}

for recording in examples/recordings/*.wav examples/recordings/*.flac examples/recordings/*.csv; do
    [ -e "$recording" ] || continue
    name=$(basename "${recording%.*}")
    options=
    [ ! -e "examples/recordings/$name.options" ] ||
        options=$(cat "examples/recordings/$name.options")
    # shellcheck disable=SC2086 # the options are words
    show measure "$recording" $options -o "$out/motors/$name.json"
done

for motor in "$out"/motors/*.json; do
    [ -e "$motor" ] || continue
    show match "$motor" --rotor examples/rotor.json --site examples/site.json \
        --load examples/load.json
done

[ ! -e examples/rotor.json ] ||
    show rank "$out/motors" --rotor examples/rotor.json --site examples/site.json
