#!/bin/sh
# The first run: installs what is missing, builds, and takes the motors of the example's shelf
# from their recordings to a verdict. Everything it writes goes to build/example.
#
#   1. build      Release, without tests, in build/release
#   2. measure    the washer drum motor: its recording, then what a multimeter adds
#   3. match      the drum motor on the example's rotor and site
#   4. measure    the rest of the shelf, only the answer shown
#   5. rank       the whole shelf
#
# The recordings are simulated; examples/README.md tells how they were made.
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
mkdir -p "$out/shelf"

# Shows a command as a person would type it, and runs it.
show() {
    line="\$ spinworth"
    for word in "$@"; do
        case $word in
        *' '*) line="$line '$word'" ;;
        *) line="$line $word" ;;
        esac
    done
    echo "$line"
    build/release/spinworth "$@"
}

title() {
    printf '\n==== %s\n\n' "$1"
}

# Only the answer: what stands above the second empty line.
answer() {
    show "$@" >$out/said.txt
    awk '/^$/ { empty++ } empty < 2' $out/said.txt
    echo
}

recordings=examples/recordings
site="--rotor examples/rotor.json --site examples/site.json --load examples/load.json"

title "The washer drum motor, spun by a drill marked 350 rpm, then let run down free"
show measure $recordings/drum.flac --probe examples/probe.json --about 350rpm \
    --coast free --disc-mass 3kg --disc-diameter 290mm \
    --name "washer drum motor" -o $out/shelf/drum.json

title "The same motor: a multimeter, and a weight on a lever that makes it break loose"
answer measure --into $out/shelf/drum.json --resistance 6.2ohm --test-leads 0.2ohm \
    --inductance 46mH --cogging "0.7 N m"

title "Is it worth using on this rotor at this site?"
# shellcheck disable=SC2086 # the options are words
show match $out/shelf/drum.json $site

title "The rest of the shelf"
answer measure $recordings/hub.flac --probe examples/probe.json --about 190rpm \
    --coast free --disc-mass 3kg --disc-diameter 165mm \
    --name "scooter wheel hub" --resistance 0.9ohm --test-leads 0.2ohm --inductance 1.3mH \
    --cogging "0.03 N m" -o $out/shelf/hub.json
answer measure $recordings/pump.flac --probe examples/probe.json --about 1100rpm \
    --name "drain pump" --phases 1 --resistance 252ohm -o $out/shelf/pump.json
answer measure $recordings/fan.flac --probe examples/probe.json --about 1100rpm \
    --name "ceiling fan" -o $out/shelf/fan.json

title "The whole shelf, best first"
# shellcheck disable=SC2086
show rank $out/shelf $site
