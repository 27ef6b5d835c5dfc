#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Examples that textbooks print as good writing, checked by `qf check`.

Source: tests/data/textbooks (Reger, Rimsky-Korsakov, Tchaikovsky; see the README there).
"""
import json
import pathlib
import subprocess
import sys
import unittest

QF = sys.argv.pop(1)
FOLDER = pathlib.Path(__file__).parent.parent / "data" / "textbooks"

# rimsky-17d: the file has the soprano of m2 b1 an octave too low, C4 between B4 and A4: a slip of
# its engraver that makes the soprano leap and cross the alto.
# reger-99: the chord of m1 b2 comes from A sharp minor with its third doubled, and only turns out to
# be the dominant of E major; Reger minds no leading tone before that.
KNOWN = {"rimsky-17d": {("crossing", "2"), ("leading_tone_resolution", "2")},
         "reger-99a": {("leading_tone_doubled", "1")},
         "reger-99b": {("leading_tone_doubled", "1")}}


class Textbooks(unittest.TestCase):
    def errors(self, name, profile):
        done = subprocess.run([QF, "check", FOLDER / name / "score.musicxml", "--profile", profile,
                               "--as", "json"], capture_output=True, check=False)
        self.assertIn(done.returncode, (0, 1), done.stderr)
        return {(finding["rule"], finding["measure"]) for finding in json.loads(done.stdout)
                ["findings"] if finding["severity"] == "error"}

    def test_common_finds_no_error_but_those_known(self):
        names = sorted(path.parent.name for path in FOLDER.glob("*/score.musicxml"))
        self.assertEqual(len(names), 12)
        for name in names:
            with self.subTest(name):
                self.assertEqual(self.errors(name, "common"), KNOWN.get(name, set()))

    def test_free_finds_no_more(self):
        for name in sorted(path.parent.name for path in FOLDER.glob("*/score.musicxml")):
            with self.subTest(name):
                self.assertLessEqual(self.errors(name, "free"), KNOWN.get(name, set()))


if __name__ == "__main__":
    unittest.main()
