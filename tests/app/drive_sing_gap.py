#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Sing into a hearing plan's gap: in tune, sharp, a wrong note, and not at all.

usage: drive_sing_gap.py QUINTFALL FOLDER

Run by run_window.sh, as drive_window.py is, whose tools it uses.
"""
import json
import os
import pathlib
import sys
import time

from drive_plan import step_label
from drive_sing import says, shown
from drive_window import Failure, Window, check, end_of, wait_for
from singer import Singer

VOICES = (("Soprano", 0, ("G4", "A4", "B4", "C5")), ("Alto", 0, ("E4", "F4", "G4", "G4")),
          ("Tenor", 1, ("C4", "C4", "D4", "E4")), ("Bass", 1, ("C3", "F3", "G3", "C3")))
KEYS = {"G4": 67, "A4": 69, "B4": 71, "D5": 74}  # MIDI, middle C being 60


def write_lesson(path):
    """Two bars of halves at 60 quarters a minute; one time through, the soprano's gap, again."""
    voices, number = [], 0
    for name, staff, pitches in VOICES:
        notes = []
        for i, pitch in enumerate(pitches):
            number += 1
            notes.append({"id": number, "start": f"{i}/2", "duration": "1/2", "pitch": pitch})
        voices.append({"name": name, "staff": staff, "notes": notes})
    path.write_text(json.dumps({
        "format": "quintfall-lesson", "version": 1, "title": "Gap", "key": "C major", "tempo": 60,
        "bars": [{"metre": "4/4", "count": 2}],
        "signatures": [{"start": "0", "key": "C major"}],
        "staves": [{"name": "", "clef": "treble"}, {"name": "", "clef": "bass"}],
        "voices": voices,
        "plan": {"name": "Echo", "steps": [
            {"step": "pass", "forward": "all", "tempo_factor": 2, "repeats": 1},
            {"step": "sung-gap", "voice": "soprano", "tempo_factor": 0.5},
            {"step": "pass", "forward": "all", "tempo_factor": 0.5, "repeats": 1}]}}),
        encoding="utf-8")


def reaches_the_gap(window, singer):
    window.keys("ctrl+alt+shift+b")
    wait_for("what listening does", lambda: says(window, "In the plan’s gaps"))
    window.keys("F5")
    wait_for("the first hearing", lambda: step_label(window).startswith("Hearing 1"))
    check("nobody listens while the passage sounds", not singer.is_heard and not shown(window))
    wait_for("the gap", lambda: "your turn to sing" in step_label(window))
    words = wait_for("the strip", lambda: shown(window))
    check("the strip opens in the gap, with the first note's name",
          any(word == "Sing note 1 of 4, from G" for word in words), words)
    check("it listens now", wait_for("the microphone", lambda: singer.is_heard))


def sings(window, singer):
    singer.sing(KEYS["G4"])
    wait_for("the second", lambda: says(window, "Sing note 2 of 4"))
    check("a note in tune is told", "G in tune" in shown(window), shown(window))

    singer.sing(KEYS["A4"], 40.0)
    wait_for("the third", lambda: says(window, "Sing note 3 of 4"))
    said = next(word for word in shown(window) if word.startswith("G in tune, "))
    # The tracker is within some cents of a pure tone.
    cents = int(said.rsplit(" ", 1)[1])
    check("one 40 cents sharp is told, with its cents",
          said.startswith("G in tune, A sharp ") and 35 <= cents <= 45, said)

    singer.sing(KEYS["D5"])
    wait_for("the fourth", lambda: says(window, "Sing note 4 of 4"))
    said = next(word for word in shown(window) if word.startswith("G in tune, "))
    check("another note than the line's is told", said.endswith(", B another note"), said)
    singer.rest()


def goes_on(window, singer):
    wait_for("the next hearing", lambda: step_label(window).startswith("Hearing 2"))
    check("playing goes on after the gap", window.named("push button", "Pause Plan"))
    words = wait_for("what was sung", lambda: [
        word for word in shown(window) if word == "1 of 4 notes in tune, 1 not sung"])
    check("what was sung can be read, and what was not", bool(words))
    wait_for("the end of listening", lambda: not singer.is_heard)
    check("the microphone is closed: what sounds is not judged", True)
    singer.sing(KEYS["B4"])
    time.sleep(1.0)
    check("nor is what is sung now", "1 of 4 notes in tune, 1 not sung" in shown(window),
          shown(window))
    singer.rest()


def listens_again(window, singer):
    """Back to the hearing before the gap, through it once more, and stopped in the middle."""
    window.keys("ctrl+alt+Prior", "ctrl+alt+Prior")
    wait_for("the first hearing", lambda: step_label(window).startswith("Hearing 1"))
    wait_for("the gap again", lambda: says(window, "Sing note 1 of 4"))
    wait_for("the microphone", lambda: singer.is_heard)
    check("a second time through the gap begins anew", "G in tune" not in shown(window),
          shown(window))
    window.keys("shift+space")
    wait_for("the end of listening", lambda: not singer.is_heard)
    check("Stop closes the microphone", not shown(window), shown(window))


def main():
    folder = pathlib.Path(sys.argv[2])
    lesson = folder / "gap.json"
    write_lesson(lesson)
    singer = Singer(os.environ["HOME"], folder)
    window = Window(sys.argv[1], str(lesson))
    try:
        wait_for("the lesson", lambda: window.frame.get_name() == "Gap")
        window.keys("ctrl+Escape")
        reaches_the_gap(window, singer)
        sings(window, singer)
        goes_on(window, singer)
        listens_again(window, singer)
    except Failure as failure:
        return end_of(failure)
    finally:
        if window.process.poll() is None:
            window.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
