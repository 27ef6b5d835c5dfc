#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Drive the window as a person would, through AT-SPI and the keyboard.

usage: drive_window.py QUINTFALL FOLDER

Run by run_window.sh, which gives it a display and a session bus of its own. Each check prints a
line; the first that fails ends the run.
"""
import json
import os
import pathlib
import subprocess
import sys
import time
import warnings

import gi

gi.require_version("Atspi", "2.0")
from gi.repository import Atspi  # noqa: E402

warnings.simplefilter("ignore", DeprecationWarning)

PATIENCE = 30.0  # seconds; sanitizers make everything slow


class Failure(Exception):
    pass


def children(node):
    for index in range(node.get_child_count()):
        child = node.get_child_at_index(index)
        if child is not None:
            yield child


def descendants(node):
    for child in children(node):
        yield child
        yield from descendants(child)


def wait_for(what, ask, patience=PATIENCE):
    """The first true answer to a question asked again and again."""
    end = time.monotonic() + patience
    while True:
        try:
            answer = ask()
        except (gi.repository.GLib.Error, IndexError, ValueError):  # not there yet, or no more
            answer = None
        if answer:
            return answer
        if time.monotonic() > end:
            raise Failure(f"waited in vain for {what}")
        time.sleep(0.1)


def check(claim, is_true, seen=""):
    print(f"{'ok' if is_true else 'not ok'} - {claim}", flush=True)
    if not is_true:
        raise Failure(f"{claim}; seen: {seen}")


class Window:
    """The running program and what can be asked of it."""

    def __init__(self, program, *arguments):
        self.process = subprocess.Popen([program, *arguments])
        self.frame = wait_for("the window", self.find_frame)
        wait_for("links", self.links)
        self.focus()

    @staticmethod
    def frames():
        desktop = Atspi.get_desktop(0)
        for program in children(desktop):
            if program.get_name() == "quintfall":
                yield from children(program)

    def find_frame(self):
        if self.process.poll() is not None:
            raise Failure(f"the program ended with {self.process.returncode}")
        return next((frame for frame in self.frames() if any(
            node.get_name() == "Chain of functions" for node in descendants(frame))), None)

    def focus(self):
        """Give the keyboard to the window that was opened last; there is no window manager."""
        found = subprocess.run(["xdotool", "search", "--onlyvisible", "--class", "quintfall"],
                               capture_output=True, text=True, check=False).stdout.split()
        for window in found:
            subprocess.run(["xdotool", "windowfocus", window], check=False,
                           stderr=subprocess.DEVNULL)
        time.sleep(0.3)

    def keys(self, *names):
        for name in names:
            subprocess.run(["xdotool", "key", "--clearmodifiers", name], check=True)
            time.sleep(0.15)

    def type(self, text):
        subprocess.run(["xdotool", "type", "--delay", "40", text], check=True)
        time.sleep(0.2)

    def named(self, role, start):
        return next((node for node in descendants(self.frame)
                     if node.get_role_name() == role and node.get_name().startswith(start)), None)

    def links(self):
        chain = self.named("panel", "Chain of functions")
        if chain is None:
            return []
        chain.clear_cache()  # links come and go
        return [node.get_name() for node in children(chain) if node.get_name().startswith("Link ")]

    def caret(self):
        """What the staves say of the caret: the first panel inside the passage."""
        passage = self.named("panel", "Passage")
        return next(children(passage)).get_name() if passage else ""

    def circle(self):
        node = self.named("image", "Circle of fifths")
        return node.get_name() if node else ""

    def click(self, name):
        node = self.named("push button", name)
        if node is None or not node.do_action(0):
            raise Failure(f"no button {name}")

    def do(self, action):
        names = [self.frame.get_action_name(i) for i in range(self.frame.get_n_actions())]
        if action not in names:
            raise Failure(f"the window offers no {action}")
        self.frame.do_action(names.index(action))

    def texts(self):
        """All words shown in any of the program's windows."""
        return [node.get_name() for frame in self.frames() for node in descendants(frame)
                if node.get_role_name() in ("label", "alert")]

    def answer(self, name):
        """Press a button of a dialog, which keeps one for each of its layouts."""
        def buttons():
            return [node for frame in self.frames() for node in descendants(frame)
                    if node.get_role_name() == "push button" and node.get_name() == name]
        for button in wait_for(name, buttons):
            button.do_action(0)

    def kill(self):
        self.process.kill()
        self.process.wait(timeout=PATIENCE)

    def close(self):
        self.process.terminate()
        self.process.wait(timeout=PATIENCE)


