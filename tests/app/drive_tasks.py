#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Drive a task that was handed out: limits, closing and reopening, a killed program, the grade.

usage: drive_tasks.py QUINTFALL FOLDER

Run by run_window.sh, as drive_window.py is, whose tools it uses. QUINTFALL_QF names the `qf`
that makes the tasks and reads the answers. The notes asked for are read from the demo lesson's
own score.
"""
import json
import os
import pathlib
import re
import subprocess
import sys
import time

from drive_study import Study, answer_path, data_folder, frame, last_attempt
from drive_window import Failure, Window, check, descendants, end_of, wait_for

ROOT = pathlib.Path(__file__).resolve().parents[2]
LESSON = ROOT / "resources" / "lessons" / "lantern-walk.json"


def qf(*arguments):
    return subprocess.run([os.environ["QUINTFALL_QF"], *map(str, arguments)],
                          capture_output=True, text=True, check=False)


def open_task(program, path):
    window = Window(program, str(path))
    return window, Study(window)


def press(study, name):
    """Press a button of a dialog over the dictation, whose own buttons are left alone."""
    study.window.answer(name)


def close_dictation(study):
    study.window.keys("ctrl+w")
    wait_for("the dictation to go", lambda: frame(study.window, "Dictation: ") is None)


def says(study, words):
    return wait_for(words, lambda: next((text for text in study.window.texts() if words in text),
                                        None))


def heard(path=None):
    return len(json.loads((path or answer_path()).read_text())["heard"])


def hear(study, count):
    study.press("Play")
    wait_for(f"hearing {count}", lambda: heard() == count)
    study.press("Stop")
    time.sleep(0.3)


def counts_hearings(program, task):
    window, study = open_task(program, task)
    check("the hearings that are left are told", study.labels("A major") and
          "2 hearings left" in study.labels("A major")[0], study.labels("A major"))
    check("a task that is opened and left alone leaves no file",
          not list(data_folder().glob("answers/*.json")))
    hear(study, 1)
    wait_for("one left", lambda: "1 hearing left" in study.labels("A major")[0])
    check("a hearing is counted", True)
    close_dictation(study)
    window.close()

    window, study = reopen(program, task, "1 of 2 hearings left")
    wait_for("one left", lambda: "1 hearing left" in study.labels("A major")[0])
    check("the count survives closing and reopening", True)
    hear(study, 2)
    wait_for("none left", lambda: "0 hearings left" in study.labels("A major")[0])
    study.press("Play")
    says(study, "The task allows 2 hearings, and no more is left")
    check("the third hearing is refused in plain words", heard() == 2, heard())
    check("and does not sound", study.node("push button", "Play") is not None)
    return window, study


def reopen(program, task, words):
    """Open the task again, and go on with the answer that was begun."""
    window = Window(program, str(task))
    wait_for("the question", lambda: any("Go on with the answer begun here?" in text
                                         for text in window.texts()))
    check("what was begun is described", any(words in text for text in window.texts()),
          [text for text in window.texts() if "Attempt" in text])
    window.answer("Go On")
    return window, Study(window)


def writes(study):
    """The bass of the first bar and its first chord."""
    window = study.window
    study.staves()
    window.keys("Home", "Right")
    study.at("Bar 1 beat 1, Bass")
    window.keys("a", "d")
    study.at("Bar 2 beat 1")
    wait_for("both notes in the file", lambda: len(last_attempt()["notes"]) == 2)
    check("notes are in the file", True)


def limits_attempts(study):
    window = study.window
    window.keys("ctrl+shift+n")
    wait_for("attempt 2", lambda: any("attempt 2" in text for text in study.labels("A major")))
    wait_for("two attempts in the file",
             lambda: len(json.loads(answer_path().read_text())["attempts"]) == 2)
    window.keys("ctrl+shift+n")
    says(study, "The task allows no more than 2 attempts")
    check("a third attempt is refused in plain words",
          len(json.loads(answer_path().read_text())["attempts"]) == 2)


def doubts_and_scratches(study):
    window = study.window
    study.staves()
    window.keys("Home", "Right", "F4")
    wait_for("the doubt", lambda: "in doubt" in study.caret())
    wait_for("the doubt in the file",
             lambda: any(note.get("is_doubtful") for note in last_attempt()["notes"]))
    window.keys("F4")
    wait_for("no doubt", lambda: not any(note.get("is_doubtful") for note in
                                         last_attempt()["notes"]))
    check("a doubt comes and goes", True)
    window.keys("ctrl+alt+u")
    study.at("Bar 1 beat 3")
    wait_for("a shape", lambda: last_attempt().get("scratch"))
    first = last_attempt()["scratch"][0]
    check("a shape before the pitches is kept", first["contour"] == "step-up" and
          first["start"] == "1/4", first)
    notes = last_attempt()["notes"]
    study.staves()
    window.keys("Right")
    toggle = study.node("push button", "On the scratch line")
    toggle.do_action(0)
    window.keys("alt+w")
    window.type("5 fi")
    window.keys("Return")
    # common practice: fi is the raised fourth degree of movable do.
    scratch = wait_for("degrees", lambda: (lambda s: len(s) >= 3 and s)(last_attempt()["scratch"]))
    degrees = [(mark["degree"], mark.get("alter", 0)) for mark in scratch if mark.get("degree")]
    check("degrees stand on the scratch line", degrees == [(5, 0), (4, 1)], scratch)
    check("and no note is written by them", last_attempt()["notes"] == notes)
    toggle.do_action(0)


def graded_by_qf(study):
    path = answer_path()
    result = qf("grade", LESSON, path, "--as", "json")
    members = json.loads(result.stdout)
    text = json.dumps(members)
    check("qf reads the answer file", result.returncode in (0, 1) and "verdicts" in text or
          "layers" in text, result.stderr or text[:300])
    words = qf("grade", LESSON, path).stdout
    # The lesson's bass begins A2 D3 (its score, read by eye).
    check("and finds the two notes right", "m1 b1, bass" not in words and
          "m1 b3, bass" not in words, words[:400])
    check("and what is missing", "is missing" in words, words[:400])


def loses_nothing(program, task, folder):
    """Kill the program at once after the last key: what is shown is in the file."""
    lost = []
    for letter in "defga":
        window, study = open_task(program, task)
        study.staves()
        window.keys("Home", "Right")
        study.at("Bar 1 beat 1, Bass, rest")
        before = set(data_folder().glob("answers/*.json"))
        subprocess.run(["xdotool", "key", letter], check=True)
        study.at("Bar 1 beat 3")  # The key has been taken
        time.sleep(0.15)
        window.kill()
        new = set(data_folder().glob("answers/*.json")) - before
        notes = [note["pitch"] for path in new
                 for note in json.loads(path.read_text())["attempts"][-1]["notes"]]
        if not any(pitch.startswith(letter.upper()) for pitch in notes):
            lost.append(letter)
        for path in new:
            path.unlink()
    check("a killed program keeps what was typed 0.15 s before", not lost, lost)


def begins_afresh(program, task):
    window = Window(program, str(task))
    wait_for("the question", lambda: any("Go on with the answer begun here?" in text
                                         for text in window.texts()))
    window.answer("Begin Afresh")
    study = Study(window)
    check("another student can begin afresh", "2 hearings left" in study.labels("A major")[0] and
          "attempt 1" in study.labels("A major")[0], study.labels("A major"))
    window.kill()


def main():
    program, folder = sys.argv[1], pathlib.Path(sys.argv[2])
    task = folder / "task.json"
    made = qf("task", LESSON, "--hearings", 2, "--attempts", 2, "-o", task)
    check("qf makes the task", made.returncode == 0, made.stderr)
    members = json.loads(task.read_text())
    members.pop("packed")  # Packed text may hold any letters by chance
    check("the task shows no solution", not re.search("V7|viio", json.dumps(members)))
    pristine = task.read_text()
    window = None
    try:
        loses_nothing(program, task, folder)
        window, study = counts_hearings(program, task)
        writes(study)
        doubts_and_scratches(study)
        limits_attempts(study)
        graded_by_qf(study)
        close_dictation(study)
        window.close()
        window = None
        begins_afresh(program, task)
        check("the task itself is as it was handed out", task.read_text() == pristine)
    except Failure as failure:
        return end_of(failure)
    finally:
        if window and window.process.poll() is None:
            window.kill()
    return 0


if __name__ == "__main__":
    sys.exit(main())
