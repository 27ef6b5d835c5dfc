#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Drive the exercise maker's sets: written, cancelled, refused, told.

usage: drive_sets.py QUINTFALL FOLDER

Run by run_window.sh, as drive_window.py is, whose tools it uses.
"""
import json
import pathlib
import sys
import time

from drive_plan import dialog, inside, press
from drive_window import Failure, Window, check, children, descendants, end_of, wait_for

SECONDS = 120  # A set under sanitizers on a busy machine


def set_spin(node, name, value):
    inside(node, "spin button", name).get_value_iface().set_current_value(value)


def is_on(switch):
    import gi
    gi.require_version("Atspi", "2.0")
    from gi.repository import Atspi
    switch.clear_cache()
    return switch.get_state_set().contains(Atspi.StateType.CHECKED)


def set_switch(node, name, wanted):
    switch = next(child for child in descendants(node) if child.get_name() == name and
                  child.get_role_name() in ("switch", "toggle button", "check box"))
    if is_on(switch) != wanted:
        switch.do_action(0)
        wait_for(name, lambda: is_on(switch) == wanted)


def set_text(node, start, text):
    entry = next(child for child in descendants(node) if child.get_name().startswith(start) and
                 child.get_editable_text_iface() is not None)
    entry.get_editable_text_iface().set_text_contents(text)


def choose_folder(window, title, folder):
    wait_for(title, lambda: dialog(window, title))
    time.sleep(0.3)
    window.focus()
    window.keys("ctrl+l")
    window.type(str(folder))
    window.keys("Return")
    time.sleep(0.3)
    window.focus()


def write_set(window, maker, folder):
    press(maker, "push button", "Write the Set…")
    choose_folder(window, "Folder for the Exercises", folder)


def told(window, *starts):
    """The last words that begin so, of all that are shown."""
    return wait_for(" or ".join(starts), lambda: next(
        (text for text in window.texts() if text.startswith(starts)), None), SECONDS)


def hush(window):
    """Wait until no news are shown, so that the next are not mistaken for old ones."""
    wait_for("silence", lambda: not [text for text in window.texts() if
             "written" in text or "complete" in text or text.startswith("Could not")])


def index_of(folder):
    return json.loads((folder / "index.json").read_text())["exercises"]


def names_told(folder):
    return {name for entry in index_of(folder) for name in entry["files"]}


def writes_a_set(window, maker, folder):
    folder.mkdir()
    set_spin(maker, "Exercises", 3)
    set_spin(maker, "Quarter notes a minute", 240)
    set_text(maker, "Metres", "3/4, 2/4")
    write_set(window, maker, folder)
    words = told(window, "3 exercises are written", "No SoundFont", "A SoundFont")
    if "SoundFont" in words:
        print("skipped recordings: there is no SoundFont")
        set_switch(maker, "Recordings", False)
        write_set(window, maker, folder)
        told(window, "3 exercises are written")
    endings = {name.split("-", 1)[1] for name in names_told(folder)}
    check("each exercise has lesson, worksheet, answers and task",
          {"lesson.json", "student.pdf", "answers.pdf", "task.json"} <= endings, endings)
    check("nothing else is in the folder but index and booklets",
          {path.name for path in folder.iterdir()} ==
          names_told(folder) | {"index.json", "worksheets.pdf", "answer-key.pdf"},
          list(folder.iterdir()))
    check("metres are mixed as asked", {entry["metre"] for entry in index_of(folder)} <=
          {"3/4", "2/4"}, index_of(folder))
    check("the index tells how hard each is, part by part", all(
        abs(sum(part["points"] for part in entry["difficulty"]["parts"].values()) -
            entry["difficulty"]["total"]) < 0.1 for entry in index_of(folder)))


def asks_before_replacing(window, maker, folder):
    hush(window)
    set_switch(maker, "Recordings", False)
    before = {path.name: path.stat().st_mtime_ns for path in folder.iterdir()}
    write_set(window, maker, folder)
    told(window, "Replace exercises?")
    window.answer("Cancel")
    time.sleep(1.0)
    check("files of the same names are not replaced unasked", before ==
          {path.name: path.stat().st_mtime_ns for path in folder.iterdir()})
    write_set(window, maker, folder)
    told(window, "Replace exercises?")
    window.answer("Replace")
    told(window, "3 exercises are written")
    check("they are when that is said", all(
        (folder / name).stat().st_mtime_ns > before[name] for name in names_told(folder)))


def cancels(window, maker, folder):
    folder.mkdir()
    hush(window)
    set_spin(maker, "Exercises", 400)
    write_set(window, maker, folder)
    bar = wait_for("the bar", lambda: inside(maker, "progress bar", "Exercises written") or
                   inside(maker, "level bar", "Exercises written"))
    wait_for("two exercises", lambda: (folder / "003-lesson.json").exists(), SECONDS)
    check("a bar shows how far it is", bar is not None)
    press(maker, "push button", "Cancel")
    words = told(window, "Cancelled; ")
    n_done = int(words.split()[1])
    check("it says what is complete", n_done == len(index_of(folder)) and 1 <= n_done < 400, words)
    check("only whole exercises are left", {path.name for path in folder.iterdir()} ==
          names_told(folder) | {"index.json", "worksheets.pdf", "answer-key.pdf"},
          list(folder.iterdir()))
    check("their sheets are whole", all(b"%%EOF" in path.read_bytes()[-16:]
                                        for path in folder.glob("*.pdf")))


def tells_faults(window, maker, folder):
    folder.mkdir()
    hush(window)
    set_spin(maker, "Exercises", 30)
    # /proc takes no files, from anybody.
    write_set(window, maker, "/proc")
    words = told(window, "Could not write /proc")
    check("a folder that cannot be written is told", "001-lesson.json" in words, words)

    set_text(maker, "Metres", "three four")
    press(maker, "push button", "Write the Set…")
    words = wait_for("a fault", lambda: next((text for text in window.texts()
                                              if "three" in text and "etre" in text), None))
    check("a metre that is none is told before a folder is asked for",
          dialog(window, "Folder for the Exercises") is None, words)

    # Three chords in three bars of one key and metre: few differ.
    set_text(maker, "Metres", "3/4")
    set_text(maker, "Keys", "C major")
    set_text(maker, "Degrees", "V")
    set_spin(maker, "Chords", 3)
    set_spin(maker, "Bars", 3)
    for name in ("Applied dominants", "Triads of the other degrees", "Diatonic sevenths",
                 "Leading-tone chords", "The cadential six-four"):
        set_switch(maker, name, False)
    write_set(window, maker, folder)
    words = wait_for("what there is", lambda: next(
        (text for text in window.texts() if "no more than" in text), None), SECONDS)
    n = len(index_of(folder))
    check("too few are told, and kept", words.startswith(f"{n} exercise") and
          f"no more than {n} " in words and 1 <= n < 30, words)


def shows_difficulty(window, maker):
    set_spin(maker, "Bars", 4)
    set_spin(maker, "Chords", 0)
    before = window.links()
    press(maker, "push button", "Open One")
    wait_for("another lesson", lambda: window.links() and window.links() != before)
    title = wait_for("the difficulty", lambda: next(
        (text for text in window.texts() if text.startswith("Difficulty ")), None))
    parts = [text for text in window.texts() if text.endswith((
        "chords", "different functions", "chords a minute"))]
    check("one that is opened tells how hard it is, and of what", float(title.split()[1]) > 5 and
          len(parts) >= 3, (title, parts))


def main():
    program = sys.argv[1]
    folder = pathlib.Path(sys.argv[2])
    window = Window(program)
    try:
        window.keys("ctrl+alt+n")
        maker = wait_for("the maker", lambda: dialog(window, "Make Exercises"))
        time.sleep(0.5)
        window.focus()
        writes_a_set(window, maker, folder / "set")
        asks_before_replacing(window, maker, folder / "set")
        cancels(window, maker, folder / "cancelled")
        tells_faults(window, maker, folder / "few")
        shows_difficulty(window, maker)
    except Failure as failure:
        return end_of(failure)
    finally:
        if window.process.poll() is None:
            window.kill()
    return 0


if __name__ == "__main__":
    sys.exit(main())
