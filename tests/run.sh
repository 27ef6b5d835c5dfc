#!/bin/sh
# SPDX-License-Identifier: MIT
# Install what the tests need, build with sanitizers, run everything.
#
#   sh tests/run.sh [SUITE...]
#
# The last line is "N passed, N failed" (and ", N skipped" where something was).
set -eu

root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
cd "$root"
. src/packages.sh

test_packages="libcmocka-dev xvfb xauth dbus at-spi2-core gir1.2-atspi-2.0 python3 python3-gi
python3-pyatspi python3-jsonschema xdotool imagemagick poppler-utils procps ffmpeg"
command -v node >/dev/null 2>&1 || test_packages="$test_packages nodejs"
# A desktop keeps the sound server it has; tests that need this one are skipped there
command -v pipewire-pulse >/dev/null 2>&1 ||
  test_packages="$test_packages pulseaudio pulseaudio-utils libasound2-plugins"
command -v npm >/dev/null 2>&1 || test_packages="$test_packages npm"

# shellcheck disable=SC2086 # lists of words
install_packages $run_packages $test_packages || exit $?

build=build/tests
mkdir -p build
if ! { { [ -f $build/build.ninja ] || meson setup $build -Dtests=true -Dwerror=true \
  -Db_sanitize=address,undefined -Db_lundef=false; } && ninja -C $build; } >build/tests.log 2>&1
then
  tail -n 60 build/tests.log >&2
  echo "The build failed; all of its output is in build/tests.log." >&2
  echo "0 passed, 1 failed"
  exit 1
fi

suites=""
for suite in "$@"; do
  suites="$suites --suite $suite"
done

status=0
# shellcheck disable=SC2086 # a list of words
meson test -C $build --print-errorlogs --no-rebuild $suites || status=$?
python3 tests/count.py $build/meson-logs/testlog.json || status=1
exit $status