def opens_the_demo(window):
    links = window.links()
    check("the demo lesson is open", window.frame.get_name() == "Lantern Walk",
          window.frame.get_name())
    check("the demo has links", len(links) > 8, links)
    # common practice: in A major the dominant seventh of the second degree (B) is F sharp.
    check("its applied seventh is named",
          any("five seven of two, F sharp dominant seventh" in name for name in links), links)
    check("the circle tells the path", "F sharp" in window.circle(), window.circle())


def changes_a_note(window):
    before = window.links()
    window.keys("Home", "alt+Down")
    wait_for("the caret in the alto", lambda: "Alto" in window.caret())
    check("the caret is described", "C sharp 4" in window.caret(), window.caret())
    window.keys("shift+Down")
    # common practice: A C E is a minor triad, A C sharp E a major one.
    wait_for("the minor triad", lambda: "A minor triad" in window.links()[0])
    check("a changed note changes its label", "C 4" in window.caret(), window.caret())
    window.keys("ctrl+z")
    wait_for("the major triad", lambda: window.links() == before)
    check("undo brings the label back", True)


def writes_and_deletes(window):
    before = window.links()
    window.keys("Home", "Page_Up", "Page_Up", "Page_Up", "Page_Down")
    window.keys("Delete")
    wait_for("a rest", lambda: window.caret().endswith("rest"))
    check("Delete removes the note", "Alto" in window.caret(), window.caret())
    window.keys("4", "c")
    wait_for("the caret behind the note", lambda: "Bar 1 beat 1" in window.caret())
    # common practice: the letter takes the signature's sharp.
    window.keys("Left")
    wait_for("the note written", lambda: "C sharp" in window.caret())
    check("a letter writes a note in the signature", window.links()[0] == before[0],
          window.links()[0])


def gives_notes(window):
    window.keys("Home", "Page_Up", "Page_Up", "Page_Up", "Page_Down")
    wait_for("the alto's first note", lambda: "Alto" in window.caret())
    check("nothing in the alto is given", not window.caret().endswith(", given"), window.caret())
    window.keys("ctrl+alt+g")
    wait_for("a given note", lambda: window.caret().endswith(", given"))
    window.keys("ctrl+alt+g")
    wait_for("a hidden note", lambda: not window.caret().endswith(", given"))
    check("a note is given to the student and hidden again", True)
    window.keys("ctrl+alt+shift+g", "End", "Left")
    wait_for("the voice's last note given", lambda: window.caret().endswith(", given"))
    check("a whole voice is given at once", True)
    window.keys("ctrl+z", "ctrl+z", "ctrl+z", "Home")
    wait_for("all as it was", lambda: not window.caret().endswith(", given"))
    check("and taken back in one step each", True)


def prints_a_worksheet(window, folder):
    path = folder / "worksheet.pdf"
    window.keys("ctrl+alt+p")
    wait_for("the dialog", lambda: sum(1 for _ in window.frames()) > 1)
    time.sleep(0.5)
    window.focus()
    window.keys("ctrl+a")
    window.type(str(path))
    window.keys("Return")
    wait_for("the worksheet", path.exists)
    text = subprocess.run(["pdftotext", str(path), "-"], capture_output=True, text=True,
                          check=True).stdout.split()
    check("the worksheet has places to write", {"Name", "Quality", "Function"} <= set(text), text)
    check("and no function", not {"I", "V", "vi"} & set(text), text)


