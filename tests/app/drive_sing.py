#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Drive singing back and the switch of the MIDI keyboard, without a microphone or a keyboard.

usage: drive_sing.py QUINTFALL FOLDER

Run by run_window.sh, as drive_window.py is, whose tools it uses.
"""
import os
import sys

import gi

gi.require_version("Atspi", "2.0")
from gi.repository import Atspi  # noqa: E402

from drive_window import Failure, Window, check, descendants, end_of, wait_for


def shown(window):
    """What the strip says, or nothing while it is hidden: its words then have no place."""
    for node in descendants(window.frame):
        if node.get_name() == "Singing back":
            words = [part for part in descendants(node) if part.get_role_name() == "label"]
            for word in words:
                word.clear_cache()
            states = (Atspi.StateType.SHOWING, Atspi.StateType.VISIBLE)
            if any(word.get_state_set().contains(state) for word in words for state in states):
                return [word.get_name() for word in words]
    return []


def says(window, start):
    return next((text for text in window.texts() if text.startswith(start)), None)


def sings(window):
    check("the strip is hidden at first", not shown(window), shown(window))
    window.keys("ctrl+alt+b")
    words = wait_for("the strip", lambda: shown(window))
    # The caret starts at the soprano's E; the bass, which is brought forward, would begin on A.
    check("it asks for the first note of the caret's voice",
          any(word.startswith("Sing note 1 of ") and word.endswith(", from E") for word in words),
          words)
    check("it says that nothing is recorded or sent",
          any("nothing is recorded or sent" in word for word in words), words)
    window.click("Stop Singing")
    wait_for("the strip to go", lambda: not shown(window))
    check("it closes again", True)


def misses_a_microphone(program):
    os.environ["QUINTFALL_MICROPHONE"] = "hw:quintfall-has-none"
    window = Window(program)
    try:
        window.keys("ctrl+alt+b")
        wait_for("a message", lambda: next(
            (text for text in window.texts() if "microphone" in text.lower()
             and "recorded" not in text), None))
        check("a missing microphone is told, and the strip stays away", not shown(window))
        check("nothing is lost", bool(window.links()))
    finally:
        window.close()


def switches(window):
    window.keys("ctrl+alt+m")
    wait_for("what MIDI entry does", lambda: says(window, "Keys played one by one"))
    check("MIDI entry is switched on by its keys", True)
    window.keys("ctrl+alt+shift+b")
    wait_for("what listening does", lambda: says(window, "In the plan’s gaps"))
    check("listening in gaps is switched on by its keys", True)


def main():
    program = sys.argv[1]
    os.environ["QUINTFALL_MICROPHONE"] = "null"
    window = Window(program)
    try:
        sings(window)
        switches(window)
    finally:
        window.close()
    misses_a_microphone(program)
    return 0


if __name__ == "__main__":
    try:
        sys.exit(main())
    except Failure as failure:
        sys.exit(end_of(failure))
