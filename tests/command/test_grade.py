#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Hand a task out with qf, fill it in as another program would, and have qf grade it."""
import copy
import csv
import io
import json
import pathlib
import shutil
import subprocess
import sys
import tempfile
import unittest

QF = sys.argv[1]
ROOT = pathlib.Path(sys.argv[2])
LESSON = ROOT / "resources/lessons/lantern-walk.json"
NOON = "2026-03-09T12:00:00Z"


def qf(*arguments):
    return subprocess.run([QF, *map(str, arguments)], capture_output=True, text=True, check=False)


def solved(task, lesson):
    """The task with the solution's notes as its first attempt, by nothing but the file formats."""
    answer = copy.deepcopy(task)
    given = {n["id"] for v in answer["frame"]["voices"] for n in v["notes"]}
    notes = [{**note, "id": 10000 + note["id"], "voice": i}
             for i, voice in enumerate(lesson["voices"]) for note in voice["notes"]
             if note["id"] not in given]
    answer["attempts"] = [{"at": NOON, "notes": notes}]
    return answer


class Grade(unittest.TestCase):
    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp())
        self.addCleanup(shutil.rmtree, self.folder)
        self.task = self.make_task("--layers", "bass,soprano")

    def make_task(self, *arguments):
        path = self.folder / "task.txt"
        out = qf("task", LESSON, "-o", path, *arguments)
        self.assertEqual(out.returncode, 0, out.stderr)
        return json.loads(path.read_text())

    def write(self, name, answer):
        path = self.folder / name
        path.write_text(answer if isinstance(answer, str) else json.dumps(answer))
        return path

    def rubric_lesson(self):
        """The lesson asks for what the task asks for."""
        lesson = json.loads(LESSON.read_text())
        lesson["study"] = {"layers": ["bass", "soprano"]}
        return self.write("lesson.txt", lesson)

    def test_a_solved_task_passes(self):
        answer = solved(self.task, json.loads(LESSON.read_text()))
        answer["student"] = {"name": "Ada", "id": "7"}
        path = self.write("ada.json", answer)
        out = qf("grade", self.rubric_lesson(), path, "--as", "json")
        self.assertEqual(out.returncode, 0, out.stderr + out.stdout)
        result = json.loads(out.stdout)["answers"][0]
        self.assertEqual(result["percent"], 100)
        self.assertEqual(result["student"], "Ada")
        self.assertEqual(set(result["layers"]), {"bass", "soprano"})
        self.assertTrue(all(v["verdict"] == "right" for v in result["verdicts"]))

    def test_a_wrong_note_has_its_reason(self):
        answer = solved(self.task, json.loads(LESSON.read_text()))
        bass = [n for n in answer["attempts"][0]["notes"] if n["voice"] == 3]
        bass[3]["pitch"] = "G5"
        out = qf("grade", self.rubric_lesson(), self.write("one.json", answer))
        self.assertEqual(out.returncode, 0)
        reasons = [line for line in out.stdout.splitlines() if line.startswith("    ")]
        self.assertEqual(len(reasons), 1)
        self.assertIn("bass", reasons[0])
        self.assertIn("G5 is written", reasons[0])
        self.assertIn("(\u22121)", reasons[0])

    def test_a_folder_becomes_a_table(self):
        lesson = json.loads(LESSON.read_text())
        answers = self.folder / "answers"
        answers.mkdir()
        good = solved(self.task, lesson)
        good["student"] = {"name": "=2+5,\"x\"", "id": "1"}
        (answers / "good.json").write_text(json.dumps(good))
        (answers / "empty.json").write_text(json.dumps(self.task))
        (answers / "lesson.json").write_text(LESSON.read_text())  # No answer: passed over
        (answers / "note.txt").write_text("hello")
        out = qf("grade", self.rubric_lesson(), answers, "--pdf", self.folder / "comments")
        self.assertEqual(out.returncode, 1, out.stderr)
        rows = list(csv.DictReader(io.StringIO(out.stdout)))
        self.assertEqual([row["file"] for row in rows], ["empty.json", "good.json"])
        self.assertEqual([row["passed"] for row in rows], ["no", "yes"])
        self.assertEqual(rows[0]["remarks"], "No attempt was begun.")
        self.assertEqual(rows[1]["student"], "'=2+5,\"x\"")  # No formula for a table program
        self.assertEqual(rows[1]["numeral"], "")             # Not asked
        self.assertEqual(sorted(p.name for p in (self.folder / "comments").iterdir()),
                         ["empty.pdf", "good.pdf"])
        if shutil.which("pdftotext"):
            text = subprocess.run(["pdftotext", self.folder / "comments/empty.pdf", "-"],
                                  capture_output=True, text=True, check=True).stdout
            self.assertIn("below the pass mark", text)
            self.assertIn("is missing", text)

    def test_the_pass_mark_decides_the_exit(self):
        answer = solved(self.task, json.loads(LESSON.read_text()))
        notes = answer["attempts"][0]["notes"]
        answer["attempts"][0]["notes"] = [n for n in notes if n["voice"] == 3]
        path = self.write("bass.json", answer)
        lesson = self.rubric_lesson()
        self.assertEqual(qf("grade", lesson, path, "--pass", 10).returncode, 0)
        self.assertEqual(qf("grade", lesson, path, "--pass", 90).returncode, 1)

    def test_rubrics_by_name_and_file(self):
        path = self.write("ada.json", solved(self.task, json.loads(LESSON.read_text())))
        lesson = self.rubric_lesson()
        rubric = self.write("rubric.txt", {
            "format": "quintfall-rubric", "version": 1, "out_of": 15, "rounding": "half-up",
            "layers": {"bass": {"worth": 3, "losses": {"pitch": 1}}, "soprano": {"worth": 0}}})
        out = qf("grade", lesson, path, "--rubric", rubric, "--as", "json")
        result = json.loads(out.stdout)["answers"][0]
        self.assertEqual((result["points"], result["possible"]), (15, 15))
        self.assertEqual(set(result["layers"]), {"bass"})
        named = qf("grade", lesson, path, "--rubric", "Outer voices and symbols, 24 points")
        self.assertEqual(named.returncode, 0, named.stderr)

    def test_attempts_are_chosen(self):
        answer = solved(self.task, json.loads(LESSON.read_text()))
        answer["attempts"].append({"at": NOON})
        path = self.write("two.json", answer)
        lesson = self.rubric_lesson()
        self.assertEqual(qf("grade", lesson, path).returncode, 1)
        self.assertEqual(qf("grade", lesson, path, "--attempt", 1).returncode, 0)
        self.assertEqual(qf("grade", lesson, path, "--attempt", 3).returncode, 2)

    def test_mistakes_are_told(self):
        good = self.write("ada.json", solved(self.task, json.loads(LESSON.read_text())))
        broken = self.write("broken.json", "{\"format\": \"quintfall-answer\", ")
        lesson = self.rubric_lesson()
        for arguments, words in [
                ((lesson, broken), "JSON"),
                ((lesson, self.folder / "none.json"), "No such file"),
                ((lesson, LESSON), "quintfall-answer"),
                ((good, good), "quintfall-lesson"),
                ((lesson, good, "--as", "html"), "--as"),
                ((lesson, good, "--pass", "101"), "--pass"),
                ((lesson, good, "--rubric", "Unheard of"), "Unheard of"),
                ((lesson,), "at least one ANSWER"),
                ((lesson, self.folder / "nowhere/"), "No such file")]:
            with self.subTest(words=words, arguments=arguments[1:]):
                out = qf("grade", *arguments)
                self.assertEqual(out.returncode, 2, out.stderr)
                self.assertIn(words, out.stderr)
        # One that is broken does not keep the others from their result.
        out = qf("grade", lesson, broken, good, "--as", "csv")
        self.assertEqual(out.returncode, 2)
        self.assertEqual(len(list(csv.DictReader(io.StringIO(out.stdout)))), 1)

    def test_questions_are_listed_and_kept(self):
        out = qf("questions", LESSON)
        self.assertEqual(out.returncode, 0, out.stderr)
        self.assertIn("the frame", out.stdout)
        self.assertIn("answer: perfect authentic cadence", out.stdout)
        listed = json.loads(qf("questions", LESSON, "--as", "json").stdout)["questions"]
        self.assertEqual(out.stdout.count("answer: "), sum(len(q["answers"]) for q in listed))

        # A question the teacher edited is kept when they are made again.
        path = self.folder / "led.json"
        self.assertEqual(qf("questions", LESSON, "--keep", "-o", path).returncode, 0)
        lesson = json.loads(path.read_text())
        self.assertEqual([q["id"] for q in lesson["questions"]], [q["id"] for q in listed])
        lesson["questions"][1].update(prompt="Where are we?", is_edited=True)
        lesson["questions"][2]["is_dropped"] = True
        path.write_text(json.dumps(lesson))
        again = qf("questions", path)
        self.assertIn("Where are we?", again.stdout)
        self.assertNotIn(listed[2]["prompt"] + "\n", again.stdout)
        self.assertEqual(qf("questions").returncode, 2)
        self.assertEqual(qf("questions", LESSON, "--as", "csv").returncode, 2)

    def test_tasks_carry_their_limits(self):
        task = self.make_task("--hearings", 3, "--attempts", 2, "--layers", "numeral")
        self.assertEqual(task["study"]["max_hearings"], 3)
        self.assertEqual(task["study"]["max_attempts"], 2)
        self.assertEqual(task["study"]["layers"], ["numeral"])
        self.assertEqual(task["attempts"], [])
        self.assertEqual(qf("task", LESSON, "--layers", "treble").returncode, 2)
        self.assertEqual(qf("task").returncode, 2)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
