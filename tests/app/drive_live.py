#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Play the demo by the keyboard alone, and compare the marks with the time that went by.

usage: drive_live.py QUINTFALL FOLDER

Run by run_window.sh, as drive_window.py is, whose tools it uses. The marks in staff, chain and
circle are read through AT-SPI; where they ought to be follows from the lesson's written tempo and
note values and from the clock.
"""
import json
import pathlib
import re
import sys
import time
from fractions import Fraction

from drive_window import Failure, Window, check, children, descendants, end_of, wait_for

LESSON = pathlib.Path(__file__).parent.parent.parent / "resources/lessons/lantern-walk.json"
PICKUP = 1  # Quarters before the first bar
BAR = 3  # Quarters

# What reading the marks, a frame, and a busy machine with sanitizers may take.
TOLERANCE_S = 0.35


class Passage:
    """What the lesson's file says of time; without prelude, so that the key press begins it."""

    def __init__(self, path):
        lesson = json.loads(LESSON.read_text(encoding="utf-8"))
        lesson["hearing"].update(prelude=False, count_in=False, repeats=1)
        path.write_text(json.dumps(lesson), encoding="utf-8")
        notes = [note for voice in lesson["voices"] for note in voice["notes"]]
        self.onsets = sorted({4 * Fraction(note["start"]) for note in notes})
        self.end = max(4 * (Fraction(note["start"]) + Fraction(note["duration"]))
                       for note in notes)
        self.per_second = lesson["tempo"] / 60  # Quarters

    def mark_at(self, quarters):
        """The onset heard last."""
        return max((onset for onset in self.onsets if onset <= quarters), default=self.onsets[0])


def quarters_of(place):
    """Of words such as 'Bar 3 beat 1' or 'Pickup, beat 3', halves of beats included."""
    found = re.search(r"(?:Bar (\d+)|Pickup,) beat (\d+)(?: and (\w+))?", place)
    if not found:
        return None
    part = {None: Fraction(0), "a half": Fraction(1, 2)}.get(found.group(3), Fraction(1, 2))
    if found.group(1):
        return PICKUP + (int(found.group(1)) - 1) * BAR + int(found.group(2)) - 1 + part
    return int(found.group(2)) - BAR + part


class Marks:
    """The three marks as seen between two moments; None where there is none."""

    def __init__(self, window):
        self.before_s = time.monotonic()
        first = circle_mark(window)
        self.staff = staff_mark(window)
        self.chain = chain_mark(window)
        self.circle = circle_mark(window)
        self.after_s = time.monotonic()
        self.is_steady = first == self.circle


def circle_mark(window):
    found = re.search(r"Sounding: (\d+)", window.circle_node.get_name())
    return int(found.group(1)) if found else None


def staff_mark(window):
    found = re.match(r"Sounding: (.*)", window.staff_node.get_description() or "")
    return quarters_of(found.group(1)) if found else None


def chain_mark(window):
    marked = [i + 1 for i, node in enumerate(window.link_nodes)
              if (node.get_description() or "").startswith("Sounding")]
    return marked[0] if len(marked) == 1 else None


def find_views(window):
    window.circle_node = window.named("image", "Circle of fifths")
    window.staff_node = next(children(window.named("panel", "Passage")))
    chain = window.named("panel", "Chain of functions")
    chain.clear_cache()
    window.link_nodes = [node for node in children(chain) if node.get_name().startswith("Link ")]


def starts_of_links(window):
    """Where each link begins, as the caret tells after it was chosen."""
    starts = []
    for node in window.link_nodes:
        node.do_action(0)
        wait_for("the caret", lambda: quarters_of(window.caret()) is not None and
                 (not starts or quarters_of(window.caret()) > starts[-1]))
        starts.append(quarters_of(window.caret()))
    return starts


def choose(window, link):
    window.link_nodes[link - 1].do_action(0)
    wait_for("the caret", lambda: quarters_of(window.caret()) == window.starts[link - 1])
    window.keys("shift+Tab")  # Back into the staves


