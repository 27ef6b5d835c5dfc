#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Drive the hearing plan: its editor, going about in it while it plays, its recordings.

usage: drive_plan.py QUINTFALL FOLDER

Run by run_window.sh, as drive_window.py is, whose tools it uses.
"""
import json
import os
import pathlib
import sys
import time

import gi

gi.require_version("Atspi", "2.0")
from gi.repository import Atspi  # noqa: E402

from drive_window import Failure, Window, check, children, descendants, end_of, wait_for


DEMO = pathlib.Path(__file__).parents[2] / "resources/lessons/lantern-walk.json"


def dialog(window, title):
    """Another window of the program, by its title."""
    return next((frame for frame in window.frames() if frame.get_name() == title), None)


def inside(node, role, start):
    return next((child for child in descendants(node) if child.get_role_name() == role and
                 child.get_name().startswith(start)), None)


def rows(plan):
    found = inside(plan, "list", "Steps of the plan")
    if found is None:
        return []
    found.clear_cache()
    return [row.get_name() for row in children(found) if row.get_role_name() == "list item"]


def step_label(window):
    return next((text for text in window.texts() if text.startswith(("Hearing ", "Plan: "))), "")


def press(node, role, name):
    def look():
        node.clear_cache()  # Toasts come and go
        return inside(node, role, name)
    found = wait_for(name, look)
    if not found.do_action(0):
        raise Failure(f"{name} cannot be pressed")


def is_pressed(window, name):
    node = next((node for node in descendants(window.frame) if node.get_name() == name), None)
    if node is None:
        return False
    node.clear_cache()
    states = node.get_state_set()
    return states.contains(Atspi.StateType.PRESSED) or states.contains(Atspi.StateType.CHECKED)


def edits_a_plan(window):
    window.keys("ctrl+shift+p")
    plan = wait_for("the editor", lambda: dialog(window, "Hearing Plan"))
    window.focus()
    wait_for("steps", lambda: rows(plan))
    before = rows(plan)
    check("without a plan it begins with a plain dictation",
          sum("Whole and balanced" in row for row in before) == 4, before)
    check("hearings are numbered", [row[0] for row in before if "Whole" in row] == list("1234"),
          before)
    words = wait_for("how long it lasts", lambda: next(
        (text for text in window.texts() if " hearings, " in text), None))
    check("its length is told", words.startswith("4 hearings, "), words)

    # The first step is chosen; the second, a count-in, goes up and down by keys and away.
    press(plan, "push button", "Move the step down")
    wait_for("the step to move", lambda: rows(plan)[1] == before[0])
    check("a step moves by its button", rows(plan)[0] == before[1], rows(plan))
    window.keys("alt+Up")
    wait_for("the step to move back", lambda: rows(plan) == before)
    check("and by keys", True)
    window.keys("ctrl+Delete")
    wait_for("the step to go", lambda: rows(plan) == before[1:])
    check("a step is removed", True)
    window.keys("ctrl+d")
    wait_for("another like it", lambda: rows(plan) == before[1:2] + before[1:])
    window.keys("ctrl+z", "ctrl+z")
    wait_for("all back", lambda: rows(plan) == before)
    window.keys("ctrl+y")
    wait_for("removed again", lambda: rows(plan) == before[1:])
    check("changes are undone and done again", True)
    return plan


def asks_before_it_forgets(window, plan):
    window.keys("Escape")
    question = "Apply the Changes to the Plan?"
    wait_for("the question", lambda: any(
        text == question for text in window.texts()))
    window.focus()
    window.keys("Escape")
    wait_for("it to go on", lambda: all(text != question for text in window.texts()))
    window.focus()
    check("Escape asks while there are changes", dialog(window, "Hearing Plan") is not None)


def hears_it_as_it_is(window, plan):
    press(plan, "push button", "Hear from this step on")
    wait_for("the sound", lambda: step_label(window).startswith("Hearing 1 of 4"))
    press(plan, "push button", "Hear from this step on")
    wait_for("silence", lambda: step_label(window).startswith("Plan: "))
    check("a plan is heard before it is applied", True)


def changes_a_step(window, plan):
    window.keys("Down")  # From the step that took the removed one's place
    wait_for("its settings", lambda: inside(plan, "spin button", "Times heard"))
    spin = inside(plan, "spin button", "Times heard")
    spin.get_value_iface().set_current_value(3)
    wait_for("the row to say so", lambda: rows(plan)[1].endswith("3 times"))
    check("a step's setting shows in its row", rows(plan)[1] == "1. Whole and balanced, 3 times",
          rows(plan))
    inside(plan, "spin button", "How far the others").get_value_iface().set_current_value(9)


def applies_it(window, plan):
    press(plan, "push button", "Apply")
    wait_for("the editor to close", lambda: not dialog(window, "Hearing Plan"))
    window.focus()
    wait_for("the plan's name", lambda: step_label(window) == "Plan: Plain dictation, 4 hearings")
    check("the strip names the plan", True)
    window.keys("ctrl+z")
    window.keys("ctrl+y")
    wait_for("undone and done again", lambda: step_label(window) ==
             "Plan: Plain dictation, 4 hearings")


def plays_it(window):
    window.keys("F5")
    wait_for("the first hearing", lambda: step_label(window).startswith("Hearing 1 of 4"))
    check("F5 plays the plan", "count-in" in step_label(window), step_label(window))
    wait_for("the pass", lambda: step_label(window) == "Hearing 1 of 4: Whole and balanced, 3 times")
    check("the label follows the steps", True)
    window.keys("ctrl+alt+Next")
    wait_for("the second hearing", lambda: step_label(window).startswith("Hearing 2 of 4"))
    window.keys("ctrl+alt+Next")
    wait_for("the third hearing", lambda: step_label(window).startswith("Hearing 3 of 4"))
    # Later than a moment after its start, a hearing first begins again itself.
    window.keys("ctrl+alt+Prior", "ctrl+alt+Prior")
    wait_for("one before", lambda: not step_label(window).startswith("Hearing 3 of 4"))
    if step_label(window).startswith("Hearing 1 of 4"):
        window.keys("ctrl+alt+Next")
    wait_for("the second again", lambda: step_label(window).startswith("Hearing 2 of 4"))
    check("keys go to the next hearing and the one before", True)
    window.keys("ctrl+Next")
    wait_for("a chord", lambda: "count-in" not in step_label(window))
    check("a key goes on by a chord", True)


def changes_speed(window):
    window.keys("alt+minus", "alt+minus")
    wait_for("90 %", lambda: window.named("push button", "Speed, 90"))
    check("slower by keys, while it plays", step_label(window).startswith("Hearing"),
          step_label(window))
    window.keys("alt+BackSpace")
    wait_for("100 %", lambda: window.named("push button", "Speed, 100"))
    window.keys("F5")
    wait_for("a pause", lambda: window.named("push button", "Play Plan"))
    check("F5 pauses", step_label(window).startswith("Hearing 2"), step_label(window))
    window.keys("h")  # A chord comes between
    window.keys("F5")
    wait_for("the plan to go on", lambda: step_label(window).startswith("Hearing 2"))
    check("the plan goes on where it was", True)


def loops(window):
    window.keys("ctrl+shift+l")
    wait_for("the loop", lambda: is_pressed(window, "Loop Here"))
    check("a chord is looped", True)
    window.keys("ctrl+shift+l")
    wait_for("no loop", lambda: not is_pressed(window, "Loop Here"))
    window.keys("shift+space")
    wait_for("the end of it", lambda: step_label(window).startswith("Plan: "))
    check("Stop ends the plan", True)


def records(window, folder):
    window.keys("ctrl+shift+r")
    record = wait_for("the dialog", lambda: dialog(window, "Record Hearings"))
    window.focus()
    wait_for("what will be recorded", lambda: inside(record, "label", "Plain dictation, 4 hearings"))
    check("the dialog names what it records", True)
    press(record, "push button", "Record…")
    wait_for("the folder's dialog", lambda: dialog(window, "Folder for the Recordings"))
    window.focus()
    window.keys("ctrl+l")
    window.type(str(folder))
    window.keys("Return")
    window.focus()
    done = wait_for("the recordings", lambda: next(
        (text for text in window.texts() if text.startswith("Exported ") or
         "could not be exported" in text), None), 120)
    if "SoundFont" in done:
        print("skipped: there is no SoundFont")
        return
    files = sorted(path.name for path in pathlib.Path(folder).glob("0*.flac"))
    check("each hearing has a file of its own", files == [
        f"{i + 1:02} Whole and balanced{', 3 times' if i == 0 else ''}.flac" for i in range(4)],
        files)
    check("a MIDI file stands beside them", list(pathlib.Path(folder).glob("*.mid")))


def cares(window):
    window.keys("ctrl+comma")
    sound = wait_for("the dialog", lambda: dialog(window, "Sound and Care for Hearing"))
    window.focus()
    # Source: Recommendation ITU-T H.870, as tabled in tests/data/references/hearing_dose.tsv.
    text = wait_for("the advice", lambda: next(
        (text for text in window.texts() if "80 dB(A) for 40 hours a week" in text), None))
    check("published limits and their source are told", "ITU-T H.870" in text and
          "75 dB(A) for 40 hours" in text and "institution" in text, text)
    inside(sound, "spin button", "Frequency of A4").get_value_iface().set_current_value(415)
    window.keys("Escape")
    wait_for("it to close", lambda: not dialog(window, "Sound and Care for Hearing"))
    window.focus()


def balances(window, folder):
    window.keys("ctrl+alt+l")
    name = "Others step back"
    spin = wait_for("the levels", lambda: inside(window.frame, "spin button", name))
    spin.get_value_iface().set_current_value(20)
    time.sleep(2)
    window.keys("Escape", "ctrl+s")
    saved = pathlib.Path(folder) / "plain.json"
    wait_for("the level in the lesson",
             lambda: json.loads(saved.read_text())["hearing"]["softening_db"] == 20)
    check("a level is kept in the lesson", True)
    window.keys("ctrl+alt+l")
    press(window.frame, "push button", "Back to the Defaults")
    wait_for("the default", lambda: spin.get_value_iface().get_current_value() == 14)
    check("levels go back to the defaults", True)
    window.keys("Escape")


def keeps_a_plan(window, home):
    window.keys("ctrl+shift+p")
    plan = wait_for("the editor", lambda: dialog(window, "Hearing Plan"))
    window.focus()
    name = wait_for("the name", lambda: inside(plan, "text", "Name of the plan"))
    name.get_editable_text_iface().set_text_contents("Tuesday")
    window.keys("ctrl+s")
    kept = pathlib.Path(home) / ".local/share/quintfall/plans/tuesday.json"
    wait_for("the file", kept.exists)
    steps = json.loads(kept.read_text())["steps"]
    passes = [step for step in steps if step["step"] == "pass"]
    check("a plan is kept for other lessons", passes[0]["repeats"] == 3 and
          passes[0]["softening_db"] == 9, passes[0])

    # Its name can be changed, and it can be taken away and put back.
    window.keys("ctrl+shift+s")
    shelf = wait_for("the window", lambda: dialog(window, "Your Plans"))
    window.focus()
    wait_for("its name", lambda: inside(shelf, "text", "Name"))
    window.keys("ctrl+a")
    window.type("Wednesday")
    window.keys("Return")
    wait_for("the file to say so", lambda: json.loads(kept.read_text())["name"] == "Wednesday")
    press(shelf, "push button", "Remove the plan")
    wait_for("the file to go", lambda: not kept.exists())
    press(shelf, "push button", "Put Back")
    wait_for("a file", lambda: list(kept.parent.glob("*.json")))
    check("kept plans are renamed, removed and put back", True)
    window.keys("Escape")
    wait_for("it to close", lambda: not dialog(window, "Your Plans"))
    window.focus()
    for _ in range(4):  # The first ones may put toasts away
        if dialog(window, "Hearing Plan"):
            window.keys("Escape")
            time.sleep(1)
    check("Escape asks nothing when nothing is lost", not dialog(window, "Hearing Plan"))
    window.focus()


def write_lesson_without_plan(folder):
    """The demo lesson, but without its plan; gives its path."""
    lesson = json.loads(DEMO.read_text())
    del lesson["plan"]
    path = pathlib.Path(folder) / "plain.json"
    path.write_text(json.dumps(lesson))
    return str(path)


def main():
    window = Window(sys.argv[1], write_lesson_without_plan(sys.argv[2]))
    try:
        check("the first start says to start low",
              any("starts quietly" in text for text in window.texts()), window.texts())
        window.keys("ctrl+Escape")
        plan = edits_a_plan(window)
        asks_before_it_forgets(window, plan)
        hears_it_as_it_is(window, plan)
        changes_a_step(window, plan)
        applies_it(window, plan)
        plays_it(window)
        changes_speed(window)
        loops(window)
        records(window, sys.argv[2])
        cares(window)
        balances(window, sys.argv[2])
        keeps_a_plan(window, os.environ["HOME"])
    except Failure as failure:
        return end_of(failure)
    finally:
        if window.process.poll() is None:
            window.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
