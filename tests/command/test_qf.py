#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Drive qf as a user would: every subcommand on real files, and every kind of mistake."""
import array
import json
import math
import os
import pathlib
import subprocess
import sys
import tempfile
import unittest
import wave

QF = sys.argv[1]
ROOT = pathlib.Path(sys.argv[2])
TEXTBOOKS = ROOT / "tests/data/textbooks"
DEMO = ROOT / "resources/lessons/lantern-walk.json"


def qf(*arguments, stdin=None):
    """Run qf; its standard output stays bytes, since some formats are."""
    return subprocess.run([QF, *map(str, arguments)], input=stdin, capture_output=True, check=False)


def numerals(path):
    """Numerals of a file, as qf labels it."""
    out = qf("label", path, "--as", "json")
    assert out.returncode == 0, out.stderr
    return [link.get("numeral") for link in json.loads(out.stdout)["links"]]


class Realise(unittest.TestCase):
    # The chain of MT21C "Secondary Dominants" and IBMT 15a: each applied seventh falls to the next
    CHAIN = "C: I V7/vi V7/ii V7/V | V7 I"

    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.out = pathlib.Path(self.folder.name)

    def tearDown(self):
        self.folder.cleanup()

    def test_labels_give_the_chain_back(self):
        path = self.out / "chain.musicxml"
        self.assertEqual(qf("realise", self.CHAIN, "-o", path).returncode, 0)
        out = qf("label", path, "--key", "C", "--as", "json")
        links = json.loads(out.stdout)
        self.assertEqual([link["numeral"] for link in links["links"]],
                         ["I", "V7/vi", "V7/ii", "V7/V", "V7", "I"])
        self.assertTrue(any("applied" in chain["name"] for chain in links["chains"]))

    def test_kept_notes_are_kept(self):
        path = self.out / "kept.json"
        done = qf("realise", "C: I V7 I", "--keep", "soprano@1=E5", "--keep", "soprano@2=D5",
                  "-o", path)
        self.assertEqual(done.returncode, 0, done.stderr)
        notes = json.loads(path.read_text())["voices"][0]["notes"]
        self.assertEqual([note["pitch"] for note in notes[:2]], ["E5", "D5"])

    def test_impossible_numeral_says_where(self):
        done = qf("realise", "C: I Q7 V", "-o", self.out / "x.json")
        self.assertEqual(done.returncode, 2)
        self.assertIn(b"character 6", done.stderr)
        self.assertFalse((self.out / "x.json").exists())

    def test_impossible_given_says_so(self):
        done = qf("realise", "C: I V", "--keep", "bass@1=F#3", "-o", self.out / "x.json")
        self.assertEqual(done.returncode, 2)
        self.assertTrue(done.stderr.strip())

    def test_full_disk_is_reported(self):
        if not os.path.exists("/dev/full"):
            self.skipTest("no /dev/full here")
        with open("/dev/full", "wb") as full:
            done = subprocess.run([QF, "convert", str(DEMO), "-", "--to", "musicxml"],
                                  stdout=full, stderr=subprocess.PIPE, check=False)
        self.assertEqual(done.returncode, 3)
        self.assertIn(b"standard output", done.stderr)


class Convert(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.out = pathlib.Path(self.folder.name)

    def tearDown(self):
        self.folder.cleanup()

    def test_lesson_survives_every_score_format(self):
        for ending in ("musicxml", "mxl", "json"):
            with self.subTest(ending):
                path = self.out / f"lesson.{ending}"
                done = qf("convert", DEMO, path)
                self.assertEqual(done.returncode, 0, done.stderr)
                self.assertEqual(numerals(path), numerals(DEMO))

    def test_midi_starts_with_its_header(self):
        path = self.out / "lesson.mid"
        self.assertEqual(qf("convert", DEMO, path).returncode, 0)
        # MIDI 1.0 SMF specification: header chunk of length 6, format 1
        self.assertEqual(path.read_bytes()[:10], b"MThd\x00\x00\x00\x06\x00\x01")
        self.assertEqual(qf("label", path).returncode, 0)

    def test_romantext_goes_there_and_back(self):
        path = self.out / "lesson.rntxt"
        self.assertEqual(qf("convert", DEMO, path).returncode, 0)
        self.assertEqual(numerals(path), [n for n in numerals(DEMO) if n])

    def test_pages_are_pages(self):
        for ending, magic in (("pdf", b"%PDF-"), ("png", b"\x89PNG"), ("svg", b"<?xml")):
            with self.subTest(ending):
                path = self.out / f"page.{ending}"
                done = qf("sheet", DEMO, "-o", path)
                self.assertEqual(done.returncode, 0, done.stderr)
                self.assertTrue(path.read_bytes().startswith(magic))

    def test_student_sheet_hides_the_functions(self):
        texts = []
        for kind in ("answers", "student"):
            path = self.out / f"{kind}.pdf"
            self.assertEqual(qf("sheet", DEMO, "--kind", kind, "-o", path).returncode, 0)
            texts.append(subprocess.run(["pdftotext", str(path), "-"], capture_output=True,
                                        check=True).stdout.decode())
        self.assertIn("V", texts[0].replace(" ", ""))
        self.assertLess(len(texts[1]), len(texts[0]))

    def test_standard_input_and_output(self):
        data = DEMO.read_bytes()
        done = qf("convert", "-", "-", "--to", "musicxml", stdin=data)
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertIn(b"<score-partwise", done.stdout)


class Sound(unittest.TestCase):
    def test_hearing_is_quiet_and_never_clips(self):
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder, "bass.wav")
            done = qf("sound", DEMO, "--forward", "bass", "-o", path)
            if done.returncode == 3:
                self.skipTest(done.stderr.decode())
            self.assertEqual(done.returncode, 0, done.stderr)
            with wave.open(str(path)) as sound:
                self.assertEqual(sound.getnchannels(), 2)
                self.assertEqual(sound.getsampwidth(), 2)
                samples = array.array("h", sound.readframes(sound.getnframes()))
            peak = max(abs(s) for s in samples) / 32768
            # -1 dBFS = 0.891251 of full scale (references, section 8)
            self.assertLess(peak, 0.891251)
            self.assertGreater(peak, 0.001)
            rms = math.sqrt(sum(s * s for s in samples) / len(samples)) / 32768
            # "start at a low level, e.g. -20 dBFS RMS" (references, section 8)
            self.assertLessEqual(rms, 0.1)


