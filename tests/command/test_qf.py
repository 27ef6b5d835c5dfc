#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Drive qf as a user would: every subcommand on real files, and every kind of mistake."""
import array
import json
import math
import os
import pathlib
import re
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


def four_parts(chords):
    """A MusicXML score of quarter-note chords, soprano first, in 4/4."""
    parts = []
    for voice in range(4):
        notes = "".join(
            f"<note><pitch><step>{chord[voice][0]}</step><octave>{chord[voice][-1]}</octave></pitch>"
            "<duration>1</duration><type>quarter</type></note>" for chord in chords)
        clef = "<sign>G</sign><line>2</line>" if voice < 2 else "<sign>F</sign><line>4</line>"
        parts.append(f'<part id="P{voice}"><measure number="1"><attributes><divisions>1</divisions>'
                     "<key><fifths>0</fifths></key><time><beats>4</beats><beat-type>4</beat-type>"
                     f"</time><clef>{clef}</clef></attributes>{notes}</measure></part>")
    names = "".join(f'<score-part id="P{v}"><part-name>{name}</part-name></score-part>'
                    for v, name in enumerate(("Soprano", "Alto", "Tenor", "Bass")))
    return ('<?xml version="1.0"?><score-partwise version="4.0"><part-list>' + names +
            "</part-list>" + "".join(parts) + "</score-partwise>").encode()


class Keys(unittest.TestCase):
    """Tchaikovsky 1872, ex. 189, goes from C to F by way of other keys; it ends in F."""

    def keys(self, *arguments):
        out = qf("label", TEXTBOOKS / "tchaikovsky-189/score.musicxml", "--as", "json", *arguments)
        self.assertEqual(out.returncode, 0, out.stderr)
        return json.loads(out.stdout)["keys"]

    def test_thresholds_move_keys(self):
        found = self.keys()
        self.assertGreater(len(found), 1)
        self.assertTrue(all(key["reason"] and key["beats"] > 0 for key in found))
        self.assertEqual(self.keys("--least-beats", 0), found)
        self.assertEqual([key["key"] for key in self.keys("--least-beats", 1000)], ["F major"])
        # A cadence that counts enough keeps the stretch that it closes.
        kept = self.keys("--least-beats", 1000, "--cadence-beats", 1000)
        self.assertEqual(kept[-1]["key"], "F major")

    def test_one_threshold_leaves_the_lessons_other_alone(self):
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder, "lesson.json")
            qf("convert", TEXTBOOKS / "tchaikovsky-195/score.musicxml", path)
            lesson = json.loads(path.read_text())
            lesson["cadence_beats"] = 1000
            path.write_text(json.dumps(lesson))
            kept, fell = (json.loads(qf("label", path, "--as", "json", "--least-beats", 1000,
                                        *more).stdout)["keys"]
                          for more in ((), ("--cadence-beats", 0)))
            self.assertEqual(len(fell), 1)
            self.assertGreater(len(kept), 1)


