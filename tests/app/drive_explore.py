#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Drive what writes chords: other ways for a selection, chords for a melody, and exploring.

usage: drive_explore.py QUINTFALL FOLDER

Run by run_window.sh, as drive_window.py is, whose tools it uses.
"""
import sys
import time

from drive_window import Failure, Window, check, children, descendants, end_of, wait_for


def rows(window):
    """What the list of continuations says, row by row."""
    found = window.named("list", "Continuations")
    if found is None:
        return []
    found.clear_cache()
    return [row.get_name() for row in children(found) if row.get_role_name() == "list item"]


def opens_by_key(window):
    window.keys("Home", "F8")
    wait_for("the list", lambda: rows(window))
    names = rows(window)
    # common practice: the first link of the demo is the tonic of A major; what follows a tonic
    # most often in tonal music is its own inversion or one of the primary triads.
    check("F8 lists what could follow", "After I in A major" in window.texts(), window.texts())
    check("the commonest are near the tonic",
          all(name.split(",")[0].split()[0] in ("one", "four", "five", "six")
              for name in names[:4]), names[:4])
    check("a row says how common it is", "times, " in names[0], names[0])
    check("what follows now is marked", sum("follows now" in name for name in names) == 1, names)
    check("chords the corpus lacks come last", "Not in the corpus" in names[-1], names[-1])
    return names


def tells_the_voices(window):
    grid = wait_for("the steps", lambda: next(
        (node for node in descendants(window.frame) if node.get_name() == "Steps of the voices"),
        None))
    words = [node.get_name() for node in descendants(grid)]
    check("every voice's step is told", all(name in words for name in
          ("Soprano", "Alto", "Tenor", "Bass")), words)
    before = [node.get_name() for node in descendants(grid)]
    window.keys("Down")
    wait_for("other steps", lambda: [node.get_name() for node in descendants(grid)] != before)
    check("the arrow keys go through the list", True)


def takes_one(window):
    before = window.links()
    wanted = rows(window)[1].split(",")[0]
    window.keys("space")
    check("Space only sounds it", window.links() == before, window.links())
    window.keys("Return")
    wait_for("the chord", lambda: f": {wanted}, " in window.links()[1])
    check("Return writes the chosen one after the link", window.links()[0].split(";")[0] ==
          before[0].split(";")[0] and len(window.links()) == len(before), window.links())
    wait_for("the next list", lambda: "After I in A major" not in window.texts())
    check("and goes on from there", any(text.startswith("After ") for text in window.texts()))
    window.keys("ctrl+z")
    wait_for("the old chain", lambda: window.links() == before)
    check("one undo takes it back", True)


def goes_on_at_the_end(window):
    before = window.links()
    window.keys("Escape", "End")
    wait_for("no link", lambda: "Nowhere to go on from" in window.texts())
    check("where no chord is, there is nothing to go on from", not rows(window), rows(window))
    window.keys("ctrl+Page_Up")
    wait_for("the list", lambda: rows(window))
    wanted = rows(window)[0].split(",")[0]
    window.click("Take this continuation")
    wait_for("one more link", lambda: len(window.links()) == len(before) + 1)
    check("after the last link the button appends the chosen one",
          f": {wanted}, " in window.links()[-1], window.links()[-2:])
    window.keys("ctrl+z")
    wait_for("the old chain", lambda: window.links() == before)


def labels(window, start):
    return [text for text in window.texts() if text.startswith(start)]


def writes_a_selection_anew(window):
    before = window.links()
    window.keys("Home", "ctrl+Page_Down", "shift+Right", "shift+Right")
    wait_for("the selection", lambda: labels(window, "3 chords from bar 1 beat 3"))
    check("Shift and the arrow keys select chords", True)

    soprano = window.caret()
    window.keys("k")
    wait_for("the voice kept", lambda: labels(window, "3 chords from bar 1 beat 3; keeping Soprano"))
    check("a key keeps the caret's voice, and it is shown", True)
    window.keys("ctrl+r")
    wait_for("the best way", lambda: labels(window, "Best of "))
    check("the selection is written in the best way", window.links() == before, window.links())
    check("what is kept stays", window.caret() == f"{soprano}, kept", window.caret())

    window.keys("F6")
    wait_for("the next way", lambda: labels(window, "2nd of "))
    window.keys("F6")
    wait_for("the way after it", lambda: labels(window, "3rd of "))
    check("a key goes to the next best ways", window.caret() == f"{soprano}, kept", window.caret())
    check("each is told with what it costs", any("the best" in text for text in
                                                 labels(window, "3rd of ")), window.texts())
    window.keys("shift+F6")
    wait_for("the way before", lambda: labels(window, "2nd of "))
    check("and back", window.links() == before, window.links())
    window.keys("ctrl+z")
    wait_for("nothing to undo", lambda: not any("edited" in text for text in window.texts()))
    check("all ways tried are one step of undo", True)
    window.keys("k", "Home", "Tab")
    wait_for("nothing kept", lambda: any("keeping" not in text
                                         for text in labels(window, "1 chord from")))
    window.keys("shift+Right")
    wait_for("two links", lambda: labels(window, "2 chords from"))
    check("in the chain too the arrow keys select", True)
    window.keys("Right", "shift+Tab", "Home")


def melody(window):
    """The notes of the first four places of the soprano."""
    window.keys("Home", "Page_Up", "Page_Up", "Page_Up")
    found = []
    for _ in range(4):
        found.append(window.caret())
        window.keys("Right")
    return found


def chains(window):
    return [row.get_name() for frame in window.frames() for node in descendants(frame)
            if node.get_name() == "Chains" for row in children(node)
            if row.get_role_name() == "list item"]


def harmonises(window):
    notes = melody(window)
    before = window.links()
    window.keys("ctrl+shift+h")
    wait_for("the dialog", lambda: any(f.get_name() == "Harmonise" for f in window.frames()))
    found = wait_for("chains", lambda: chains(window))
    check("several chains are found for the melody", len(found) > 1, found)
    # common practice: what is given ends on the tonic, and a phrase closes with a dominant before.
    check("they close with a cadence", all(name.split(";")[0].split("|")[-1].split()[-1] == "I"
                                           for name in found), found)
    # The bass of the demo begins with a given A, which has no place in a dominant on E.
    check("they have room for the given notes",
          all(name.split(": ")[1].split()[0] in ("I", "vi6", "IV64", "V7/IV", "V42/V", "viio43")
              for name in found), found)
    time.sleep(0.5)
    window.focus()
    window.keys("space")
    check("Space only sounds the chain", window.links() == before, window.links())
    window.keys("Down", "Return")
    wait_for("other chords", lambda: window.links() != before)
    check("Return writes the chosen chain", len(window.links()) != len(before) or
          any(a != b for a, b in zip(window.links(), before)))
    time.sleep(0.5)
    window.focus()
    check("the melody stays", melody(window) == notes, melody(window))
    window.keys("ctrl+z")
    wait_for("the old chain", lambda: window.links() == before)
    check("one undo takes the chain back", True)


def main():
    window = Window(sys.argv[1])
    try:
        writes_a_selection_anew(window)
        harmonises(window)
        opens_by_key(window)
        tells_the_voices(window)
        takes_one(window)
        goes_on_at_the_end(window)
    except Failure as failure:
        return end_of(failure)
    finally:
        if window.process.poll() is None:
            window.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
