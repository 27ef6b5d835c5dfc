#!/bin/sh
# SPDX-License-Identifier: MIT
# Run a script against the window on a display, a session bus and in a home of their own.
# usage: run_window.sh QUINTFALL [SIZE [SCRIPT]]
program=$1
size=${2:-1280x800}
script=${3:-drive_window.py}
here=$(dirname "$0")

for tool in Xvfb dbus-run-session xdotool /usr/bin/python3; do
  if ! command -v "$tool" >/dev/null 2>&1; then
    echo "skipped: $tool is not installed"
    exit 77
  fi
done

folder=$(mktemp -d)
mkdir -m 700 "$folder/runtime" "$folder/home" "$folder/files"
server=
trap 'kill $server 2>/dev/null; rm -rf "$folder"' EXIT

# A display number of our own, away from those that other sessions try first
attempt=0
until [ -s "$folder/display" ]; do
  attempt=$((attempt + 1))
  if [ $attempt -gt 5 ]; then
    echo "no virtual display could be started"
    exit 1
  fi
  number=$((100 + ($$ + attempt * 97) % 800))
  Xvfb ":$number" -displayfd 3 -screen 0 "${size}x24" -nolisten tcp -noreset 3>"$folder/display" \
    2>/dev/null &
  server=$!
  tries=0
  until [ -s "$folder/display" ] || [ $tries -gt 100 ] || ! kill -0 "$server" 2>/dev/null; do
    tries=$((tries + 1))
    sleep 0.1
  done
done

# Fonts and drivers keep memory until the process ends, so leaks are not looked for here.
ASAN_OPTIONS="detect_leaks=0${ASAN_OPTIONS:+:$ASAN_OPTIONS}"
DISPLAY=":$(cat "$folder/display")"
HOME="$folder/home"
XDG_RUNTIME_DIR="$folder/runtime"
GSK_RENDERER=cairo
GTK_A11Y=atspi
GDK_BACKEND=x11
QUINTFALL_AUDIO_DRIVER=null
unset XDG_CONFIG_HOME XDG_DATA_HOME
export ASAN_OPTIONS DISPLAY HOME XDG_RUNTIME_DIR GSK_RENDERER GTK_A11Y GDK_BACKEND \
  QUINTFALL_AUDIO_DRIVER

timeout "${QUINTFALL_TEST_SECONDS:-280}" \
  dbus-run-session -- /usr/bin/python3 "$here/$script" "$program" "$folder/files"