class Check(unittest.TestCase):
    # Source: partwriting_cases.json, pub-parallel-fifths and iv-v-contrary (IBMT 10b, MT21C)
    FIFTHS = four_parts([("C5", "E4", "G3", "C3"), ("A4", "F4", "A3", "D3"),
                         ("B4", "F4", "D4", "G3"), ("C5", "E4", "C4", "C3")])
    CLEAN = four_parts([("G4", "E4", "C4", "C3"), ("A4", "F4", "C4", "F3"),
                        ("G4", "D4", "B3", "G3"), ("G4", "E4", "C4", "C3")])

    def check(self, data, *arguments):
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder, "passage.musicxml")
            path.write_bytes(data)
            return qf("check", path, "--key", "C", *arguments)

    def test_parallel_fifths_are_errors_with_their_places(self):
        done = self.check(self.FIFTHS)
        self.assertEqual(done.returncode, 1, done.stderr)
        lines = [line for line in done.stdout.decode().splitlines() if "[parallel_fifths]" in line]
        self.assertEqual([line.split("passage.musicxml")[1][:12] for line in lines],
                         [":1:2: error:", ":1:3: error:"])
        self.assertIn("Tenor and Bass", lines[0])

    def test_reasons_are_told_as_text(self):
        lines = self.check(self.FIFTHS, "--reasons").stdout.decode().splitlines()
        at = next(i for i, line in enumerate(lines) if "[parallel_fifths]" in line)
        self.assertTrue(lines[at + 1].startswith("    why: "))
        self.assertIn("MT21C", lines[at + 1])

    def test_clean_writing_is_done(self):
        for profile in ("strict", "common", "free"):
            with self.subTest(profile):
                done = self.check(self.CLEAN, "--profile", profile)
                self.assertEqual(done.returncode, 0, done.stdout)
                self.assertTrue(done.stdout.decode().endswith(f"({profile})\n"))

    def test_json_tells_rule_voices_reason_and_mend(self):
        done = self.check(self.FIFTHS, "--as", "json", "--mends")
        self.assertEqual(done.returncode, 1)
        told = json.loads(done.stdout)
        fifths = [f for f in told["findings"] if f["rule"] == "parallel_fifths"]
        self.assertEqual([(f["voices"], f["from"], f["to"]) for f in fifths],
                         [([2, 3], "0", "1/4"), ([2, 3], "1/4", "1/2")])
        self.assertEqual([note["pitch"] for note in fifths[0]["notes"]],
                         ["G3", "C3", "A3", "D3"])
        self.assertTrue(fifths[0]["reason"] and fifths[0]["source"] and fifths[0]["mend"])
        self.assertEqual(told["counts"]["error"],
                         sum(f["severity"] == "error" for f in told["findings"]))

    def test_a_mend_that_is_carried_out_takes_the_finding_away(self):
        told = json.loads(self.check(self.FIFTHS, "--as", "json", "--mends").stdout)
        finding = next(f for f in told["findings"] if f["rule"] == "parallel_fifths")
        chords = [["C5", "E4", "G3", "C3"], ["A4", "F4", "A3", "D3"],
                  ["B4", "F4", "D4", "G3"], ["C5", "E4", "C4", "C3"]]
        for change in finding["mend"]:
            place = {"0": 0, "1/4": 1, "1/2": 2, "3/4": 3}[change["start"]]
            self.assertEqual(chords[place][change["voice"]], change["pitch"])
            chords[place][change["voice"]] = change["to"]
        after = json.loads(self.check(four_parts(chords), "--as", "json").stdout)
        self.assertNotIn((finding["rule"], finding["to"]),
                         [(f["rule"], f["to"]) for f in after["findings"]])

    def test_profiles_are_named_when_mistaken(self):
        done = self.check(self.CLEAN, "--profile", "harsh")
        self.assertEqual(done.returncode, 2)
        self.assertIn(b"strict, common or free", done.stderr)

    def test_chorales_break_few_rules(self):
        # common practice: what accuses the chorales everywhere is a wrong rule
        corpus = pathlib.Path(os.environ.get("QUINTFALL_CORPUS", ROOT / "../shared/corpus"))
        files = sorted(corpus.glob("chorales/*/score.musicxml"))
        if not files:
            self.skipTest("no corpus of chorales")
        errors = chords = 0
        for path in files[::4]:
            errors += json.loads(qf("check", path, "--as", "json").stdout)["counts"]["error"]
            chords += len(numerals(path))
        self.assertGreater(chords, 500)
        self.assertLess(100 * errors / chords, 8)

    def test_two_files_are_too_many(self):
        self.assertEqual(qf("check", DEMO, DEMO).returncode, 2)


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

    def test_best_ways_come_in_order_and_differ(self):
        done = qf("realise", self.CHAIN, "--as", "json", "--best", "5")
        self.assertEqual(done.returncode, 0, done.stderr)
        told = json.loads(done.stdout)
        costs = [way["cost"] for way in told["writings"]]
        self.assertEqual(costs, sorted(costs))
        self.assertEqual(len({json.dumps(way["pitches"]) for way in told["writings"]}), 5)
        path = self.out / "third.json"
        self.assertEqual(qf("realise", self.CHAIN, "--nth", "3", "-o", path).returncode, 0)
        soprano = [note["pitch"] for note in json.loads(path.read_text())["voices"][0]["notes"]]
        self.assertEqual(soprano, [chord[0] for chord in told["writings"][2]["pitches"]])

    def test_voices_profiles_and_keyboard_pass_their_check(self):
        for voices in ("3", "4", "5"):
            for profile in ("strict", "common", "free"):
                with self.subTest(voices=voices, profile=profile):
                    path = self.out / "chain.musicxml"
                    chain = "C: I ii7 V7 I" if voices == "3" else self.CHAIN
                    done = qf("realise", chain, "--voices", voices, "--profile", profile,
                              "-o", path)
                    self.assertEqual(done.returncode, 0, done.stderr)
                    done = qf("check", path, "--profile", profile, "--key", "C")
                    self.assertEqual(done.returncode, 0, done.stdout)
        told = json.loads(qf("realise", "C: I IV V7 I", "--keyboard", "--as", "json").stdout)
        steps = "C D EF G A B"
        for chord in told["writings"][0]["pitches"]:
            high, low = (12 * int(p[-1]) + steps.index(p[0]) for p in (chord[0], chord[2]))
            self.assertLessEqual(high - low, 12)

    def test_clashing_givens_are_named(self):
        # A doubled leading tone (all sources)
        done = qf("realise", "C: I V7 I", "--profile", "strict", "--keep", "soprano@2=B4",
                  "--keep", "tenor@2=B3", "--keep", "bass@1=C3", "-o", self.out / "x.json")
        self.assertEqual(done.returncode, 2)
        self.assertIn(b"can't hold together: B4 of chord 2, B3 of chord 2", done.stderr)

    def test_an_impossible_wish_is_no_reason_for_a_milder_profile(self):
        # The seventh of V7 may rise in free only
        done = qf("realise", "C: I V7 I", "--keep", "soprano@2=F4", "--keep", "soprano@3=G4",
                  "-o", self.out / "x.json")
        self.assertEqual(done.returncode, 2)
        self.assertIn(b"--profile common (unless given); --profile free can", done.stderr)
        self.assertFalse((self.out / "x.json").exists())

    def test_doublings_and_ranges_are_heeded(self):
        done = qf("realise", "C: I IV V I", "--double", "2=third", "--range", "alto=G3-A4",
                  "--as", "json")
        self.assertEqual(done.returncode, 0, done.stderr)
        chords = json.loads(done.stdout)["writings"][0]["pitches"]
        self.assertEqual(sum(pitch[0] == "A" for pitch in chords[1]), 2)
        done = qf("realise", "C: I V I", "--double", "2=third", "-o", self.out / "x.json")
        self.assertEqual(done.returncode, 0)
        self.assertIn(b"third of chord 2 is not doubled", done.stderr)
        for wish in ("2=seventh", "9=root", "third"):
            self.assertEqual(qf("realise", "C: I V I", "--double", wish, "--as", "json")
                             .returncode, 2)
        for wish in ("alto=C5-G3", "viola=C3-C4", "alto=G3"):
            self.assertEqual(qf("realise", "C: I V I", "--range", wish, "--as", "json")
                             .returncode, 2)

    def test_a_whole_chord_is_kept(self):
        done = qf("realise", "C: I V | IV6 I", "--keep", "1=E5,C5,G4,C4", "--as", "json")
        self.assertEqual(json.loads(done.stdout)["writings"][0]["pitches"][0],
                         ["E5", "C5", "G4", "C4"])
        self.assertEqual(qf("realise", "C: I V", "--keep", "1=E5,C5", "--as", "json").returncode,
                         2)

    def test_a_line_is_kept_whole_with_its_passing_notes(self):
        # E5 with a passing note D5 (common practice) over I, then C5 over vi and B4 over V
        source = self.out / "line.musicxml"
        note = ("<note><pitch><step>{}</step><octave>{}</octave></pitch><duration>{}</duration>"
                "</note>")
        source.write_text(
            "<score-partwise version='4.0'><part-list><score-part id='P1'><part-name>Tune"
            "</part-name></score-part></part-list><part id='P1'><measure number='1'><attributes>"
            "<divisions>2</divisions><key><fifths>0</fifths></key><time><beats>4</beats>"
            "<beat-type>4</beat-type></time></attributes>"
            + note.format("E", 5, 1) + note.format("D", 5, 1) + note.format("C", 5, 2)
            + note.format("B", 4, 4) + "</measure></part></score-partwise>")
        path = self.out / "out.json"
        done = qf("realise", "C: I(1) vi(1) V(2)", "--line", f"soprano={source}:Tune", "-o", path)
        self.assertEqual(done.returncode, 0, done.stderr)
        notes = json.loads(path.read_text())["voices"][0]["notes"]
        self.assertEqual([(n["pitch"], n["duration"]) for n in notes],
                         [("E5", "1/8"), ("D5", "1/8"), ("C5", "1/4"), ("B4", "1/2")])
        done = qf("realise", "C: I(1) ii(1) V(2)", "--line", f"soprano={source}", "-o", path)
        self.assertEqual(done.returncode, 2)
        self.assertIn(b"belongs to chord 2 (ii)", done.stderr)

    def test_keyboard_style_puts_three_voices_on_the_upper_staff(self):
        path = self.out / "hand.json"
        self.assertEqual(qf("realise", "C: I IV V7 I", "--keyboard", "-o", path).returncode, 0)
        staves = [voice["staff"] for voice in json.loads(path.read_text())["voices"]]
        self.assertEqual(staves, [0, 0, 0, 1])

    def test_impossible_numeral_says_where(self):
        done = qf("realise", "C: I Q7 V", "-o", self.out / "x.json")
        self.assertEqual(done.returncode, 2)
        self.assertIn(b"character 6", done.stderr)
        self.assertFalse((self.out / "x.json").exists())

    def test_impossible_given_says_so(self):
        done = qf("realise", "C: I V", "--keep", "bass@1=F#3", "-o", self.out / "x.json")
        self.assertEqual(done.returncode, 2)
        self.assertTrue(done.stderr.strip())

    def test_full_disk_is_reported_of_any_output(self):
        if not os.path.exists("/dev/full"):
            self.skipTest("no /dev/full here")
        full = self.out / "full.pdf"
        full.symlink_to("/dev/full")
        for arguments in (("label", DEMO, "-o", "/dev/full"), ("sheet", DEMO, "-o", full)):
            with self.subTest(arguments):
                done = qf(*arguments)
                self.assertEqual(done.returncode, 3, done.stderr)
                self.assertIn(b"No space left", done.stderr)

    def test_hearings_recorded_side_by_side_are_the_same(self):
        folders = [self.out / f"jobs{n}" for n in (1, 3)]
        for folder, jobs in zip(folders, ("1", "3")):
            done = qf("sound", DEMO, "--plan=Quick check", "--jobs", jobs, "-o", folder)
            if done.returncode == 3:
                self.skipTest(done.stderr.decode())
            self.assertEqual(done.returncode, 0, done.stderr)
        one, three = ({p.name: p.read_bytes() for p in folder.iterdir()} for folder in folders)
        self.assertGreater(len(one), 3)
        self.assertEqual(one, three)

    def test_a_recording_replaces_no_device_and_keeps_links(self):
        device = self.out / "device.wav"
        device.symlink_to("/dev/full")
        done = qf("sound", DEMO, "-o", device)
        if done.returncode == 3:
            self.skipTest(done.stderr.decode())
        self.assertEqual(done.returncode, 2)
        self.assertIn(b"device or pipe", done.stderr)
        self.assertTrue(device.is_symlink())
        target, link = self.out / "target.wav", self.out / "link.wav"
        target.write_bytes(b"old")
        link.symlink_to(target)
        self.assertEqual(qf("sound", DEMO, "-o", link).returncode, 0)
        self.assertTrue(link.is_symlink())
        self.assertEqual(target.read_bytes()[:4], b"RIFF")

    def test_full_disk_is_reported(self):
        if not os.path.exists("/dev/full"):
            self.skipTest("no /dev/full here")
        with open("/dev/full", "wb") as full:
            done = subprocess.run([QF, "convert", str(DEMO), "-", "--to", "musicxml"],
                                  stdout=full, stderr=subprocess.PIPE, check=False)
        self.assertEqual(done.returncode, 3)
        self.assertIn(b"standard output", done.stderr)


