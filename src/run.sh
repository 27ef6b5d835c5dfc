#!/bin/sh
# SPDX-License-Identifier: MIT
# Install what is missing, build, and open a file or the demo lesson.
#
#   sh src/run.sh [FILE]
#
# With no display the demo (or FILE) is rendered to build/demo/ instead.
set -eu

case "${1:-}" in
-h | --help)
  echo "Usage: sh src/run.sh [FILE]"
  exit 0
  ;;
-*)
  echo "There is no option $1. Usage: sh src/run.sh [FILE]" >&2
  exit 2
  ;;
"" | /*) file=${1:-} ;;
*) file=$PWD/$1 ;;
esac

if [ -n "$file" ] && ! [ -f "$file" ]; then
  echo "There is no file $file." >&2
  exit 2
fi

root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
cd "$root"
. src/packages.sh

# shellcheck disable=SC2086 # a list of words
install_packages $run_packages || exit $?

if ! mkdir -p build || ! [ -w build ]; then
  echo "Quintfall is built in $root/build, which cannot be written to." >&2
  exit 3
fi
log=build/build.log
if ! { { [ -f build/build.ninja ] || meson setup build --buildtype=release; } &&
  ninja -C build; } >"$log" 2>&1; then
  tail -n 40 "$log" >&2
  echo "The build failed; all of its output is in $log." >&2
  exit 3
fi

demo=resources/lessons/lantern-walk.json
if [ -n "${DISPLAY:-}${WAYLAND_DISPLAY:-}" ]; then
  exec build/src/app/quintfall ${file:+"$file"}
fi

input=${file:-$demo}
out=build/demo
qf=build/src/command/qf
mkdir -p "$out"
echo "There is no display, so $input is rendered to $out/ in $root."
echo
$qf label "$input"
$qf label "$input" -o "$out/analysis.txt"
$qf sound "$input" --forward bass -o "$out/bass-forward.wav"
$qf sound "$input" --plan -o "$out/plan.flac"
$qf sheet "$input" -o "$out/page.png"
$qf sheet "$input" -o "$out/page.pdf"
echo
echo "Written: $out/analysis.txt, $out/bass-forward.wav, $out/plan.flac with its list of hearings"
echo "and MIDI file, $out/page.png, $out/page.pdf"
