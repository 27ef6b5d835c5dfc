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
sys.path.insert(0, str(ROOT / "tests/support"))
from class_of_answers import Answers  # noqa: E402

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
            self.assertIn("Nothing is written.", text)

    def class_of(self, *arguments):
        answers = Answers(QF, LESSON, self.folder / "class")
        answers.write_class()
        return qf("grade", LESSON, answers.folder, *arguments)

    def test_a_class_is_told_what_to_learn_again(self):
        out = self.class_of("--as", "class")
        self.assertEqual(out.returncode, 2)  # Two files are broken; the others are graded.
        self.assertIn("08 broken.json", out.stderr)
        self.assertIn("09 nothing.json", out.stderr)
        self.assertNotIn("lesson.json", out.stderr)
        # Six names among seven answers; one empty answer and one without notes.
        self.assertTrue(out.stdout.startswith("7 answers of 6 students, "), out.stdout)
        # By hand: two of seven wrote IV for V7/ii, one wrote nothing.
        self.assertRegex(out.stdout, r"57 % right +4 of 7 +applied chords of ii\n")
        concepts = out.stdout.split("What is in them, the weakest first:\n")[1].splitlines()
        shares = [int(line.split()[0]) for line in concepts]
        self.assertEqual(shares, sorted(shares))
        layers = out.stdout.split("What is in them")[0]
        # 19 bass notes each: 7 x 19 less two answers without notes and one wrong note.
        self.assertIn(f"{7 * 19 - 2 * 19 - 1} of {7 * 19}  the bass", layers)

        told = json.loads(self.class_of("--as", "json").stdout)["class"]
        self.assertEqual((told["answers"], told["students"]), (7, 6))
        self.assertIn({"concept": "target/ii", "right": 4, "asked": 7}, told["concepts"])

        rows = {row["file"]: row for row in csv.DictReader(io.StringIO(self.class_of().stdout))}
        self.assertEqual(rows["01 right.json"]["missed_most"], "")
        self.assertIn("0 of 1", rows["03 missed.json"]["missed_most"])
        self.assertEqual(rows["01 right.json"]["student"], "Zoë Brückner")

    def words_of(self, path):
        return subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True,
                              check=True).stdout

    @unittest.skipUnless(shutil.which("pdftotext"), "poppler-utils is not installed")
    def test_comments_have_the_page_and_numbers_that_lead_to_reasons(self):
        answers = Answers(QF, LESSON, self.folder / "two")
        answer = answers.solved("Łukasz Żak")
        next(n for n in answer["attempts"][0]["notes"] if n["voice"] == 3)["pitch"] = "G5"
        answer["attempts"][0]["chords"][3]["numeral"] = "vi"
        path = answers.write("lukasz.json", answer)
        out = self.folder / "pdf"
        self.assertEqual(qf("grade", LESSON, path, "--pdf", out).returncode, 0)
        words = self.words_of(out / "lukasz.pdf")
        self.assertIn("Łukasz Żak", words)
        page, reasons = words.split("What is ringed")
        for number, reason in (("1", "G5 is written"), ("2", "vi is written")):
            line = next(line for line in reasons.splitlines() if reason in line)
            self.assertEqual(line.split()[0], number)
        theirs, passage = page.split("The passage")
        for text in (theirs, passage):  # Over the note, and under the numeral
            lines = [line.split() for line in text.splitlines()]
            self.assertIn(["1"], lines)
            self.assertIn(["2"], lines)

        self.assertEqual(qf("grade", LESSON, path, "--pdf", out, "--no-solution").returncode, 0)
        words = self.words_of(out / "lukasz.pdf")
        self.assertNotIn("The passage", words)
        self.assertNotIn("was asked", words)
        self.assertRegex(words, r"2 +m\d+ b\S+: .*function")

    def test_answers_of_one_name_in_two_folders_keep_their_comments(self):
        paths = [Answers(QF, LESSON, self.folder / name).write("answer.json", self.task)
                 for name in ("monday", "tuesday")]
        qf("grade", LESSON, *paths, "--pdf", self.folder / "pdf")
        self.assertEqual({path.name for path in (self.folder / "pdf").iterdir()},
                         {"answer.pdf", "answer (2).pdf"})

    @unittest.skipUnless(shutil.which("pdfinfo"), "poppler-utils is not installed")
    def test_a_long_answer_takes_several_pages(self):
        bars = ["I IV", "V7 I", "vi ii", "V I"] * 22
        lesson = self.folder / "long.json"
        made = qf("realise", "C: " + " | ".join(bars), "--metre", "4/4", "-o", lesson)
        self.assertEqual(made.returncode, 0, made.stderr)
        answers = Answers(QF, lesson, self.folder / "long")
        path = answers.write("long.json", answers.solved("N" * 127))
        graded = qf("grade", lesson, path, "--pdf", self.folder / "pdf")
        self.assertLess(graded.returncode, 2, graded.stderr)
        info = subprocess.run(["pdfinfo", self.folder / "pdf/long.pdf"], capture_output=True,
                              text=True, check=True).stdout
        self.assertRegex(info, r"Pages: +[5-9]\n")

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
