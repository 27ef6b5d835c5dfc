#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Drive the table of grades: a folder of answers, sorted, opened, written out.

usage: drive_grades.py QUINTFALL FOLDER

Run by run_window.sh, as drive_window.py is, whose tools it uses.
"""
import csv
import os
import pathlib
import subprocess
import sys
import time

import gi

gi.require_version("Atspi", "2.0")
from gi.repository import Atspi  # noqa: E402

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "support"))
from class_of_answers import Answers  # noqa: E402
from drive_plan import dialog, inside, press  # noqa: E402
from drive_window import (Failure, Window, check, children, descendants, end_of,  # noqa: E402
                          wait_for)

LESSON = pathlib.Path(__file__).resolve().parents[2] / "resources/lessons/lantern-walk.json"
GRADED = 7


def choose(window, title, path, before=lambda: None):
    chooser = wait_for(title, lambda: dialog(window, title))
    time.sleep(0.5)
    window.focus()
    before()
    window.keys("ctrl+a" if "Table" in title else "ctrl+l")
    window.type(str(path))
    window.keys("Return")
    time.sleep(0.5)
    window.focus()
    return chooser


def table_of(grades):
    table = next(node for node in descendants(grades) if node.get_name() == "Graded answers")
    table.clear_cache()
    return table


def rows(grades):
    """The texts of each row, as they stand from the top."""
    found = []
    for node in descendants(table_of(grades)):
        if node.get_role_name() == "table row":
            texts = [label.get_name() for cell in children(node)
                     if cell.get_role_name() == "table cell" for label in children(cell)]
            if texts:  # No row but the one of the titles is without cells.
                found.append(texts)
    return found


def find_window(title):
    return subprocess.run(["xdotool", "search", "--onlyvisible", "--name", title],
                          capture_output=True, text=True, check=True).stdout.split()[-1]


def focus_on(title):
    subprocess.run(["xdotool", "windowfocus", "--sync", find_window(title)], check=True)
    time.sleep(0.3)


def click(node, times=1, title="Grades: "):
    """Press the pointer on something that has no action of its own."""
    box = node.get_component_iface().get_extents(Atspi.CoordType.WINDOW)
    subprocess.run(["xdotool", "mousemove", "--window", find_window(title),
                    str(box.x + box.width // 2), str(box.y + box.height // 2), "click", "--repeat",
                    str(times), "--delay", "60", "1"], check=True)
    time.sleep(0.5)


def grades_a_folder(window, grades, folder):
    press(grades, "push button", "Add a Folder…")
    choose(window, "Folder of Answers", folder)
    wait_for("all answers", lambda: len(rows(grades)) == GRADED, 60)
    check("every answer of the folder has a row", True)
    names = [row[0] for row in rows(grades)]
    check("names are whole, and sorted", names == sorted(names) and "Ägidius Öztürk" in names and
          names.count("Maja Lindström") == 2, names)
    sums = [text for text in window.texts() if text.startswith(f"{GRADED} answers of ")]
    check("one who handed in twice counts once", sums and "of 6 students" in sums[0], sums)
    faults = [node.get_name() for node in descendants(inside(grades, "list", "Not graded"))
              if node.get_role_name() == "label"]
    check("what is broken is told and stops nothing", len(faults) == 2 and
          faults[0].startswith("08 broken.json: ") and faults[1].startswith("09 nothing.json: "),
          faults)


def tells_what_was_missed(grades):
    missed = [node.get_name() for node in
              descendants(inside(grades, "list", "What the class missed most"))
              if node.get_role_name() == "label"]
    # Two wrote IV for V7/ii, one left everything empty: 4 of 7 have it (counted by hand).
    check("what to teach again stands there", "applied chords of ii: 4 of 7 right (57 %)" in missed,
          missed)
    titles = [node.get_name() for node in descendants(table_of(grades))
              if node.get_role_name() in ("label", "column header", "table column header")]
    check("a layer's column tells what the class has of it",
          any(title.startswith("Bass ") and title.endswith("%") for title in titles), titles)
    weak = {row[0]: row[-1] for row in rows(grades)}
    check("each row tells what that student missed most",
          "0 of 1" in weak["Jürgen Weiß"] and weak["Zoë Brückner"] == "\u2013", weak)


def sorts(window, grades):
    def title():
        return next(node for node in descendants(table_of(grades))
                    if node.get_name() == "Percent" and node.get_role_name() == "label")
    window.focus()
    percents = [float(row[5].split()[0]) for row in rows(grades)]
    click(title())
    wait_for("the order of percents", lambda: [float(row[5].split()[0]) for row in rows(grades)] ==
             sorted(percents))
    check("a column sorts the table", rows(grades)[0][0] == "Niemand", rows(grades)[0])
    click(title())
    wait_for("the other way", lambda: [float(row[5].split()[0]) for row in rows(grades)] ==
             sorted(percents, reverse=True))
    check("and the other way round", rows(grades)[-1][0] == "Niemand", rows(grades)[-1])


def opens_one(window, grades):
    cell = next(node for node in descendants(table_of(grades))
                if node.get_name() == "Ägidius Öztürk" and node.get_role_name() == "label")
    click(cell, 2)
    frame = wait_for("the answer", lambda: next(
        (f for f in window.frames() if f.get_name().startswith("Dictation: ")), None))
    reasons = wait_for("the reasons", lambda: [row.get_name() for node in descendants(frame)
                                               if node.get_name() == "Where points were lost"
                                               for row in children(node)])
    check("an answer opens with its reasons", len([r for r in reasons if "G5 is written" in r]) == 1,
          reasons)
    window.keys("ctrl+w")
    wait_for("the answer to close", lambda: not any(
        f.get_name().startswith("Dictation: ") for f in window.frames()))
    time.sleep(0.5)
    window.focus()


def closes_by_escape(window):
    def is_open():
        return any(f.get_name().startswith("Grades: ") for f in window.frames())

    # Where toasts are still shown, an Escape puts one of them away first, as libadwaita has it.
    for _ in range(4):
        if is_open():
            window.keys("Escape")
            time.sleep(1.0)
    wait_for("the table to close", lambda: not is_open())


def writes_a_table(window, grades, qf, folder, out):
    press(grades, "push button", "Table…")
    choose(window, "Save the Table", out)
    wait_for("the table", out.exists)
    command = subprocess.run([qf, "grade", LESSON, folder, "--as", "csv"], capture_output=True,
                             check=False)
    check("the table is that of `qf grade`", out.read_bytes() == command.stdout, out.read_text())
    table = list(csv.DictReader(out.read_text(encoding="utf-8").splitlines()))
    check("it has a line an answer", len(table) == GRADED and
          table[1]["student"] == "Ägidius Öztürk", table)


def words_of(path):
    return subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True,
                          check=True).stdout


def writes_comments(window, grades, out):
    out.mkdir()
    press(grades, "push button", "Comments…")
    choose(window, "Folder for the Comments", out)
    wait_for("the comments", lambda: len(list(out.glob("*.pdf"))) == GRADED, 60)
    check("each answer has its comments", (out / "02 wrong note.pdf").exists(), list(out.iterdir()))
    words = words_of(out / "02 wrong note.pdf")
    check("they show the page, the passage and the reason", "Your answer" in words and
          "The passage" in words and "G5 is written" in words and "Ägidius Öztürk" in words, words)
    check("an answer left empty says so once a layer",
          words_of(out / "06 empty.pdf").count("Nothing is written.") >= 4)


def keeps_the_solution(window, grades, out):
    out.mkdir()
    press(grades, "push button", "Comments…")

    def untick():
        chooser = dialog(window, "Folder for the Comments")
        box = wait_for("the choice", lambda: inside(chooser, "check box", "Show the solution"))
        click(box, 1, "Folder for the Comments")
    choose(window, "Folder for the Comments", out, untick)
    wait_for("the comments", lambda: len(list(out.glob("*.pdf"))) == GRADED, 60)
    words = words_of(out / "02 wrong note.pdf")
    check("comments without the solution tell where and what kind only", "Your answer" in words and
          "The passage" not in words and "was asked" not in words and "G5" not in words, words)


def main():
    os.environ["LC_ALL"] = "C.UTF-8"  # Names are sorted as the language sorts them.
    program = sys.argv[1]
    folder = pathlib.Path(sys.argv[2])
    qf = pathlib.Path(program).resolve().parents[1] / "command" / "qf"
    Answers(qf, LESSON, folder / "answers").write_class()
    window = Window(program)
    try:
        window.keys("ctrl+shift+g")
        grades = wait_for("the table", lambda: next(
            (f for f in window.frames() if f.get_name().startswith("Grades: ")), None))
        time.sleep(0.5)
        window.focus()
        grades_a_folder(window, grades, folder / "answers")
        tells_what_was_missed(grades)
        sorts(window, grades)
        writes_a_table(window, grades, qf, folder / "answers", folder / "grades.csv")
        writes_comments(window, grades, folder / "comments")
        keeps_the_solution(window, grades, folder / "unsolved")
        opens_one(window, grades)
        focus_on("Grades: ")
        closes_by_escape(window)
        check("Escape closes the table and leaves the lesson", window.links())
    except Failure as failure:
        return end_of(failure)
    finally:
        if window.process.poll() is None:
            window.kill()
    return 0


if __name__ == "__main__":
    sys.exit(main())
