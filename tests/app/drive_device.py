#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Take the sound server away while the window plays, and give it back; begin without one.

usage: drive_device.py QUINTFALL FOLDER

Run by run_window.sh, as drive_window.py is, whose tools it uses. A PulseAudio server of its own,
with a device that goes nowhere, stands for the machine's sound.
"""
import os
import pathlib
import subprocess
import sys

import gi

gi.require_version("Atspi", "2.0")
from gi.repository import Atspi  # noqa: E402

from drive_live import circle_mark, find_views  # noqa: E402
from drive_plan import dialog  # noqa: E402
from drive_window import Failure, Window, check, descendants, end_of, wait_for  # noqa: E402
from sound_server import Ear, SoundServer, is_installed  # noqa: E402


def says(window, words):
    return next((text for text in window.texts() if words in text), None)


def is_playing(window):
    return window.named("push button", "Pause") is not None


def is_heard(ear):
    ear.reset()
    return wait_for("sound", ear.hears)


def moves(window):
    first = wait_for("a mark", lambda: circle_mark(window))
    return wait_for("the mark to move", lambda: circle_mark(window) not in (None, first))


def begins_without_one(program, server):
    window = Window(program)
    try:
        find_views(window)
        window.keys("ctrl+Escape", "ctrl+l", "Home", "space")
        wait_for("what is missing", lambda: says(window, "There is no sound: "))
        check("without a device it is told what to do",
              says(window, "plug one in or start the sound server"), window.texts())
        check("and the marks move all the same", moves(window))
        server.start()
        ear = Ear()
        wait_for("the sound device", lambda: says(window, "A sound device was found"), 90)
        check("a server that comes later is found", is_heard(ear))
        return window, ear
    except Failure:
        window.close()
        raise


def survives_a_kill(window, server, ear):
    ear.close()
    server.kill()
    wait_for("the loss", lambda: says(window, "The sound device stopped"))
    check("a lost device is told, with what to do", says(window, "plug it in again, or choose"))
    check("it plays on", is_playing(window))
    check("and the marks move", moves(window))
    server.start()
    ear = Ear()
    wait_for("the return", lambda: says(window, "The sound device is back"), 90)
    check("it is heard again when the server is back", is_heard(ear) and is_playing(window))
    return ear


def streams():
    """The programs' streams that the server plays, each with a number of its own."""
    return subprocess.run(["pactl", "list", "short", "sink-inputs"], capture_output=True, text=True,
                          check=False).stdout.split("\n")[0].split("\t")[0]


def changes_the_system(window, ear):
    before = wait_for("a stream", streams)
    window.keys("ctrl+comma")
    sound = wait_for("the dialog", lambda: dialog(window, "Sound and Care for Hearing"))
    window.focus()
    row = wait_for("the row", lambda: next(
        (node for node in descendants(sound) if node.get_name().startswith("Sound system") and
         node.get_role_name() == "combo box"), None))

    def has_focus():
        row.clear_cache()
        return row.get_state_set().contains(Atspi.StateType.FOCUSED)

    for _ in range(8):
        if not has_focus():
            window.keys("Tab")
    check("the sound system is reached by keyboard", has_focus())
    window.keys("Return", "Down", "Return")
    wait_for("the system's name", lambda: next(
        (node for node in descendants(row) if node.get_name() == "PulseAudio"), None))
    after = wait_for("another stream", lambda: streams() not in ("", before) and streams())
    window.keys("Escape")
    wait_for("it to close", lambda: not dialog(window, "Sound and Care for Hearing"))
    window.focus()
    check("it is changed while it plays, and is heard there", is_heard(ear) and is_playing(window),
          (before, after))
    kept = pathlib.Path(os.environ["HOME"]) / ".config/quintfall/settings.ini"
    check("and kept", "driver=pulseaudio" in kept.read_text(encoding="utf-8"))
    window.keys("shift+space")
    wait_for("silence", lambda: ear.is_quiet_for(1.0))
    check("Stop is silent", True)


def main():
    if not is_installed():
        print("skipped: PulseAudio is not installed")
        return 77
    del os.environ["QUINTFALL_AUDIO_DRIVER"]  # The preferences' own, which is the first that works
    server = SoundServer(pathlib.Path(sys.argv[2]) / "pulse")
    window, ear = None, None
    try:
        window, ear = begins_without_one(sys.argv[1], server)
        ear = survives_a_kill(window, server, ear)
        changes_the_system(window, ear)
    except Failure as failure:
        return end_of(failure)
    finally:
        if ear:
            ear.close()
        if window and window.process.poll() is None:
            window.close()
        if server.process and server.process.poll() is None:
            server.kill()
    return 0


if __name__ == "__main__":
    sys.exit(main())