class Harmonise(unittest.TestCase):
    def test_a_figured_bass_gives_its_chords(self):
        # OMT, Introduction to thoroughbass; the six-four over the fifth degree is cadential
        done = qf("harmonise", "C3: F3:6 G3:6/4 G3:7 | C3:(4)", "--key", "C", "--bass",
                  "--as", "json")
        self.assertEqual(done.returncode, 0, done.stderr)
        best = json.loads(done.stdout)["harmonies"][0]
        self.assertEqual([chord["numeral"] for chord in best["chords"]],
                         ["I", "ii6", "Cad64", "V7", "I"])
        self.assertEqual([chord[3] for chord in best["pitches"]],
                         ["C3", "F3", "G3", "G3", "C3"])

    def test_a_melody_is_kept_and_written_to_a_file(self):
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder, "song.musicxml")
            done = qf("harmonise", "E5 F5 E5 D5 | C5(4)", "--key", "C", "--use", "diatonic",
                      "-o", path)
            self.assertEqual(done.returncode, 0, done.stderr)
            self.assertEqual(qf("check", path, "--key", "C").returncode, 0)
            self.assertEqual(numerals(path)[-1], "I")

    def test_several_chains_are_told(self):
        lines = qf("harmonise", "E5 D5 C5 B4 C5", "--key", "C", "--best", "4").stdout.decode()
        chains = [block.split("\n")[1] for block in lines.split("\n\n")]
        self.assertEqual(len(set(chains)), 4)

    HEAD = ("<score-partwise version='4.0'><part-list><score-part id='P1'><part-name>{}"
            "</part-name></score-part></part-list><part id='P1'><measure number='1'><attributes>"
            "<divisions>1</divisions><key><fifths>{}</fifths></key><time><beats>4</beats>"
            "<beat-type>4</beat-type></time></attributes>")
    TAIL = "</measure></part></score-partwise>"

    @staticmethod
    def note(step, octave, duration, more=""):
        return (f"<note><pitch><step>{step}</step><octave>{octave}</octave></pitch>"
                f"<duration>{duration}</duration>{more}</note>")

    @staticmethod
    def figures(*numbers):
        return ("<figured-bass>" + "".join(f"<figure><figure-number>{n}</figure-number></figure>"
                                           for n in numbers) + "<duration>1</duration>"
                + "</figured-bass>")

    def test_a_bass_is_read_from_a_file_with_its_figures(self):
        # OMT, Introduction to thoroughbass: 6/4 and 5/3 over one note of the fifth degree
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder, "bass.musicxml")
            path.write_text(self.HEAD.format("Continuo", 0) + self.note("C", 3, 1)
                            + self.figures(6) + self.note("F", 3, 1)
                            + self.figures(6, 4) + self.figures(7) + self.note("G", 3, 2)
                            + "</measure><measure number='2'>" + self.note("C", 3, 4) + self.TAIL)
            done = qf("harmonise", "--from", path, "--bass", "--as", "json")
            self.assertEqual(done.returncode, 0, done.stderr)
            told = json.loads(done.stdout)
            self.assertEqual(told["key"], "C major")
            self.assertEqual([chord["numeral"] for chord in told["harmonies"][0]["chords"]],
                             ["I", "ii6", "Cad64", "V7", "I"])
            # The bass is written as it was read: one note over both chords
            out = pathlib.Path(folder, "out.json")
            self.assertEqual(qf("harmonise", "--from", path, "--bass", "-o", out).returncode, 0)
            bass = json.loads(out.read_text())["voices"][3]["notes"]
            self.assertEqual([(n["pitch"], n["duration"]) for n in bass],
                             [("C3", "1/4"), ("F3", "1/4"), ("G3", "1/2"), ("C3", "1")])

    def test_fermatas_end_phrases(self):
        # A phrase ends with a cadence (common practice): D over V where the fermata stands
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder, "tune.musicxml")
            fermata = "<notations><fermata/></notations>"
            path.write_text(self.HEAD.format("Tune", 0) + self.note("E", 5, 1)
                            + self.note("F", 5, 1) + self.note("E", 5, 1)
                            + self.note("D", 5, 1, fermata) + "</measure><measure number='2'>"
                            + self.note("E", 5, 1) + self.note("D", 5, 1)
                            + self.note("C", 5, 2) + self.TAIL)
            done = qf("harmonise", "--from", path, "--voice", "tune", "--as", "json")
            self.assertEqual(done.returncode, 0, done.stderr)
            chords = json.loads(done.stdout)["harmonies"][0]["chords"]
            self.assertEqual(chords[3]["numeral"], "V")
            out = pathlib.Path(folder, "out.musicxml")
            self.assertEqual(qf("harmonise", "--from", path, "-o", out).returncode, 0)
            self.assertIn("<fermata", out.read_text())
            done = qf("harmonise", "--from", path, "--voice", "viola")
            self.assertEqual(done.returncode, 2)
            self.assertIn(b"no voice", done.stderr)

    def test_chords_can_be_set_to_beats(self):
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder, "tune.musicxml")
            text = self.HEAD.format("Tune", 0).replace("<divisions>1", "<divisions>2")
            path.write_text(text + self.note("E", 5, 1) + self.note("D", 5, 1)
                            + self.note("C", 5, 2) + self.note("B", 4, 2) + self.note("C", 5, 2)
                            + self.TAIL)
            for each, n in (("note", 5), ("beat", 4)):
                done = qf("harmonise", "--from", path, "--each", each, "--key", "C", "--as", "json")
                self.assertEqual(done.returncode, 0, done.stderr)
                told = json.loads(done.stdout)
                self.assertEqual(len(told["harmonies"][0]["chords"]), n)
            midi = pathlib.Path(folder, "tune.mid")
            self.assertEqual(qf("convert", path, midi).returncode, 0)
            done = qf("harmonise", "--from", midi, "--key", "C", "--as", "json")
            self.assertEqual(done.returncode, 0, done.stderr)

    def test_a_pickup_and_misplaced_bar_lines(self):
        told = json.loads(qf("harmonise", "G4 | C5 D5 E5 D5 | C5(3)", "--key", "C", "--as",
                             "json").stdout)
        self.assertEqual(told["pickup"], "1/4")
        done = qf("harmonise", "C5 D5 E5 D5 | C5 B4 | C5(4)", "--key", "C")
        self.assertEqual(done.returncode, 2)
        self.assertIn(b"bar line 2", done.stderr)

    def test_mistakes_are_told(self):
        for arguments, words in ((("F#4",), b"--key KEY"),
                                 (("--from", "/nowhere.xml"), b"nowhere"),
                                 (("C4", "--key", "C", "--each", "bar"), b"note or beat"),
                                 (("F#4", "--key", "C", "--use", "diatonic"), b"note 1 (F#4)"),
                                 (("H4", "--key", "C"), b"NOTES"),
                                 (("C4(0)", "--key", "C"), b"length in beats"),
                                 (("", "--key", "C"), b"notes"),
                                 (("C4", "--key", "C", "--use", "wild"), b"chromatic")):
            with self.subTest(arguments):
                done = qf("harmonise", *arguments)
                self.assertEqual(done.returncode, 2)
                self.assertIn(words, done.stderr)


