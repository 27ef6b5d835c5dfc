#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Changes of a score that leave its functions as they are must leave its labels as they are.

Each claim is a fact of the trade (common practice): function does not depend on the pitch level, on
the octave of an inner voice, on ties, on the unit durations are counted in, or on silent voices.
"""
import copy
import json
import os
import pathlib
import re
import subprocess
import sys
import tempfile
import unittest
import xml.etree.ElementTree as ET

QF = sys.argv[1]
ROOT = pathlib.Path(sys.argv[2])
CORPUS = pathlib.Path(os.environ.get("QUINTFALL_CORPUS", ROOT.parent / "shared/corpus"))
N_CHORALES = 6

LETTERS = "FCGDAEB"  # On the line of fifths
SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
KEYS = {"major": "Cb Gb Db Ab Eb Bb F C G D A E B F# C#".split(),
        "minor": "Ab Eb Bb F C G D A E B F# C# G# D# A#".split()}


def scores():
    """Textbook progressions, and some chorales where the corpus is present."""
    found = sorted((ROOT / "tests/data/textbooks").glob("*/score.musicxml"))
    chorales = sorted(CORPUS.glob("chorales/*/score.musicxml"))
    if not chorales:
        print("skipped: no corpus (set QUINTFALL_CORPUS to its folder)", file=sys.stderr)
    return found + chorales[::max(1, len(chorales) // N_CHORALES)]


def run(*arguments):
    done = subprocess.run([QF, *map(str, arguments)], capture_output=True, check=False)
    assert done.returncode == 0, (arguments, done.stderr)
    return done.stdout


def labels(path):
    """What the labels of a file say."""
    links = json.loads(run("label", path, "--as", "json"))["links"]
    return [(link["start"], link["end"], link.get("numeral"), link.get("key")) for link in links]


def written(data, ending, folder):
    path = pathlib.Path(folder, "changed" + ending)
    path.write_bytes(data)
    return path


class InMusicXML(unittest.TestCase):
    """Changes of the file that leave the music as it is."""

    def expect_same(self, change):
        for path in scores():
            with self.subTest(path.parent.name), tempfile.TemporaryDirectory() as folder:
                tree = ET.parse(path)
                change(tree.getroot())
                changed = written(ET.tostring(tree.getroot()), ".musicxml", folder)
                self.assertEqual(labels(changed), labels(path))

    def test_the_divisions_do_not_matter(self):
        self.expect_same(multiply_divisions)

    def test_a_note_may_be_two_tied_ones(self):
        def split(root):
            multiply_divisions(root)
            n_split = sum(split_notes(measure) for measure in root.iter("measure"))
            self.assertGreater(n_split, 10)
        self.expect_same(split)

    def test_an_empty_voice_changes_nothing(self):
        self.expect_same(lambda root: [add_silence(m) for m in root.find("part").iter("measure")])


def multiply_divisions(root, factor=6):
    for element in root.iter():
        if element.tag in ("divisions", "duration"):
            element.text = str(int(element.text) * factor)


def split_notes(measure):
    """Cut every note that stands alone into a third and the rest, tied."""
    notes = list(measure)
    n_split = 0
    for index in reversed(range(len(notes))):
        note = notes[index]
        after = notes[index + 1] if index + 1 < len(notes) else None
        is_stacked = after is not None and after.tag == "note" and after.find("chord") is not None
        if note.tag != "note" or note.find("pitch") is None or note.find("duration") is None or \
                note.find("chord") is not None or is_stacked or note.find("time-modification"):
            continue
        rest = copy.deepcopy(note)
        length = int(note.findtext("duration"))
        note.find("duration").text = str(length // 3)
        rest.find("duration").text = str(length - length // 3)
        for part in (note, rest):
            for tag in ("type", "dot", "beam", "accidental"):
                for element in part.findall(tag):
                    part.remove(element)
        for tag in ("notations", "lyric"):
            for element in rest.findall(tag):
                rest.remove(element)
        for part, kept, added in ((note, "stop", "start"), (rest, "start", "stop")):
            for tie in part.findall("tie"):
                if tie.get("type") != kept:
                    part.remove(tie)
            tie = ET.Element("tie", type=added)
            part.insert(list(part).index(part.find("duration")) + 1, tie)
        measure.insert(index + 1, rest)
        n_split += 1
    return n_split


def add_silence(measure):
    """A voice of one long rest beside the others."""
    at = end = 0
    for element in measure:
        length = int(element.findtext("duration", "0"))
        if element.tag == "note" and element.find("chord") is None:
            at += length
        elif element.tag in ("forward", "backup"):
            at += length if element.tag == "forward" else -length
        end = max(end, at)
    if at:
        backup = ET.SubElement(measure, "backup")
        ET.SubElement(backup, "duration").text = str(at)
    rest = ET.SubElement(measure, "note")
    ET.SubElement(rest, "rest")
    ET.SubElement(rest, "duration").text = str(end)
    ET.SubElement(rest, "voice").text = "9"


class InLessons(unittest.TestCase):
    """Changes of the notes that leave the functions as they are."""

    def expect_same(self, changes, with_key):
        """Compare with every change of every lesson; gives the number of changed ones."""
        n_changed = 0
        for path in scores():
            with self.subTest(path.parent.name), tempfile.TemporaryDirectory() as folder:
                plain = pathlib.Path(folder, "plain.json")
                run("convert", path, plain)
                found = labels(plain)
                for lesson in changes(json.loads(plain.read_text()), found):
                    changed = written(json.dumps(lesson).encode(), ".json", folder)
                    self.assertEqual([link if with_key else moded(link) for link in labels(changed)],
                                     [link if with_key else moded(link) for link in found])
                    n_changed += 1
        return n_changed

    def test_labels_move_with_the_notes(self):
        def changes(lesson, found):
            keys = {link[3] for link in found if link[3]}
            for fifths in (-3, -1, 1, 2):
                # Near the ends of the circle a key that was there before may be missing.
                if all(is_plain(key, 0) and is_plain(key, fifths) for key in keys):
                    yield transposed(lesson, fifths)
        self.assertGreater(self.expect_same(changes, False), 20)

    def test_the_octave_of_an_inner_voice_does_not_matter(self):
        def changes(lesson, _):
            for index in range(1, len(lesson["voices"]) - 1):
                changed = copy.deepcopy(lesson)
                for note in changed["voices"][index]["notes"]:
                    note["pitch"] = re.sub(r"-?\d+$", lambda m: str(int(m[0]) + 1), note["pitch"])
                yield changed
        self.assertGreater(self.expect_same(changes, True), 20)


def moded(link):
    """A link with the mode of its key alone."""
    return (*link[:3], link[3] and link[3].split()[1])


def is_plain(key, fifths):
    """True for a key of at most five signs, moved by so many fifths."""
    name, mode = key.split()
    moved = moved_name(name, fifths)
    return moved in KEYS[mode] and 2 <= KEYS[mode].index(moved) <= 12


def moved_name(name, fifths):
    """A note name moved along the line of fifths."""
    place = LETTERS.index(name[0]) + 7 * (name.count("#") - name.count("b")) + fifths
    alter = place // 7
    return LETTERS[place % 7] + ("#" * alter if alter > 0 else "b" * -alter)


def midi_of(name, octave):
    return SEMITONES[name[0]] + name.count("#") - name.count("b") + 12 * octave


def moved_pitch(text, fifths):
    name, octave = re.fullmatch(r"([A-G][#b]*)(-?\d+)", text).groups()
    moved = moved_name(name, fifths)
    goal = midi_of(name, int(octave)) + (7 * fifths + 6) % 12 - 6
    octave = (goal - midi_of(moved, 0)) / 12
    assert octave == int(octave), text
    return moved + str(int(octave))


def transposed(lesson, fifths):
    """A lesson moved along the line of fifths."""
    result = copy.deepcopy(lesson)
    for signature in result["signatures"]:
        name, mode = signature["key"].split()
        signature["key"] = f"{moved_name(name, fifths)} {mode}"
    for voice in result["voices"]:
        for note in voice["notes"]:
            note["pitch"] = moved_pitch(note["pitch"], fifths)
    return result


if __name__ == "__main__":
    SUITE = unittest.defaultTestLoader.loadTestsFromModule(sys.modules[__name__])
    RESULT = unittest.TextTestRunner(verbosity=2).run(SUITE)
    BAD = len(RESULT.failures) + len(RESULT.errors)
    SKIPPED = len(RESULT.skipped)
    print(f"{max(0, RESULT.testsRun - BAD - SKIPPED)} passed, {BAD} failed, {SKIPPED} skipped")
    sys.exit(1 if BAD else 0)
