#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Drive drills of each kind, the practice record and the editor of questions, by keys.

usage: drive_practice.py QUINTFALL FOLDER

Run by run_window.sh, as drive_window.py is, whose tools it uses.
"""
import csv
import datetime
import json
import os
import pathlib
import sqlite3
import subprocess
import sys
import time

import gi

gi.require_version("Atspi", "2.0")
from gi.repository import Atspi  # noqa: E402

from drive_study import data_folder, frame
from drive_window import Failure, Window, check, descendants, end_of, wait_for

KINDS = {  # what the list says, and the group of practice.h that it records
    "Name the quality": "quality/", "Name the function": "function/",
    "Find the applied target": "target/", "Find where the circle breaks": "drill/",
    "Sing the resolution": "resolution/", "Name the inversion": "inversion/",
}


def opened(window, title):
    found = wait_for(title, lambda: frame(window, title))
    time.sleep(0.5)
    window.focus()
    return found


def closes_by_escape(window, keys, title):
    window.keys(keys)
    opened(window, title)
    window.keys("Escape")
    wait_for(f"{title} to go", lambda: frame(window, title) is None)
    check(f"Escape closes {title}", True)


def words(node):
    node.clear_cache()
    return [part.get_name() for part in descendants(node)
            if part.get_role_name() in ("label", "alert")]


def named(node, name):
    node.clear_cache()
    return next((part for part in descendants(node) if part.get_name() == name), None)


def list_of(node, name):
    """The list under a heading of the same name."""
    node.clear_cache()
    return next((part for part in descendants(node)
                 if part.get_name() == name and part.get_role_name() == "list"), None)


def is_focused(node):
    node.clear_cache()
    return node.get_state_set().contains(Atspi.StateType.FOCUSED)


def tally(dialog):
    return next((text for text in words(dialog) if text.endswith(" right")), "")


def attempts():
    with sqlite3.connect(f"file:{data_folder() / 'practice.db'}?mode=ro", uri=True) as record:
        tables = [row[0] for row in record.execute(
            "SELECT name FROM sqlite_master WHERE type='table'")]
        return [str(value) for table in tables for row in record.execute(f"SELECT * FROM {table}")
                for value in row]


def drills(window):
    window.keys("ctrl+shift+d")
    dialog = opened(window, "Drills")
    kinds = named(dialog, "Drill")
    listed = [part.get_name() for part in descendants(kinds) if part.get_role_name() == "label"]
    for asked, (kind, group) in enumerate(KINDS.items()):
        if asked:
            for _ in range(20):
                if is_focused(named(dialog, "Drill")) or any(
                        is_focused(part) for part in descendants(named(dialog, "Drill"))):
                    break
                window.keys("shift+Tab")
            window.keys("space", "Down", "Return")
        time.sleep(0.6)
        answer(window, dialog, asked)
        check(f"{kind} is answered by keys", tally(dialog).endswith(f"of {asked + 1} right"),
              (tally(dialog), listed))
        told = [text for text in words(dialog) if text[:1] in ("\u2713", "\u2717")]
        check("and told with its reason", len(told) == 1 and len(told[0]) > 20, told)
        wait_for(f"{group} in the record",
                 lambda: any(value.startswith(group) for value in attempts()))
        check("and recorded", True)
    window.keys("Escape")
    wait_for("the drills to go", lambda: frame(window, "Drills") is None)
    check("Escape closes the drills", True)


def tab_to(window, node, name):
    """Go on by Tab until the keyboard is at something of that name."""
    for _ in range(40):
        node.clear_cache()
        if any(part.get_name() == name and is_focused(part) for part in descendants(node)):
            return
        window.keys("Tab")
    raise Failure(f"Tab does not come to {name}")


def answer(window, dialog, asked):
    """The first choice, or the fifth degree where a note is to be written."""
    if any("Sing where" in text for text in words(dialog)):
        window.type("5")
    window.keys("Return")
    wait_for("the tally", lambda: tally(dialog).endswith(f"of {asked + 1} right"))


def practice(window, folder):
    window.keys("ctrl+alt+r")
    dialog = opened(window, "Practice Record")
    due = wait_for("what is due", lambda: list_of(dialog, "To practise next"))
    rows = [part.get_name() for part in descendants(list_of(dialog, "By concept"))
            if part.get_role_name() == "label"]
    check("each group is listed", sum("of 1 right" in row for row in rows) >= len(KINDS), rows)
    today = datetime.date.today()
    check("the chart tells its figures", any(
        part.get_role_name() == "image" and "of" in part.get_name()
        for part in descendants(dialog)),
        [part.get_name() for part in descendants(dialog) if part.get_role_name() == "image"])
    # SM-2 asks a first time after one day (P. A. Wozniak, 1990): nothing is due on the day itself.
    check("nothing is due on the first day", any(
        "Nothing is due" in part.get_name() for part in descendants(due)), words(dialog))

    out = folder / "practice.csv"
    export(window, out)
    lines = list(csv.DictReader(out.open(encoding="utf-8")))
    check("the record is exported", len(lines) >= len(KINDS) and "concept" in lines[0],
          lines[:2])
    check("with the day", str(today.year) in json.dumps(lines[0]), lines[0])
    return dialog


def export(window, out):
    window.keys("alt+e")
    wait_for("the chooser", lambda: frame(window, "Export the Practice Record"))
    time.sleep(0.5)
    window.focus()
    window.keys("ctrl+a")
    window.type(str(out))
    window.keys("Return")
    wait_for("the file", out.exists)
    time.sleep(0.5)
    window.focus()


def deletes(window, dialog):
    window.focus()
    window.keys("alt+d")
    wait_for("the question", lambda: any("Delete the whole practice record?" in text
                                         for text in window.texts()))
    window.answer("Cancel")
    time.sleep(0.5)
    check("deleting can be cancelled", any(value.startswith("quality/") for value in attempts()))
    window.focus()
    window.keys("alt+d")
    wait_for("the question", lambda: any("Delete the whole practice record?" in text
                                         for text in window.texts()))
    window.answer("Delete")
    wait_for("an empty record", lambda: not any("/" in value for value in attempts()))
    wait_for("the window to say so", lambda: any("Nothing practised yet" in text
                                                 for text in names(dialog)))
    check("deleting leaves nothing", True)
    window.focus()
    window.keys("Escape")
    wait_for("the record to go", lambda: frame(window, "Practice Record") is None)
    check("Escape closes the practice record", True)


def names(node):
    node.clear_cache()
    return [part.get_name() for part in descendants(node)]


def is_due(window):
    """What is set two days back is due, and the reason is told."""
    with sqlite3.connect(data_folder() / "practice.db") as record:
        record.execute("UPDATE attempts SET at = at - 2 * 86400")
    window.keys("ctrl+alt+r")
    dialog = opened(window, "Practice Record")
    due = wait_for("what is due", lambda: list_of(dialog, "To practise next"))
    rows = [part.get_name() for part in descendants(due) if part.get_role_name() == "label"]
    reasons = [row for row in rows if "due since" in row]
    check("what is due says why", len(reasons) >= len(KINDS) and all(
        "remembered" in row for row in reasons), rows)
    button = next(part for part in descendants(due) if part.get_name() == "Practise")
    button.do_action(0)
    title = wait_for("drills on it", lambda: next(
        (f.get_name() for f in window.frames() if f.get_name().startswith("Drills: ")), None))
    check("and its drills are about it", len(title) > len("Drills: "), title)
    time.sleep(0.5)
    window.focus()
    window.keys("Escape")
    wait_for("the drills to go", lambda: frame(window, "Drills") is None)
    return dialog


# ---- the editor of questions

def questions(window):
    window.keys("ctrl+shift+F2")
    dialog = opened(window, "Leading Questions")
    counts = lambda: next((text for text in words(dialog)  # noqa: E731
                           if "questions" in text), "")
    check("at first they follow the lesson", "follow the lesson" in counts(), counts())
    window.keys("alt+m")
    made = wait_for("the questions", lambda: counts() if "of them asked" in counts() else None)
    check("they are made to be edited", True)

    def click(name, index=0):
        found = [part for part in descendants(dialog) if part.get_name() == name]
        found[index].do_action(0)

    def prompts():
        return [text for text in words(dialog) if text.endswith("?") or text.endswith(".")]

    first, second = prompts()[0], prompts()[1]
    click("Ask later")
    wait_for("another order", lambda: prompts()[0] == second)
    check("a question is asked later", first in prompts())
    tab_to(window, dialog, "Asked")
    window.keys("space")
    n = int(made.split()[0])
    wait_for("one fewer", lambda: f"{n} questions, {n - 1} of them asked" in counts())
    check("a question is dropped", True)
    dialog.clear_cache()
    click("Edit the question", 1)
    opened(window, "Edit a Question")
    window.keys("ctrl+a")
    window.type("Where is home?")
    window.keys("alt+a")
    wait_for("the form to go", lambda: frame(window, "Edit a Question") is None)
    wait_for("the words", lambda: "Where is home?" in prompts())
    check("a question is edited", any("edited" in text for text in words(dialog)))
    window.focus()
    dialog.clear_cache()
    click("Back to what the lesson makes it")
    wait_for("the words of before", lambda: first in prompts())
    check("and goes back to what the lesson makes it", "Where is home?" not in prompts())
    window.keys("ctrl+z")
    wait_for("the edit again", lambda: "Where is home?" in prompts())
    check("Ctrl+Z takes that back", True)
    window.keys("Escape")
    wait_for("the dialog to go", lambda: frame(window, "Leading Questions") is None)
    check("Escape closes the editor", True)


def saved_with_the_lesson(window, folder):
    path = folder / "asked.json"
    window.focus()
    window.keys("ctrl+shift+s")
    wait_for("the dialog", lambda: sum(1 for _ in window.frames()) > 1)
    time.sleep(0.5)
    window.focus()
    window.keys("ctrl+a")
    window.type(str(path))
    window.keys("Return")
    wait_for("the file", path.exists)
    kept = json.loads(path.read_text(encoding="utf-8"))["questions"]
    check("questions are saved with the lesson", any(
        question["prompt"] == "Where is home?" and question["is_edited"] for question in kept) and
        any(question.get("is_dropped") for question in kept), kept[:2])


def forgets(window):
    window.focus()
    window.keys("ctrl+shift+F2")
    dialog = opened(window, "Leading Questions")
    window.keys("alt+f")
    wait_for("the lesson's own", lambda: any("follow the lesson" in text
                                             for text in words(dialog)))
    check("all changes are forgotten at once", True)
    window.keys("ctrl+z")
    wait_for("them again", lambda: any("of them asked" in text for text in words(dialog)))
    check("and that can be undone", "Where is home?" in words(dialog))
    window.keys("Escape")
    wait_for("the dialog to go", lambda: frame(window, "Leading Questions") is None)


def short_lesson(folder):
    path = folder / "short.json"
    subprocess.run([os.environ["QUINTFALL_QF"], "realise", "C: I V7 I", "--metre", "3/4", "-o",
                    str(path)], check=True)
    return str(path)


def main():
    program, folder = sys.argv[1], pathlib.Path(sys.argv[2])
    window = Window(program)
    try:
        drills(window)
        window.focus()
        practice(window, folder)
        window.keys("Escape")
        wait_for("the record to go", lambda: frame(window, "Practice Record") is None)
        window.focus()
        dialog = is_due(window)
        deletes(window, dialog)
        window.focus()
        closes_by_escape(window, "ctrl+alt+n", "Make Exercises")
        window.close()
        window = Window(program, short_lesson(folder))  # A long list takes the bus long to read
        questions(window)
        saved_with_the_lesson(window, folder)
        forgets(window)
    except Failure as failure:
        return end_of(failure)
    finally:
        if window.process.poll() is None:
            window.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