class Explore(unittest.TestCase):
    def explore(self, *arguments):
        done = qf("explore", *arguments, "--as", "json")
        self.assertEqual(done.returncode, 0, done.stderr)
        return json.loads(done.stdout)

    def test_a_dominant_seventh_goes_to_its_tonic(self):
        # common practice
        first = self.explore("E: I V7")["continuations"][0]
        self.assertEqual((first["numeral"], first["key"], first["motion"], first["resolution"]),
                         ("I", "E major", "falling fifth", "kept"))
        self.assertTrue(first["falling_fifth"])
        self.assertEqual(first["errors"], 0)

    def test_it_goes_on_from_any_chord(self):
        # common practice: the applied dominant of ii in A major is a seventh on F sharp.
        found = self.explore("A: vi V7/ii ii V7 I", "--after", "2")
        self.assertEqual(found["from"], "V7/ii")
        self.assertEqual(found["pitches"][3][:-1], "F#")
        present = [way["numeral"] for way in found["continuations"] if way["is_present"]]
        self.assertEqual(present, ["ii"])

    def test_the_list_can_be_cut(self):
        done = qf("explore", "C: I", "--most", "3")
        lines = done.stdout.decode().splitlines()
        self.assertIn("in C major", lines[0])
        self.assertEqual(len([line for line in lines[1:] if "%" in line]), 3)

    def test_mistakes_are_told(self):
        for arguments, words in ((("I",), b"key"), (("C: I", "--after", "2"), b"chord 2"),
                                 (("C: Q",), b"CHAIN"), (("C: I", "--as", "xml"), b"text or json"),
                                 ((), b"one CHAIN")):
            with self.subTest(arguments):
                done = qf("explore", *arguments)
                self.assertEqual(done.returncode, 2)
                self.assertIn(words, done.stderr)


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

    def test_a_long_title_is_cut_at_whole_characters(self):
        lesson = json.loads(DEMO.read_text())
        for title in ("\u00E9" * 401, "x" + "\u00E9" * 401, "\U0001D11E" * 300, "y" * 900):
            lesson["title"] = title
            (self.out / "long.json").write_text(json.dumps(lesson))
            done = qf("sheet", self.out / "long.json", "-o", self.out / "long.svg")
            self.assertEqual(done.returncode, 0, done.stderr)
            self.assertNotIn(b"UTF-8", done.stderr)

    def test_student_sheet_hides_the_functions(self):
        texts = []
        for kind in ("answers", "student"):
            path = self.out / f"{kind}.pdf"
            self.assertEqual(qf("sheet", DEMO, "--kind", kind, "-o", path).returncode, 0)
            texts.append(subprocess.run(["pdftotext", str(path), "-"], capture_output=True,
                                        check=True).stdout.decode())
        answers, student = ([line.strip() for line in text.splitlines()] for text in texts)
        self.assertIn("V", texts[0].replace(" ", ""))
        self.assertFalse([line for line in student if re.fullmatch(r"[iIvV]+", line)])
        # A worksheet has a place for each thing the lesson asks for
        for word in ("Name", "Date", "Quality", "Function"):
            self.assertIn(word, student)
            self.assertNotIn(word, answers)

    def test_student_sheet_asks_for_the_lessons_layers(self):
        lesson = json.loads(DEMO.read_bytes())
        lesson["study"] = {**lesson.get("study", {}), "layers": ["bass", "soprano"],
                           "shows_rhythm": False}
        path = self.out / "outer.json"
        path.write_text(json.dumps(lesson))
        page = self.out / "outer.pdf"
        done = qf("sheet", path, "--kind", "student", "-o", page)
        self.assertEqual(done.returncode, 0, done.stderr)
        text = subprocess.run(["pdftotext", str(page), "-"], capture_output=True,
                              check=True).stdout.decode()
        self.assertIn("Name", text)
        for word in ("Quality", "Function", "Soprano"):
            self.assertNotIn(word, text)

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


    def record(self, *arguments):
        done = qf("sound", *arguments)
        if done.returncode == 3:
            self.skipTest(done.stderr.decode())
        self.assertEqual(done.returncode, 0, done.stderr)

    @staticmethod
    def seconds(path):
        with wave.open(str(path)) as sound:
            return sound.getnframes() / sound.getframerate()

    def test_a_plan_is_recorded_hearing_by_hearing_and_whole(self):
        with tempfile.TemporaryDirectory() as name:
            folder = pathlib.Path(name)
            self.record(DEMO, "--plan=quick check", "-o", folder / "all.wav")
            self.record(DEMO, "--plan=quick check", "--format", "wav", "-o", folder / "each")
            self.assertTrue((folder / "all.mid").read_bytes().startswith(b"MThd"))
            lines = (folder / "all.chapters.txt").read_text().splitlines()
            starts = [int(m) * 60 + float(s) for m, s in
                      (line.split(" ")[0].split(":") for line in lines)]
            files = sorted((folder / "each").glob("*.wav"))
            self.assertEqual([f"{i + 1:02} {line.split(' ', 1)[1]}.wav"
                              for i, line in enumerate(lines)], [f.name for f in files])
            # The whole is its hearings one after another: only the last rings out after its end.
            self.assertEqual(starts[0], 0.0)
            self.assertEqual(len(starts), 3)
            for i in (0, 1):  # A file may fade for a moment more
                more = self.seconds(files[i]) - (starts[i + 1] - starts[i])
                self.assertGreaterEqual(more, -0.001)
                self.assertLess(more, 0.05)
            self.assertAlmostEqual(self.seconds(folder / "all.wav"),
                                   starts[2] + self.seconds(files[2]), delta=0.01)

    def test_a_folder_of_lessons_is_recorded_at_once(self):
        with tempfile.TemporaryDirectory() as name:
            folder = pathlib.Path(name)
            self.record(ROOT / "resources/lessons", "--plan=quick check", "--format", "ogg",
                        "--whole", "--jobs", "2", "-o", folder)
            stems = sorted(f.stem for f in (ROOT / "resources/lessons").glob("*.json"))
            self.assertEqual(sorted(f.stem for f in folder.glob("*.ogg")), stems)
            self.assertEqual(sorted(f.stem for f in folder.glob("*.mid")), stems)

    def test_own_plans_are_found_by_name(self):
        with tempfile.TemporaryDirectory() as name:
            shelf = pathlib.Path(name, "quintfall/plans")
            shelf.mkdir(parents=True)
            steps = [{"step": "title", "text": "Only", "audio": "missing.wav"}, {"step": "pass"}]
            (shelf / "x.json").write_text(json.dumps(
                {"format": "quintfall-plan", "version": 1, "name": "Mine", "steps": steps}))
            environment = dict(os.environ, XDG_DATA_HOME=name)
            listed = subprocess.run([QF, "sound", "--list-plans"], env=environment,
                                    capture_output=True, check=True)
            self.assertIn("Mine\n", listed.stdout.decode())
            self.assertIn("Plain dictation\n", listed.stdout.decode())
            done = subprocess.run([QF, "sound", DEMO, "--plan=mine", "--format", "wav", "-o",
                                   pathlib.Path(name, "out")], env=environment,
                                  capture_output=True, check=False)
            if done.returncode == 3:
                self.skipTest(done.stderr.decode())
            self.assertEqual(done.returncode, 0, done.stderr)
            self.assertIn("missing.wav", done.stderr.decode())  # Left out, and said so
            self.assertTrue(pathlib.Path(name, "out/01 Only.wav").exists())


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
        self.expect(2, ["--least-beats"], "label", DEMO, "--least-beats", "-1")
        self.expect(2, ["--cadence-beats"], "label", DEMO, "--cadence-beats", "many")
        self.expect(2, ["nobody's"], "sound", DEMO, "--plan=nobody's", "-o", "x.wav")
        self.expect(2, ["just"], "sound", DEMO, "--tuning", "odd", "-o", "x.wav")
        self.expect(2, ["466"], "sound", DEMO, "--a4", "500", "-o", "x.wav")
        self.expect(2, ["-14"], "sound", DEMO, "--loudness", "-3", "-o", "x.wav")
        self.expect(2, ["folder"], "sound", DEMO, DEMO, "-o", "x.wav")
        self.expect(2, ["0.25"], "sound", DEMO, "--tempo", "nan", "-o", "x.wav")

    def test_options_are_told_by_name(self):
        self.expect(2, ["--bogus is no option of label", "Usage: qf label"], "label", "--bogus")
        self.expect(2, ["-z is no option of check"], "check", DEMO, "-z")
        self.expect(2, ["--key takes a value"], "label", DEMO, "--key")
        self.expect(2, ["-o takes a value"], "label", DEMO, "-o")
        self.expect(2, ["takes no value"], "check", DEMO, "--mends=all")
        self.expect(2, ["short for several"], "make", "--m", "3/4")
        self.expect(2, ["--rows", "solfege"], "sheet", DEMO, "--rows", "keys,chords", "-o", "x.pdf")
        self.expect(2, ["--layers", "viola"], "task", DEMO, "--layers", "bass,viola")
        self.expect(2, ["--layers"], "task", DEMO, "--layers", "")
        self.expect(2, ["--use", "tonic"], "make", "--seed", "1", "--use", "tonic", "-o", "x")
        self.expect(2, ["--key", "H"], "make", "--seed", "1", "--key", "H", "-o", "x")
        self.expect(2, ["--stay"], "make", "--seed", "1", "--stay", "--modulate", "-o", "x")

    def test_whole_numbers_are_whole(self):
        for arguments in (("task", DEMO, "--hearings", "2.5"),
                          ("sound", DEMO, "--repeats", "1.5", "-o", "x.wav"),
                          ("realise", "C: I", "--voices", "3.5", "--as", "json"),
                          ("drill", "--kind", "target", "--seed", "1.5"),
                          ("drill", "--kind", "target", "--seed", "-1"),
                          ("make", "--seed", "99999999999999999999999", "-o", "x"),
                          ("make", "--seed", "1", "--count", "1e99", "-o", "x")):
            with self.subTest(arguments):
                self.expect(2, ["whole number"], *arguments)

    def test_every_subcommand_has_help(self):
        listed = re.findall(r"^  ([a-z]+) ", qf("--help").stdout.decode(), re.M)
        self.assertIn("label", listed)
        for name in listed:
            with self.subTest(name):
                done = qf(name, "--help")
                self.assertEqual(done.returncode, 0)
                self.assertIn(f"Usage: qf {name}", done.stdout.decode())
                self.assertEqual(qf("help", name).stdout, done.stdout)
                # What the synopsis names is an option, and is explained
                usage, _, help_text = done.stdout.decode().partition("\n\n")
                for option in set(re.findall(r"--[a-z0-9-]+", usage)):
                    self.assertIn(option, help_text)
        self.assertEqual(qf("help", "sing").returncode, 2)

    def test_a_broken_plan_is_named(self):
        with tempfile.TemporaryDirectory() as folder:
            plan = pathlib.Path(folder, "mine.json")
            plan.write_text('{"format": "quintfall-plan", "version": 1, "steps": [{}]}')
            self.expect(2, ["mine.json: steps[0].step"], "sound", DEMO, f"--plan={plan}", "-o",
                        pathlib.Path(folder, "x.wav"))

    def test_missing_and_broken_files(self):
        self.expect(2, ["nowhere.musicxml"], "label", "nowhere.musicxml")
        self.expect(2, ["standard input", "empty"], "label", "-", stdin=b"")
        self.expect(2, ["standard input"], "label", "-", stdin=b"\x00\x01\x02")
        self.expect(2, ["standard input"], "label", "-", stdin=b"<score-partwise><part")
        self.expect(2, ["standard input"], "label", "-", stdin=b'{"format": "other"}')
        self.expect(2, ["standard input:20000:", "expected fewer"], "label", "-",
                    stdin=b"m1 C: I\nm20000 V\n")
        self.expect(2, ["standard input:2:", "time signature"], "label", "-",
                    stdin=b"m1 C: I\nm2 b9 V\n")

    def test_a_file_that_cannot_be_read_or_written_is_named_once(self):
        with tempfile.TemporaryDirectory() as folder:
            nowhere = pathlib.Path(folder) / "nowhere"
            for ending, command in ((".wav", "sound"), (".pdf", "sheet"), (".svg", "sheet")):
                out = str(nowhere / ("out" + ending))
                done = qf(command, DEMO, "-o", out)
                self.assertEqual(done.returncode, 2, done.stderr)
                self.assertEqual(done.stderr.decode().count(out), 1, done.stderr)
            for arguments in (("convert", DEMO, nowhere / "out.mid"),
                              ("label", nowhere / "in.musicxml")):
                done = qf(*arguments)
                self.assertEqual(done.returncode, 2, done.stderr)
                self.assertEqual(done.stderr.decode().count(str(arguments[-1])), 1, done.stderr)

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

    def test_files_named_alike_have_results_of_their_own(self):
        with tempfile.TemporaryDirectory() as name:
            folder = pathlib.Path(name)
            items = sorted(TEXTBOOKS.glob("*/score.musicxml"))[:4]
            done = qf("label", *items, "-o", folder)
            self.assertEqual(done.returncode, 0, done.stderr)
            self.assertEqual(len(list(folder.iterdir())), len(items))

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
