#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Play a MIDI keyboard into the window: its bytes come through a named pipe.

usage: drive_midi.py QUINTFALL FOLDER

Run by run_window.sh, as drive_window.py is, whose tools it uses.
"""
import os
import pathlib
import sys
import time

from drive_window import Failure, Window, check, end_of, wait_for


class Keyboard:
    """Source: MIDI 1.0 Detailed Specification: note on 90 kk vv, note off 80 kk vv (from memory)."""

    def __init__(self, path):
        self.pipe = open(path, "wb", buffering=0)

    def press(self, *keys):
        self.pipe.write(b"".join(bytes((0x90, key, 80)) for key in keys))

    def release(self, *keys):
        self.pipe.write(b"".join(bytes((0x80, key, 0)) for key in keys))

    def strike(self, *keys):
        self.press(*keys)
        time.sleep(0.1)
        self.release(*keys)

    def unplug(self):
        self.pipe.close()


def says(window, start):
    return next((text for text in window.texts() if text.startswith(start)), None)


def connects(window, path):
    keyboard = Keyboard(path)
    wait_for("the keyboard", lambda: says(window, "MIDI keyboard connected: keys"))
    check("a keyboard that comes while the window is open is told", True)
    return keyboard


def names_what_is_held(window, keyboard):
    before = window.links()
    window.keys("Home")
    keyboard.press(52)
    wait_for("a note", lambda: says(window, "Held: E"))
    keyboard.press(56, 59)
    # common practice: E, G sharp and B are the dominant triad of A major, with D its seventh.
    wait_for("the triad", lambda: says(window, "Held: V: E major triad, root position"))
    keyboard.press(62)
    wait_for("the seventh", lambda: says(window, "Held: V7: E dominant seventh, root position"))
    check("a held chord is named at once, with its function in the key", True)
    keyboard.release(52, 56, 59, 62)
    keyboard.press(56, 59, 62, 64)
    wait_for("the inversion", lambda: says(window, "Held: V65: E dominant seventh, first inversion"))
    keyboard.release(56, 59, 62, 64)
    wait_for("the end of it", lambda: says(window, "Played: V65") and not says(window, "Held: "))
    check("nothing is written while writing is off", window.links() == before, window.links())


def writes_a_voice(window, keyboard):
    before = window.links()
    window.keys("ctrl+alt+m")
    wait_for("what MIDI entry does", lambda: says(window, "Keys played one by one"))
    window.keys("Home", "alt+Down")
    wait_for("the alto", lambda: window.caret().startswith("Pickup, beat 3, Alto, C sharp 4"))
    keyboard.strike(64)
    wait_for("the caret to go on", lambda: window.caret().startswith("Bar 1 beat 1, Alto"))
    keyboard.strike(61)
    wait_for("the caret to go on", lambda: window.caret().startswith("Bar 1 beat 2, Alto"))
    window.keys("Home")
    wait_for("the first note", lambda: window.caret().startswith("Pickup, beat 3, Alto, E 4"))
    check("single keys are written in the caret's voice, one after another", True)
    window.keys("ctrl+z", "ctrl+z")
    wait_for("both undone", lambda: window.caret().startswith("Pickup, beat 3, Alto, C sharp 4"))
    check("each is one edit", True)
    wait_for("the links of before", lambda: window.links() == before)


def writes_chords(window, keyboard):
    window.keys("Home")
    keyboard.press(52, 59)  # Spread by the hand, and let go of one by one
    keyboard.press(68)
    keyboard.press(74)
    keyboard.release(74, 52)
    keyboard.release(68)
    time.sleep(0.3)
    check("a chord waits for the last key", "five seven" not in window.links()[0],
          window.links()[0])
    keyboard.release(59)
    # common practice: E G sharp B D, the dominant seventh of A major.
    wait_for("the chord", lambda: "five seven, E dominant seventh" in window.links()[0])
    check("a chord is written in all voices", True)
    window.keys("Home", "alt+Up", "alt+Up", "alt+Up")
    wait_for("the soprano's note", lambda: "Soprano, D 5" in window.caret())
    for voice, note in (("Soprano", "D 5"), ("Alto", "G sharp 4"), ("Tenor", "B 3"), ("Bass", "E 3")):
        check(f"its {voice.lower()} is {note}", f"{voice}, {note}" in window.caret(), window.caret())
        window.keys("alt+Down")
        time.sleep(0.2)
    keyboard.strike(45, 52, 57, 61, 64)
    wait_for("what became of five keys", lambda: says(window, "5 keys for 4 voices"))
    check("more keys than voices are told", True)


def survives_unplugging(window, keyboard, path):
    keyboard.press(57)
    wait_for("a held key", lambda: says(window, "Held: A"))
    keyboard.unplug()
    wait_for("the farewell", lambda: says(window, "MIDI keyboard gone: keys"))
    check("a keyboard that goes is told", True)
    path.unlink()
    time.sleep(0.5)
    os.mkfifo(path)
    keyboard = connects(window, path)
    window.keys("Home", "alt+Up", "alt+Up", "alt+Up")
    keyboard.strike(73)
    window.keys("Home")
    wait_for("its note", lambda: "Soprano, C sharp 5" in window.caret())
    check("and writes again when it is back", True)
    keyboard.unplug()


def main():
    path = pathlib.Path(sys.argv[2]) / "keys"
    os.mkfifo(path)
    os.environ["QUINTFALL_MIDI"] = str(path)
    window = Window(sys.argv[1])
    try:
        keyboard = connects(window, path)
        names_what_is_held(window, keyboard)
        writes_a_voice(window, keyboard)
        writes_chords(window, keyboard)
        survives_unplugging(window, keyboard, path)
    except Failure as failure:
        return end_of(failure)
    finally:
        if window.process.poll() is None:
            window.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
