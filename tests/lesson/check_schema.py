#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Demo lessons and what the program writes keep to the published schema.

Judge: python3-jsonschema (Debian), JSON Schema draft 2020-12. Without it: skipped (77).
"""
import copy
import json
import pathlib
import subprocess
import sys
import tempfile

try:
    import jsonschema
except ImportError:
    print("skipped: python3-jsonschema is not installed")
    sys.exit(77)

ROOT = pathlib.Path(sys.argv[1])
WRITER = sys.argv[2]
SCHEMA = json.loads((ROOT / "resources/schema/lesson-1.schema.json").read_text())


def faults(validator, lesson):
    return [f"{error.json_path}: {error.message}" for error in validator.iter_errors(lesson)]


def broken(lesson):
    """Copies of a good lesson with one thing wrong; the schema must see each."""
    changes = [
        ("format", lambda l: l.update(format="other")),
        ("version", lambda l: l.update(version=2)),
        ("no bars", lambda l: l.pop("bars")),
        ("tempo", lambda l: l.update(tempo=5)),
        ("key", lambda l: l.update(key="H major")),
        ("pitch", lambda l: l["voices"][0]["notes"][0].update(pitch="c4")),
        ("time", lambda l: l["voices"][0]["notes"][0].update(start="-1/4")),
        ("number as time", lambda l: l["voices"][0]["notes"][0].update(duration=0.25)),
        ("note without id", lambda l: l["voices"][0]["notes"][0].pop("id")),
        ("level", lambda l: l["hearing"].update(level_db=3)),
        ("fermata", lambda l: l.update(fermatas=[0.5])),
        ("clef", lambda l: l["staves"][0].update(clef="drum")),
        ("plan step", lambda l: l.update(plan={"steps": [{"step": 7}]})),
        ("plan pass", lambda l: l.update(plan={"steps": [{"step": "pass", "repeats": 0}]})),
        ("plan length", lambda l: l.update(
            plan={"steps": [{"step": "silence", "length": {"beats": 1, "seconds": 1}}]})),
        ("plan voice", lambda l: l.update(
            plan={"steps": [{"step": "sung-gap", "voice": "baritone"}]})),
        ("task layer", lambda l: l.update(study={"layers": ["treble"]})),
        ("rubric share", lambda l: l.update(
            rubric={"layers": {"bass": {"losses": {"pitch": 2}}}})),
        ("rubric equality", lambda l: l.update(rubric={"equal": ["everything"]})),
        ("question", lambda l: l.update(questions=[{"id": "a", "prompt": "b"}])),
        ("metre", lambda l: l["bars"][0].update(metre="4/5")),
    ]
    for label, change in changes:
        copied = copy.deepcopy(lesson)
        change(copied)
        yield label, copied


def main():
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    validator = jsonschema.Draft202012Validator(SCHEMA)
    failures = []
    with tempfile.TemporaryDirectory() as folder:
        samples = [pathlib.Path(folder) / name for name in ("full.json", "empty.json")]
        subprocess.run([WRITER, *map(str, samples)], check=True)
        demos = sorted((ROOT / "resources/lessons").glob("*.json"))
        if len(demos) < 4:
            failures.append(f"only {len(demos)} demo lessons")
        for path in [*demos, *samples]:
            lesson = json.loads(path.read_text())
            failures += [f"{path.name}: {fault}" for fault in faults(validator, lesson)]
            if path.name == "empty.json":
                continue
            failures += [f"{path.name}: {label} passes" for label, copied in broken(lesson)
                         if not faults(validator, copied)]
    print("\n".join(failures) or f"{len(demos)} demo lessons and {len(samples)} samples are valid")
    return 1 if failures else 0


sys.exit(main())
