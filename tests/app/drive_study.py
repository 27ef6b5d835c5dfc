#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Drive a dictation from taking it to the table of grades, and what is practised beside it.

usage: drive_study.py QUINTFALL FOLDER

Run by run_window.sh, as drive_window.py is, whose tools it uses. The notes asked for are read
from the worked solution in the demo's own score, not from what the program says of them.
"""
import json
import os
import pathlib
import re
import sqlite3
import subprocess
import sys
import time

from drive_window import Atspi, Failure, Window, check, children, descendants, end_of, wait_for


class Study:
    """The window of a dictation."""

    def __init__(self, window):
        self.window = window
        self.frame = wait_for("the dictation", lambda: frame(window, "Dictation: "))
        time.sleep(0.5)
        window.focus()

    def node(self, role, start):
        return next((node for node in descendants(self.frame)
                     if node.get_role_name() == role and node.get_name().startswith(start)), None)

    def labels(self, start):
        self.frame.clear_cache()
        return [node.get_name() for node in descendants(self.frame)
                if node.get_role_name() in ("label", "alert") and
                node.get_name().startswith(start)]

    def caret(self):
        answer = next(node for node in descendants(self.frame) if node.get_name() == "Answer")
        return next(children(answer)).get_name()

    def at(self, words):
        wait_for(f"the caret at {words}", lambda: words in self.caret())

    def press(self, name):
        button = wait_for(name, lambda: self.node("push button", name))
        button.do_action(0)

    def staves(self):
        """Give the keyboard to the staves, in the bass."""
        self.window.keys("alt+b")
        time.sleep(0.3)

    def verdicts(self):
        found = wait_for("the rows", lambda: next(node for node in descendants(self.frame)
                                                  if node.get_name() == "Where points were lost"))
        found.clear_cache()
        return [row.get_name() for row in children(found)]


def frame(window, start):
    return next((f for f in window.frames() if f.get_name().startswith(start)), None)


def data_folder():
    return pathlib.Path(os.environ["HOME"], ".local", "share", "quintfall")


def answer_path():
    return max((data_folder() / "answers").glob("*.json"), key=os.path.getmtime)


def last_attempt():
    return json.loads(answer_path().read_text())["attempts"][-1]


def saved(what, ask):
    """Wait until the file says so, which is written a moment after the key."""
    return wait_for(f"{what} in the file", lambda: ask(json.dumps(last_attempt())))


def says_nothing_of_the_solution(study):
    # common practice: an answer's text must not show the chords; they are packed.
    members = json.loads(answer_path().read_text())
    packed = members.pop("packed")
    text = json.dumps(members)
    check("the file shows no label or chord tone at a glance",
          "C#5" not in text and "V7" not in text and "{" not in json.dumps(packed)[1:-1], text)


def writes_notes(study):
    window = study.window
    check("the caret is in the bass, at its first gap", "Bar 1 beat 1, Bass, rest" in
          study.caret(), study.caret())
    window.keys("a", "d")
    study.at("Bar 2 beat 1")
    window.keys("Left")
    study.at("Bar 1 beat 3, Bass, D 3")
    check("letters write notes near the one before", True)
    window.keys("F4")
    wait_for("the doubt", lambda: "in doubt" in study.caret())
    check("a note is marked as doubtful", True)
    window.keys("Right", "alt+w")
    # common practice: in A major degree 3 is C sharp, 4 is D, and "sol" is E.
    window.type("3 4 sol")
    window.keys("Return")
    saved("five notes", lambda text: len(json.loads(text)["notes"]) == 5)
    wait_for("the caret behind them", lambda: "Bar 4 beat 1" in study.caret())
    check("degrees and syllables write notes", "Bar 4 beat 1" in study.caret(), study.caret())


def undoes(study):
    window = study.window
    study.staves()
    window.keys("Left")
    study.at("Bar 3 beat 1, Bass, E 3")
    window.keys("ctrl+z")
    study.at("Bar 3 beat 1, Bass, rest")
    window.keys("ctrl+shift+z")
    study.at("Bar 3 beat 1, Bass, E 3")
    check("undo takes the last note, redo brings it back", True)


def scratches(study):
    window = study.window
    before = len(last_attempt().get("scratch", []))
    window.keys("ctrl+alt+u")
    wait_for("a scratch mark", lambda: "up" in json.dumps(last_attempt().get("scratch", [])))
    check("a shape is put on the scratch line",
          len(last_attempt()["scratch"]) == before + 1, last_attempt()["scratch"])


def names_chords(study):
    study.staves()
    study.window.keys("Home")
    study.window.keys("alt+n")
    time.sleep(0.3)
    study.window.type("I")
    study.window.keys("Return")
    saved("the numeral", lambda text: '"I"' in text)
    check("a numeral is written into the answer", True)
    study.node("push button", "In doubt, chord 1,").do_action(0)
    wait_for("the doubt", lambda: '"is_doubtful": true' in json.dumps(last_attempt()["chords"][0]))
    check("a chord is marked as doubtful", True)
    study.staves()
    study.window.keys("Home")
    study.window.keys("alt+q")
    time.sleep(0.3)
    study.window.keys("space", "Down", "Return")
    saved("the quality", lambda text: '"major"' in text.lower() or '"maj"' in text.lower())
    check("a chord quality is chosen by keys", True)


def hears(study):
    window = study.window
    study.press("Play")
    wait_for("the hearing", lambda: len(json.loads(answer_path().read_text())["heard"]) == 1)
    study.press("Stop")
    check("a hearing is counted", True)


def answers_questions(study):
    window = study.window
    window.keys("F8", "F8")
    wait_for("the third question", lambda: study.labels("Question 3 of "))
    check("F8 goes on to the next question", True)
    stages = wait_for("stages", lambda: study.node("combo box", "Stage of the questions"))
    check("stages are counted", any("The frame (" in n.get_name() for n in descendants(stages)))
    window.keys("ctrl+F8")
    time.sleep(0.3)
    window.keys("space", "Down", "Return")
    wait_for("the outer voices", lambda: any("the outer voices" in t
                                             for t in study.labels("Question ")))
    check("the list of stages jumps to a stage", True)
    study.staves()
    window.keys("Home", "Right", "Right", "Right")
    study.at("Bar 2 beat 1, Bass")
    window.keys("ctrl+shift+F8")
    wait_for("a question about bar 2", lambda: study.labels("How does the bass come to its note at "
                                                            "m2 b1"))
    check("a question about the caret's place is found", "Bar 2 beat 1" in study.caret())
    before = set(study.labels(""))
    window.keys("ctrl+h")
    wait_for("more words", lambda: len(set(study.labels("")) - before) == 1)
    check("one hint is given, and no answer", not study.labels("\u2713"))
    # The solution's bass goes from D3 to C sharp 3: a step down (interval arithmetic).
    study.press("a leap up")
    wait_for("no", lambda: study.labels("\u2717"))
    check("a wrong answer is told", not study.labels("\u2713"))
    study.press("a step down")
    wait_for("yes", lambda: study.labels("\u2713"))
    check("the right answer is told", not study.labels("\u2717"))
    replies = wait_for("two replies", lambda: (lambda r: len(r) == 2 and r)(
        json.loads(answer_path().read_text())["replies"]))
    check("both replies and the hint are recorded",
          [r["is_right"] for r in replies] == [False, True] and
          all(r["hints"] == 1 for r in replies), replies)


class Compared:
    """The answer over the passage."""

    def __init__(self, study):
        self.view = wait_for("the comparison", lambda: next(
            node for node in descendants(study.frame) if node.get_name() == "Comparison"))

    def find(self, pattern, roles=None):
        """The first match of a pattern with a whole name."""
        self.view.clear_cache()
        found = (re.fullmatch(pattern, node.get_name()) for node in descendants(self.view)
                 if roles is None or node.get_role_name() in roles)
        return next((match for match in found if match), None)

    def count(self):
        """Differences in the layers that are shown."""
        match = self.find(r"(?:\d+ of )?(\d+)(?: differences?)?", ("label",))
        return int(match.group(1)) if match else None

    def reason(self):
        match = self.find(r"m\d.*", ("alert",))
        return match.group() if match else ""

    def caret(self):
        """What is at the caret on both pages, in words."""
        match = self.find(r"(Bar \d+|Pickup).*")
        return match.group() if match else ""

    def heard(self):
        match = self.find(r".*", ("status bar",))
        return match.group() if match else ""


def compares(study, rows):
    window = study.window
    both = Compared(study)
    for name in ("Both", "Answer", "Passage", "Soprano", "Alto", "Tenor", "Bass", "Qualities",
                 "Numerals"):
        wait_for(f"a toggle for {name}", lambda: both.find(name, ("push button",)))
    check("there is a toggle for each page and layer", True)
    n = both.count()
    check("there are as many differences as rows", n == len(rows), (n, len(rows)))

    # The student wrote A2, D3 and so on as the passage has them, and nothing from bar 4 on.
    for _ in range(n):
        window.keys("F7")
        time.sleep(0.2)
        if both.reason().startswith("m4 b1, bass: A2 is missing"):
            break
    check("F7 goes on to what is missing in bar 4",
          both.reason().startswith("m4 b1, bass: A2 is missing"), both.reason())
    wait_for("the caret there", lambda: both.caret() ==
             "Bar 4 beat 1, Bass: A 2 is missing in the answer")
    check("both pages are told at the caret", True)
    before = both.reason()
    window.keys("F7")
    wait_for("another difference", lambda: both.reason() not in ("", before))
    window.keys("shift+F7")
    wait_for("the one before", lambda: both.reason() == before)
    check("Shift+F7 goes back", True)

    # Nothing was written in bar 4, in any voice; something was in bar 1 and on the whole.
    window.keys("ctrl+d")
    wait_for("the passage", lambda: both.heard() == "The answer has nothing to hear there")
    check("a difference is heard, and that nothing was written there", True)
    window.keys("ctrl+shift+F7")
    wait_for("the answer", lambda: both.heard() in ("The answer sounds", "Both were heard"))
    check("all of the answer is heard first", True)
    window.keys("shift+space")
    window.keys("Home", "Right", "ctrl+F7")
    wait_for("both", lambda: both.heard() == "Both were heard")
    check("a bar is heard twice, theirs and the original", True)

    window.keys("Right", "Right")
    wait_for("a right note", lambda: both.caret().startswith("Bar 2 beat 1, Bass"))
    check("an equal note is told as alike", both.caret().endswith(", alike"), both.caret())

    of_bass = sum("bass" in row.split(":")[0].split("\u2022")[1] for row in rows)
    window.keys("alt+b")
    wait_for("fewer differences", lambda: both.count() == n - of_bass)
    check("a hidden layer is not gone through", of_bass > 0, (n, of_bass))
    window.keys("alt+b")
    wait_for("all of them", lambda: both.count() == n)
    window.keys("alt+p")
    passage = next(node for node in descendants(both.view) if node.get_name() == "Passage")
    wait_for("the passage", lambda: passage.get_state_set().contains(Atspi.StateType.PRESSED))
    check("the passage can be shown alone", True)
    window.keys("alt+o")


def grades(study):
    window = study.window
    window.keys("ctrl+g")
    rows = wait_for("rows", study.verdicts)
    check("missing notes are told with bar and beat",
          any("m4 b1, bass: A2 is missing" in row for row in rows), rows[:8])
    check("right notes are not", not any("m2 b1, bass" in row for row in rows), rows[:8])
    check("a total is shown", any(" of 127" in text for text in study.labels("")),
          study.labels(""))
    compares(study, rows)
    notes = len(last_attempt()["notes"]) if "notes" in last_attempt() else None
    window.keys("ctrl+shift+n")
    wait_for("the second attempt",
             lambda: len(json.loads(answer_path().read_text())["attempts"]) == 2)
    if notes is not None:
        check("another attempt begins with what the last one had",
              len(last_attempt()["notes"]) == notes)
    check("the result is put away", study.labels("Not graded yet"))


def killed_soon(study, program):
    window = study.window
    study.staves()
    window.keys("Home", "Right", "Right", "Right", "Right", "Right", "Right")
    study.at("Bar 4 beat 1, Bass, rest")
    window.keys("a")
    time.sleep(1.5)  # the file is written 0.8 s after the last key
    window.kill()
    path = answer_path()
    window = Window(program, str(path))
    study = Study(window)
    check("the answer opens from its file", any("attempt 2" in text for text in
                                                study.labels("A major")), study.labels("A major"))
    study.staves()
    window.keys("Home", "Right", "Right", "Right", "Right", "Right", "Right")
    study.at("Bar 4 beat 1, Bass, A 3")  # the A nearest to the E before
    check("what was typed before the program was killed is there", True)
    doubts = [[note.get("is_doubtful", False) for note in attempt["notes"]].count(True)
              for attempt in json.loads(path.read_text())["attempts"]]
    check("the first attempt has kept its doubt", doubts[0] == 1, doubts)
    return window


def is_recorded():
    database = data_folder() / "practice.db"
    check("the record is the one of `qf practice`", database.exists())
    with sqlite3.connect(database) as record:
        tables = [row[0] for row in record.execute(
            "SELECT name FROM sqlite_master WHERE type='table'")]
        text = str([list(record.execute(f"SELECT * FROM {table}")) for table in tables])
    check("the graded layers are in it", "layer/bass" in text, text[:400])


def drills(program):
    window = Window(program)
    window.keys("ctrl+shift+d")
    dialog = wait_for("drills", lambda: frame(window, "Drills"))
    time.sleep(0.5)
    window.focus()
    check("nothing is answered yet", any(n.get_name() == "0 of 0 right"
                                         for n in descendants(dialog)))
    window.keys("Return")
    tally = wait_for("an answer", lambda: next(
        (n.get_name() for n in descendants(dialog)
         if n.get_name() in ("0 of 1 right", "1 of 1 right")), None))
    told = [n.get_name() for n in descendants(dialog) if n.get_name()[:1] in ("\u2713", "\u2717")]
    check("a drill is answered and told", len(told) == 1 and
          (told[0][0] == "\u2713") == tally.startswith("1"), (tally, told))
    return window


def makes_one(program):
    window = Window(program)
    before = window.links()
    window.keys("ctrl+alt+n")
    dialog = wait_for("the maker", lambda: frame(window, "Make Exercises"))
    names = [node.get_name() for node in descendants(dialog)]
    check("every option is there", all(any(name.startswith(word) for name in names) for word in
          ("Level", "Seed", "Keys", "Must appear", "Most notes outside", "Bars", "Chords", "Metre",
           "Chords change each bar", "The student is given", "Which chords follow which",
           "Quarter notes a minute", "Worksheets", "Answer keys", "Recordings",
           "Tasks to hand out")), names)
    time.sleep(0.5)
    window.focus()
    window.keys("alt+o")
    wait_for("another lesson", lambda: window.links() and window.links() != before)
    check("an exercise opens as a lesson", True)
    return window


def main():
    program = sys.argv[1]
    window = Window(program)
    try:
        window.keys("F2")
        study = Study(window)
        writes_notes(study)
        says_nothing_of_the_solution(study)
        undoes(study)
        scratches(study)
        names_chords(study)
        hears(study)
        answers_questions(study)
        grades(study)
        window = killed_soon(study, program)
        is_recorded()
        window.close()
        window = drills(program)
        window.close()
        window = makes_one(program)
    except Failure as failure:
        return end_of(failure)
    finally:
        if window.process.poll() is None:
            window.kill()
    return 0


if __name__ == "__main__":
    sys.exit(main())
