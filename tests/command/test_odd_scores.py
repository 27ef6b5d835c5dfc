#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Scores that are not four tidy parts: qf label gives a result or a plain message, never a crash.

The expected labels are common practice: what sounds together is the chord, however it is written.
"""
import json
import pathlib
import subprocess
import sys
import tempfile
import unittest

QF = sys.argv[1]


def pitch(name, alter=""):
    alter = f"<alter>{alter}</alter>" if alter else ""
    return f"<pitch><step>{name[0]}</step>{alter}<octave>{name[1:]}</octave></pitch>"


def note(name, length=4, voice=1, extra="", alter=""):
    return (f"<note>{pitch(name, alter)}<duration>{length}</duration><voice>{voice}</voice>"
            f"{extra}</note>")


def back(length):
    return f"<backup><duration>{length}</duration></backup>"


def voices(*lines, length=16):
    """Lines of notes that sound together in one measure of one part."""
    return back(length).join(lines)


def score(*measures, fifths=0, staves=1):
    """A part of such measures in 4/4, four divisions a quarter."""
    head = ("<attributes><divisions>4</divisions>"
            f"<key><fifths>{fifths}</fifths></key><time><beats>4</beats><beat-type>4</beat-type>"
            f"</time><staves>{staves}</staves></attributes>")
    body = "".join(f'<measure number="{n}">{head if n == 1 else ""}{text}</measure>'
                   for n, text in enumerate(measures, 1))
    return ('<?xml version="1.0"?><score-partwise version="4.0"><part-list><score-part id="P1">'
            f'<part-name>All</part-name></score-part></part-list><part id="P1">{body}</part>'
            "</score-partwise>").encode()


def line(names, voice, length=4):
    return "".join(note(name, length, voice) for name in names.split())


# I IV V I, a quarter each
CADENCE = (line("C5 C5 B4 C5", 1), line("G4 A4 G4 G4", 2), line("E4 F4 D4 E4", 3),
           line("C3 F3 G3 C3", 4))


class Label(unittest.TestCase):
    def label(self, data, status=0, note=""):
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder, "odd.musicxml")
            path.write_bytes(data)
            done = subprocess.run([QF, "label", str(path), "--as", "json"], capture_output=True,
                                  check=False)
        self.assertEqual(done.returncode, status, done.stderr)
        self.assertIn(note.encode(), done.stderr)
        return json.loads(done.stdout) if status == 0 else done.stderr.decode()

    def expect(self, data, numerals):
        links = self.label(data)["links"]
        self.assertEqual([link.get("numeral") for link in links], numerals)
        return links

    def test_four_voices_are_the_measure_of_the_rest(self):
        self.expect(score(voices(*CADENCE)), ["I", "IV", "V", "I"])

    def test_no_notes_have_no_labels(self):
        rest = '<note><rest measure="yes"/><duration>16</duration></note>'
        self.expect(score(rest, rest), [])

    def test_percussion_alone_is_refused(self):
        drum = ("<note><unpitched><display-step>E</display-step><display-octave>4</display-octave>"
                "</unpitched><duration>4</duration></note>")
        self.assertIn("no part has pitched notes", self.label(score(drum * 4), 2))

    def test_percussion_beside_chords_is_passed_over(self):
        drum = ("<note><unpitched/><duration>4</duration><voice>5</voice></note>")
        self.expect(score(voices(*CADENCE, drum * 4)), ["I", "IV", "V", "I"])

    def test_one_voice_that_spells_a_chord_is_labelled(self):
        links = self.label(score(line("C4 E4 G4 C5", 1)))["links"]
        self.assertEqual((links[0]["start"], links[-1]["end"]), ("0", "1"))
        self.assertTrue(all(link["reasons"] for link in links))

    def test_twelve_voices_are_one_chord(self):
        names = "C6 G5 E5 C5 G4 E4 C4 G3 E3 C3 G2 C2".split()
        self.expect(score(voices(*(note(name, 16, v) for v, name in enumerate(names, 1)))), ["I"])

    def test_grace_notes_do_not_count(self):
        grace = f"<note><grace/>{pitch('D5', '1')}<voice>1</voice></note>"
        top = note("C5") + grace + note("C5") + note("B4") + grace + note("C5")
        self.expect(score(voices(top, *CADENCE[1:])), ["I", "IV", "V", "I"])

    def test_tuplets_keep_exact_time(self):
        ratio = ("<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes>"
                 "</time-modification>")
        # Twelve divisions a quarter; a triplet of eighths D C B over the dominant.
        data = score(voices(
            line("C5 C5", 1, 12) + "".join(note(n, 4, 1, ratio) for n in ("D5", "C5", "B4")) +
            note("C5", 12),
            line("G4 A4 G4 G4", 2, 12), line("E4 F4 D4 E4", 3, 12), line("C3 F3 G3 C3", 4, 12),
            length=48)).replace(b"<divisions>4<", b"<divisions>12<")
        links = self.expect(data, ["I", "IV", "V", "I"])
        self.assertEqual([link["start"] for link in links], ["0", "1/4", "1/2", "3/4"])
        foreign = [(n["pitch"], n["kind"], n["place"]) for n in links[2]["foreign"]]
        self.assertEqual(foreign, [("C5", "passing note", "m1 b3.33")])

    def test_a_voice_may_cross_the_staves(self):
        def on(staff, text):
            return text.replace("</note>", f"<staff>{staff}</staff></note>")
        tenor = on(2, note("E4", voice=3)) + on(1, note("F4", voice=3)) + \
            on(2, note("D4", voice=3)) + on(1, note("E4", voice=3))
        self.expect(score(voices(on(1, CADENCE[0]), on(1, CADENCE[1]), tenor, on(2, CADENCE[3])),
                          staves=2), ["I", "IV", "V", "I"])

    def test_quarter_tones_are_rounded_and_say_so(self):
        data = score(voices(CADENCE[0], note("G4", 16, 2, alter="0.25"), *CADENCE[2:]))
        links = self.label(data, note="Microtones were rounded")["links"]
        self.assertEqual(links[0]["symbol"], "C")

    def test_the_signature_may_change_within_a_bar(self):
        change = "<attributes><key><fifths>1</fifths></key></attributes>"
        first = voices(line("C5 D5", 1) + change + line("D5 D5", 1), line("G4 A4 G4 F4", 2),
                       line("E4 F4 B3 A3", 3), line("C4 D4 G3 D3", 4))
        last = voices(note("D5", 16), note("G4", 16, 2), note("B3", 16, 3), note("G3", 16, 4))
        links = self.label(score(first, last))["links"]
        self.assertEqual((links[0]["start"], links[-1]["end"]), ("0", "2"))
        self.assertEqual(links[-1]["symbol"], "G")

    def test_a_broken_measure_is_refused_with_the_place(self):
        message = self.label(score(CADENCE[0] + back(99) + CADENCE[1]), 2)
        self.assertIn("odd.musicxml:1", message)


if __name__ == "__main__":
    SUITE = unittest.defaultTestLoader.loadTestsFromModule(sys.modules[__name__])
    RESULT = unittest.TextTestRunner(verbosity=2).run(SUITE)
    BAD = len(RESULT.failures) + len(RESULT.errors)
    SKIPPED = len(RESULT.skipped)
    print(f"{max(0, RESULT.testsRun - BAD - SKIPPED)} passed, {BAD} failed, {SKIPPED} skipped")
    sys.exit(1 if BAD else 0)
