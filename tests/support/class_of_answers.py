# SPDX-License-Identifier: MIT
"""A class's answers to a lesson, made of nothing but the file formats.

Everybody starts from the lesson's own notes and numerals; what is changed is said beside it.
"""
import copy
import json
import pathlib
import subprocess

NOON = "2026-03-09T12:00:00Z"
LAYERS = "bass,soprano,inner,quality,numeral"


def run(*arguments):
    return subprocess.run(list(map(str, arguments)), capture_output=True, text=True, check=True)


class Answers:
    def __init__(self, qf, lesson, folder):
        self.folder = pathlib.Path(folder)
        self.folder.mkdir(exist_ok=True)
        task = self.folder / "task.txt"
        run(qf, "task", lesson, "--layers", LAYERS, "-o", task)
        self.task = json.loads(task.read_text())
        task.unlink()
        self.lesson = json.loads(pathlib.Path(lesson).read_text())
        self.links = json.loads(run(qf, "label", lesson, "--as", "json").stdout)["links"]

    def solved(self, name, ident=""):
        answer = copy.deepcopy(self.task)
        given = {note["id"] for voice in answer["frame"]["voices"] for note in voice["notes"]}
        notes = [{**note, "id": 10000 + note["id"], "voice": index}
                 for index, voice in enumerate(self.lesson["voices"]) for note in voice["notes"]
                 if note["id"] not in given]
        chords = [{"start": link["start"], "numeral": link["numeral"], "key": link["key"],
                   "quality": link["quality"]} for link in self.links]
        answer["attempts"] = [{"at": NOON, "notes": notes, "chords": chords}]
        answer["student"] = {"name": name, "id": ident}
        return answer

    def write(self, name, answer):
        path = self.folder / name
        path.write_text(answer if isinstance(answer, str) else json.dumps(answer))
        return path

    def write_class(self):
        """Seven answers that can be graded and two that cannot."""
        self.write("01 right.json", self.solved("Zoë Brückner", "1"))

        wrong = self.solved("Ägidius Öztürk", "2")
        next(n for n in wrong["attempts"][0]["notes"] if n["voice"] == 3)["pitch"] = "G5"
        self.write("02 wrong note.json", wrong)

        # The applied seventh of the second degree is missed by two.
        for number, name in (("03", "Jürgen Weiß"), ("04", "Maja Lindström")):
            missed = self.solved(name, number)
            for chord in missed["attempts"][0]["chords"]:
                if chord["numeral"] == "V7/ii":
                    chord["numeral"] = "IV"
            self.write(f"{number} missed.json", missed)

        self.write("05 again.json", self.solved("Maja Lindström", "04"))
        self.write("06 empty.json", {**self.task, "student": {"name": "Niemand", "id": "6"}})
        only = self.solved("Nora Ziffer", "7")
        only["attempts"][0]["notes"] = []
        self.write("07 numerals.json", only)

        text = json.dumps(self.solved("Half Sent", "8"))
        self.write("08 broken.json", text[:len(text) // 2])
        self.write("09 nothing.json", "")
        self.write("lesson.json", json.dumps(self.lesson))  # No answer: passed over
        self.write("notes.txt", "hello")
