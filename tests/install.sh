#!/bin/sh
# Installs what is missing of the named groups, through apt, and nothing when all is there.
# Usage: sh tests/install.sh GROUP...
#   build  compiler, CMake and the libraries of the program
#   test   what the tests add
#   check  what the whole check (.ci/run) adds
# A row says how to see that a thing is there, and the Debian package that brings it.
set -eu

rows() {
    case $1 in
    build) cat <<'ROWS'
command gcc gcc
command make make
command cmake cmake
command pkg-config pkg-config
file /usr/include/stdio.h libc6-dev
library fftw3 libfftw3-dev
library sndfile libsndfile1-dev
library gsl libgsl-dev
library libcjson libcjson-dev
library udunits libudunits2-dev
library portaudio-2.0 portaudio19-dev
ROWS
        ;;
    test) cat <<'ROWS'
library cmocka libcmocka-dev
library alsa libasound2-dev
ROWS
        ;;
    check) cat <<'ROWS'
command git git
command clang clang
command clang-format clang-format
command clang-tidy clang-tidy
command valgrind valgrind
command ngspice ngspice
file /usr/bin/python3 python3
file /usr/lib/python3/dist-packages/scipy/__init__.py python3-scipy
file /usr/lib/python3/dist-packages/jsonschema/__init__.py python3-jsonschema
ROWS
        ;;
    *)
        echo "install.sh: group \"$1\" is not known; known are build, test, check" >&2
        exit 2
        ;;
    esac
}

is_there() {
    case $1 in
    command) command -v "$2" >/dev/null 2>&1 ;;
    file) [ -e "$2" ] ;;
    library) command -v pkg-config >/dev/null 2>&1 && pkg-config --exists "$2" ;;
    esac
}

as_root() {
    if [ "$(id -u)" -eq 0 ]; then
        "$@"
    elif command -v sudo >/dev/null 2>&1; then
        sudo "$@"
    else
        echo "install.sh: not root and no sudo; as root run: $*" >&2
        exit 1
    fi
}

missing=
for group in "$@"; do
    list=$(rows "$group")
    while read -r kind name package; do
        is_there "$kind" "$name" || missing="$missing $package"
    done <<EOR
$list
EOR
done
[ -n "$missing" ] || exit 0

echo "Installing:$missing"
if ! command -v apt-get >/dev/null 2>&1; then
    echo "install.sh: no apt-get here; install these Debian packages' equivalents yourself" >&2
    exit 1
fi
as_root env DEBIAN_FRONTEND=noninteractive apt-get -qq update
# shellcheck disable=SC2086 # one word a package
as_root env DEBIAN_FRONTEND=noninteractive apt-get -qq -o Dpkg::Use-Pty=0 install -y \
    --no-install-recommends $missing