def link_at(window, quarters):
    return max(i + 1 for i, start in enumerate(window.starts) if start <= quarters)


def agree(window, marks):
    """Staff, chain and circle show the same chord."""
    if not marks.is_steady:
        return True
    if marks.staff is None:
        return marks.chain is None and marks.circle is None
    return link_at(window, marks.staff) == marks.chain == marks.circle


def marks_now(window):
    """Three marks read while none of them moved."""
    def ask():
        marks = Marks(window)
        return marks if marks.is_steady and agree(window, marks) else None
    return wait_for("marks that agree", ask, 5)


def follow(window, passage, seconds, begin_s, quarters, rate):
    """Look at the marks for a while; all must be where the clock says."""
    seen = set()
    end = time.monotonic() + seconds
    n_apart = 0
    while time.monotonic() < end:
        marks = Marks(window)
        if marks.staff is None or not marks.is_steady:
            continue
        n_apart += not agree(window, marks)
        low = quarters + (marks.before_s - begin_s - TOLERANCE_S) * rate
        high = quarters + (marks.after_s - begin_s + TOLERANCE_S) * rate
        if not passage.mark_at(low) <= marks.staff <= passage.mark_at(high):
            raise Failure(f"the mark is at {float(marks.staff)} quarters; "
                          f"by the clock it is {float(low):.2f} to {float(high):.2f}")
        seen.add(marks.staff)
    # Reading takes time, in which the sound may go on to the next chord.
    check("staff, chain and circle show the same chord, where the clock says",
          len(seen) >= 2 and n_apart <= 2, (sorted(map(float, seen)), n_apart))


def next_mark(window):
    """Wait for the mark to move; where to, and when."""
    before = staff_mark(window)
    wait_for("the mark to move", lambda: staff_mark(window) not in (before, None))
    return time.monotonic(), staff_mark(window)


def starts_and_pauses(window, passage):
    window.keys("Home")
    begin_s = time.monotonic()
    window.keys("space")
    wait_for("the mark", lambda: staff_mark(window) is not None)
    begin_s = (begin_s + time.monotonic()) / 2 if time.monotonic() - begin_s < 0.7 else \
        time.monotonic()
    follow(window, passage, 4.0, begin_s, 0, passage.per_second)

    window.keys("space")
    wait_for("a pause", lambda: window.named("push button", "Play"))
    held = marks_now(window)
    time.sleep(1.5)
    still = marks_now(window)
    check("in a pause the marks stay", held.staff is not None and still.staff == held.staff,
          (held.staff, still.staff))
    window.keys("h")  # A chord comes between
    wait_for("no mark while another chord sounds", lambda: staff_mark(window) is None)
    window.keys("space")
    back = wait_for("the mark", lambda: staff_mark(window))
    check("it goes on where it was, also after a chord came between",
          passage.onsets.index(back) - passage.onsets.index(held.staff) in (0, 1), (held.staff,
                                                                                   back))
    begin_s, quarters = next_mark(window)
    follow(window, passage, 3.0, begin_s, quarters, passage.per_second)


def goes_to_chords(window, passage):
    choose(window, 9)
    window.keys("ctrl+shift+space")
    begin_s = time.monotonic()
    wait_for("the ninth chord", lambda: circle_mark(window) == 9)
    check("it goes to the chord at the caret while it plays", marks_now(window).chain in (9, 10))
    window.keys("n", "n", "n")
    wait_for("three chords on", lambda: circle_mark(window) in (12, 13))
    check("n goes on chord by chord", True)
    window.keys("p", "p", "p", "p", "p")
    wait_for("five chords back", lambda: circle_mark(window) in (7, 8, 9))
    check("p goes back chord by chord", time.monotonic() - begin_s < 60)
    begin_s, quarters = next_mark(window)
    follow(window, passage, 3.0, begin_s, quarters, passage.per_second)