class Mistakes(unittest.TestCase):
    def expect(self, code, words, *arguments, stdin=None):
        done = qf(*arguments, stdin=stdin)
        self.assertEqual(done.returncode, code, (arguments, done.stderr))
        self.assertEqual(done.stdout, b"")
        for word in words:
            self.assertIn(word, done.stderr.decode())

    def test_usage(self):
        self.expect(2, ["Usage"])
        self.expect(2, ["no subcommand"], "sing")
        self.expect(2, ["at least one FILE"], "label")
        self.expect(2, ["--as"], "label", DEMO, "--as", "haiku")
        self.expect(2, [".wav"], "sound", DEMO, "-o", "x.mp5")
        self.expect(2, ["H major", "--key"], "label", DEMO, "--key", "H major")
        self.expect(2, ["0.25"], "sound", DEMO, "--tempo", "nan", "-o", "x.wav")

    def test_missing_and_broken_files(self):
        self.expect(2, ["nowhere.musicxml"], "label", "nowhere.musicxml")
        self.expect(2, ["standard input", "empty"], "label", "-", stdin=b"")
        self.expect(2, ["standard input"], "label", "-", stdin=b"\x00\x01\x02")
        self.expect(2, ["standard input"], "label", "-", stdin=b"<score-partwise><part")
        self.expect(2, ["standard input"], "label", "-", stdin=b'{"format": "other"}')

    def test_fault_in_a_score_names_measure(self):
        text = (ROOT / "tests/data/textbooks/tchaikovsky-189/score.musicxml").read_text()
        broken = text.replace("<step>F</step>", "<step>H</step>", 1)
        self.assertNotEqual(text, broken)
        done = qf("label", "-", stdin=broken.encode())
        self.assertEqual(done.returncode, 2)
        self.assertRegex(done.stderr.decode(), r"standard input:\d+")


class Label(unittest.TestCase):
    def test_every_textbook_passage_is_read(self):
        for path in sorted(TEXTBOOKS.glob("*/score.musicxml")):
            with self.subTest(path.parent.name):
                done = qf("label", path, "--reasons")
                self.assertEqual(done.returncode, 0, done.stderr)
                self.assertGreater(len(done.stdout.splitlines()), 6)

    def test_one_bad_file_never_stops_a_folder(self):
        with tempfile.TemporaryDirectory() as name:
            folder, out = pathlib.Path(name, "in"), pathlib.Path(name, "out")
            names = ["reger-99a", "rimsky-17b", "tchaikovsky-195"]
            for item in names:
                (folder / item).mkdir(parents=True)
                data = (TEXTBOOKS / item / "score.musicxml").read_bytes()
                (folder / item / "score.musicxml").write_bytes(data)
            (folder / "aaa.mxl").write_bytes(b"PK\3\4 not an archive")
            (folder / "notes.json").write_text('{"title": "not a lesson"}')
            done = qf("label", folder, "--as", "romantext", "--jobs", "3", "-o", out)
            self.assertEqual(done.returncode, 2)
            self.assertIn(b"3 files labelled, 1 failed", done.stderr)
            for item in names:
                self.assertIn("m1 ", (out / item / "score.rntxt").read_text())
            self.assertFalse((out / "aaa.rntxt").exists())


if __name__ == "__main__":
    SUITE = unittest.defaultTestLoader.loadTestsFromModule(sys.modules[__name__])
    RESULT = unittest.TextTestRunner(verbosity=2).run(SUITE)
    BAD = len(RESULT.failures) + len(RESULT.errors)
    SKIPPED = len(RESULT.skipped)
    print(f"{max(0, RESULT.testsRun - BAD - SKIPPED)} passed, {BAD} failed, {SKIPPED} skipped")
    sys.exit(1 if BAD else 0)