def sets_a_fermata(window):
    window.keys("Home", "o")
    wait_for("the fermata", lambda: window.caret().endswith(", fermata"))
    check("a fermata is set over the note at the caret", True)
    window.keys("ctrl+z")
    wait_for("no fermata", lambda: not window.caret().endswith(", fermata"))
    check("and undone", True)


def types_a_numeral(window):
    before = window.links()
    # The second link: notes of the first are given, and stay.
    window.keys("Home", "ctrl+Page_Down", "Return")
    window.type("Q9")
    window.keys("Return")
    wait_for("an error", lambda: any(
        node.get_role_name() == "alert" and node.get_name() not in ("", "GtkLabel")
        for node in descendants(window.frame)))
    check("a bad numeral changes nothing", window.links() == before, window.links())
    window.keys("ctrl+a")
    window.type("vi")
    window.keys("Return")
    # common practice: the sixth degree of A major carries the triad of F sharp minor.
    wait_for("the chord", lambda: "six, F sharp minor triad" in window.links()[1])
    check("a numeral places its chord", True)
    # The link it replaces has the third beat of bar 1.
    wait_for("the caret after the chord", lambda: "Bar 2 beat 1" in window.caret())
    check("the caret goes on", True)
    window.keys("Escape")


def shows_rows(window):
    def descriptions():
        chain = window.named("panel", "Chain of functions")
        chain.clear_cache()
        return [node.get_description() for node in children(chain)]

    check("figured bass is not shown at first", not any("Figures" in d for d in descriptions()),
          descriptions())
    window.do("win.show-figures")
    # common practice: a dominant seventh in third inversion is figured 4 2.
    wait_for("the row", lambda: any("Figures 4 2" in d for d in descriptions()))
    check("a row is shown by choice", True)
    window.do("win.show-figures")
    wait_for("the row to go", lambda: not any("Figures" in d for d in descriptions()))
    check("and hidden again", True)


def pins(window):
    window.keys("Home")
    window.click("Pin this reading")
    wait_for("the pin", lambda: window.links()[0].endswith("pinned"))
    check("a reading is pinned with one click", True)
    window.click("Unpin")
    wait_for("no pin", lambda: not window.links()[0].endswith("pinned"))
    check("and unpinned", True)


def explains_a_key(window):
    window.keys("Home", "Tab")
    wait_for("a link", lambda: any("1: " in text for text in window.texts()))
    check("a link's reasons come first", "Key of A major" not in window.texts())
    window.keys("Down")
    wait_for("the evidence", lambda: "Key of A major" in window.texts())
    check("the key's bracket is reached by keyboard", True)
    window.keys("Up")
    wait_for("the link again", lambda: "Key of A major" not in window.texts())
    window.named("push button", "Key: A major").do_action(0)
    wait_for("the evidence again", lambda: "Key of A major" in window.texts())
    check("its evidence is shown", any("A major lasts" in text for text in window.texts()),
          window.texts())