def changes_speed(window, passage):
    choose(window, 2)
    window.keys("ctrl+shift+space")
    wait_for("the second chord", lambda: circle_mark(window) in (2, 3))
    window.keys(*["alt+minus"] * 8)
    wait_for("60 %", lambda: window.named("push button", "Speed, 60"))
    check("it still plays", window.named("push button", "Pause"))
    begin_s, quarters = next_mark(window)
    follow(window, passage, 5.0, begin_s, quarters, 0.6 * passage.per_second)
    window.keys("alt+BackSpace", *["alt+plus"] * 6)
    wait_for("130 %", lambda: window.named("push button", "Speed, 130"))
    begin_s, quarters = next_mark(window)
    follow(window, passage, 3.0, begin_s, quarters, 1.3 * passage.per_second)
    check("slower and faster while it plays, and the marks follow",
          window.named("push button", "Pause"))
    window.keys("alt+BackSpace", "shift+space")
    wait_for("silence", lambda: circle_mark(window) is None and staff_mark(window) is None and
             chain_mark(window) is None)
    check("Stop takes all three marks away", True)


def loops(window):
    """The fourth and fifth chord, which last less than three seconds."""
    choose(window, 4)
    window.keys("shift+Right")
    window.keys("ctrl+shift+l")
    wait_for("the loop to play", lambda: staff_mark(window) is not None)
    wait_for("its first chord", lambda: circle_mark(window) == 4)
    seen, n_rounds, last = set(), 0, None
    end = time.monotonic() + 9.0
    while time.monotonic() < end:
        now = circle_mark(window)
        if now is not None:
            seen.add(now)
            n_rounds += last is not None and now < last
            last = now
    check("a range goes round and round, and nothing else sounds", seen == {4, 5} and
          n_rounds >= 2, (seen, n_rounds))
    window.keys("ctrl+shift+l")
    wait_for("what follows", lambda: circle_mark(window) in (6, 7))
    check("without the loop it goes on", True)
    window.keys("shift+space")


def steps_through_notes(window):
    def said():
        return next((text for text in window.texts() if text.startswith("Held")), None)

    window.keys("Home", "ctrl+h")
    wait_for("the chord", lambda: said() == "Held: the whole chord")
    # The first chord of the lesson's file, from the bass up.
    for voice, note in (("Bass", "A"), ("Tenor", "A"), ("Alto", "C♯"), ("Soprano", "E")):
        window.keys("ctrl+h")
        wait_for(voice, lambda v=voice, n=note: said() == f"Held, forward: {v}, {n}")
    check("a held chord is stepped through from the bass up", True)
    window.keys("ctrl+h")
    wait_for("the chord again", lambda: said() == "Held: the whole chord")
    wait_for("the bass by itself", lambda: said() == "Held, forward: Bass, A", 15)
    check("and goes on by itself if no key is pressed", True)
    window.keys("shift+space")
    wait_for("the caret's words again", lambda: said() is None)


def steps_while_silent(window):
    window.keys("Home", "n")
    wait_for("the second chord", lambda: quarters_of(window.caret()) == window.starts[1])
    window.keys("n")
    wait_for("the third chord", lambda: quarters_of(window.caret()) == window.starts[2])
    window.keys("p")
    wait_for("the second chord", lambda: quarters_of(window.caret()) == window.starts[1])
    check("while nothing plays, n and p go from chord to chord and sound them", True)


def main():
    path = pathlib.Path(sys.argv[2]) / "walk.json"
    passage = Passage(path)
    window = Window(sys.argv[1], str(path))
    try:
        wait_for("the lesson", lambda: "walk.json" in " ".join(window.texts()))
        window.keys("ctrl+Escape")
        find_views(window)
        window.starts = starts_of_links(window)
        window.link_nodes[0].do_action(0)
        window.keys("shift+Tab")  # Back into the staves
        starts_and_pauses(window, passage)
        goes_to_chords(window, passage)
        changes_speed(window, passage)
        loops(window)
        steps_through_notes(window)
        steps_while_silent(window)
    except Failure as failure:
        return end_of(failure)
    finally:
        if window.process.poll() is None:
            window.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