def write_score(path, *bars):
    """Bars of 4/4 in four voices, the highest first; notes of a voice share the bar."""
    def note(name, length, voice):
        return (f"<note><pitch><step>{name[0]}</step><octave>{name[1]}</octave></pitch>"
                f"<duration>{length}</duration><voice>{voice}</voice></note>")

    def measure(number, voices):
        head = ("<attributes><divisions>2</divisions><time><beats>4</beats>"
                "<beat-type>4</beat-type></time></attributes>" if number == 1 else "")
        lines = ["".join(note(name, 8 // len(line.split()), voice + 1) for name in line.split())
                 for voice, line in enumerate(voices)]
        inside = "<backup><duration>8</duration></backup>".join(lines)
        return f'<measure number="{number}">{head}{inside}</measure>'

    measures = "".join(measure(i + 1, bar) for i, bar in enumerate(bars))
    path.write_text('<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>'
                    'Four voices</part-name></score-part></part-list><part id="P1">'
                    f"{measures}</part></score-partwise>", encoding="utf-8")


def names_foreign_notes(program, folder):
    path = folder / "suspension.musicxml"
    write_score(path, ("C5", "G4", "E4", "C3"), ("C5 B4", "G4", "D4", "G2"),
                ("C5", "G4", "E4", "C3"))
    window = Window(program, str(path))
    wait_for("the file", lambda: any("five" in name for name in window.links()))
    check("an imported passage without a title is called like its file",
          window.frame.get_name() == "suspension", window.frame.get_name())
    window.keys("Home", "ctrl+Right")
    # common practice: a fourth held over the dominant's bass that falls to its third is a 4-3
    # suspension.
    wait_for("the suspension", lambda: window.caret().endswith(", suspension"))
    check("a note outside the chord is named at the caret", True)
    check("and explained with its figures",
          any("4-3 suspension" in text for text in window.texts()), window.texts())
    # common practice: dominant to tonic, both in root position, the soprano on the tonic.
    wait_for("the cadence", lambda: window.named("push button", "Perfect authentic cadence"))
    check("the cadence is named under the chain", True)
    return window


def weighs_modulations(program, folder):
    """A passage that goes to the dominant's key and back: how long must a stay be to count?"""
    path = folder / "there-and-back.json"
    path.write_bytes((pathlib.Path(__file__).parent / "data" / path.name).read_bytes())
    window = Window(program, str(path))
    wait_for("the file", lambda: window.frame.get_name() == "There and Back")

    def keys():
        chain = window.named("panel", "Chain of functions")
        chain.clear_cache()
        return [node.get_name() for node in children(chain) if node.get_name().startswith("Key: ")]

    def spin():
        return next((node for frame in window.frames() for node in descendants(frame)
                     if node.get_role_name() == "spin button" and
                     node.get_name().startswith("Least length of a modulation")), None)

    before = keys()
    check("there and back at first", len(before) == 3, before)
    window.keys("alt+Return")
    wait_for("the properties", spin).set_current_value(100.0)
    window.answer("Apply")
    wait_for("one key", lambda: len(keys()) == 1)
    check("a threshold makes a tonicization of a modulation", True)
    window.focus()
    window.keys("ctrl+z")
    wait_for("the keys again", lambda: keys() == before)
    check("and can be undone", True)
    return window


def finds_and_mends(program, folder):
    """The soprano doubles the fifth of a dominant seventh and runs parallel to the bass."""
    def rows():
        listed = window.named("list", "Findings")
        if listed is None:
            return []
        listed.clear_cache()  # rows come and go
        return [node.get_name() for node in children(listed)]

    path = folder / "parallels.musicxml"
    write_score(path, ("C5", "G4", "E4", "C3"), ("C5", "A4", "F4", "F3"),
                ("D5", "G4", "F4", "G3"), ("C5", "G4", "E4", "C3"))
    window = Window(program, str(path))
    wait_for("the file", lambda: len(window.links()) == 4)
    window.keys("F7")
    # common practice: C over F then D over G are parallel fifths; a dominant needs its third.
    wait_for("the fifths", lambda: any(
        row.startswith("Error, ") and "parallel fifths" in row for row in rows()))
    check("findings say severity, place and words", True)
    wait_for("the caret there", lambda: window.caret().startswith("Bar 3 beat 1, Soprano, D 5"))
    check("choosing a finding goes there", True)
    window.keys("ctrl+m")
    # common practice: an omitted fifth is no error.
    wait_for("no errors", lambda: not any(row.startswith("Error, ") for row in rows()))
    check("a mend takes the errors away", True)
    window.keys("ctrl+z")
    wait_for("the fifths again", lambda: any("parallel fifths" in row for row in rows()))
    check("undo takes the mend back", True)
    window.click("Free")
    wait_for("a milder word", lambda: any(row.startswith("Warning, ") for row in rows()))
    check("the profile says how severely", True)
    clean = folder / "clean.musicxml"
    write_score(clean, ("C5", "G4", "E4", "C3"))
    subprocess.run([program, str(clean)], check=False, timeout=PATIENCE)
    wait_for("an empty list", lambda: not rows() and "Nothing found" in window.texts())
    check("another lesson has findings of its own", True)
    return window


def plays(window):
    window.click("Play")
    first = wait_for("the mark", lambda: "Sounding" in window.circle() and window.circle())
    wait_for("the mark to move", lambda: "Sounding" in window.circle() and
             window.circle() != first)
    check("the mark moves while it plays", True)
    window.click("Stop")
    wait_for("silence", lambda: "Sounding" not in window.circle())
    check("stop takes the mark away", True)


def saves(window, folder):
    path = folder / "saved.json"
    window.keys("ctrl+shift+s")
    wait_for("the dialog", lambda: sum(1 for _ in window.frames()) > 1)
    time.sleep(0.5)
    window.focus()
    window.keys("ctrl+a")
    window.type(str(path))
    window.keys("Return")
    wait_for("the file", path.exists)
    saved = json.loads(path.read_text(encoding="utf-8"))
    check("saving writes a lesson", saved.get("format") == "quintfall-lesson", saved.keys())
    return path


def starts_a_lesson(window):
    window.keys("ctrl+n")
    wait_for("the dialog", lambda: any(f.get_name() == "New Lesson" for f in window.frames()))
    time.sleep(0.5)
    window.focus()
    window.type("Gull Steps")
    window.keys("Return")
    wait_for("the new lesson", lambda: window.frame.get_name() == "Gull Steps")
    check("a new lesson takes the title typed first", not window.links(), window.links())
    check("and is not edited yet", not any("edited" in text for text in window.texts()),
          window.texts())


def reads_a_broken_file(window, program, folder):
    before = window.links()
    path = folder / "broken.musicxml"
    path.write_text("<?xml version='1.0'?><score-partwise><part>", encoding="utf-8")
    subprocess.run([program, str(path)], check=False, timeout=PATIENCE)
    wait_for("the message", lambda: any("cannot be opened" in text for text in window.texts()))
    check("the message says where the fault is",
          any("broken.musicxml:" in text for text in window.texts()), window.texts())
    check("the open lesson stays", window.links() == before, window.links())


def recovers(window, program):
    window.keys("Home", "alt+Down", "shift+Down")
    wait_for("an edit", lambda: "C 4" in window.caret())
    edited = window.links()
    time.sleep(4.5)  # the journal is written three seconds after an edit
    window.kill()
    window = Window(program)
    wait_for("the offer", lambda: any("Recover unsaved work?" in t for t in window.texts()))
    check("left-over work is offered after a crash", window.links() != edited)
    window.answer("Recover")
    wait_for("the edited lesson", lambda: window.links() == edited)
    check("and comes back as it was", "edited" in " ".join(window.texts()), window.texts())
    return window


def end_of(failure):
    """Report a failure, with a picture where one is wanted; gives the exit status."""
    print(f"not ok - {failure}", flush=True)
    shot = os.environ.get("QUINTFALL_TEST_SHOT")
    if shot:
        subprocess.run(["import", "-window", "root", shot], check=False)
    return 1


def main():
    program, folder = sys.argv[1], pathlib.Path(sys.argv[2])
    window = Window(program)
    try:
        opens_the_demo(window)
        shows_rows(window)
        pins(window)
        changes_a_note(window)
        writes_and_deletes(window)
        sets_a_fermata(window)
        gives_notes(window)
        prints_a_worksheet(window, folder)
        types_a_numeral(window)
        plays(window)
        explains_a_key(window)
        path = saves(window, folder)
        labels = window.links()
        window.close()
        window = Window(program, str(path))
        wait_for("the saved lesson", lambda: window.links() == labels)
        check("the saved lesson has the same labels", True)
        reads_a_broken_file(window, program, folder)
        window.close()
        window = names_foreign_notes(program, folder)
        window.close()
        window = weighs_modulations(program, folder)
        window.close()
        window = finds_and_mends(program, folder)
        window.close()
        window = Window(program)
        starts_a_lesson(window)
        window.close()
        window = Window(program)
        window = recovers(window, program)
    except Failure as failure:
        return end_of(failure)
    finally:
        if window.process.poll() is None:
            window.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
