#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Tasks and answers that the program writes keep to the published schema.

Judge: python3-jsonschema (Debian), JSON Schema draft 2020-12. Without it: skipped (77).
"""
import base64
import copy
import json
import pathlib
import subprocess
import sys
import tempfile
import zlib

try:
    import jsonschema
except ImportError:
    print("skipped: python3-jsonschema is not installed")
    sys.exit(77)

ROOT = pathlib.Path(sys.argv[1])
WRITER = sys.argv[2]


def load(name):
    return json.loads((ROOT / "resources/schema" / name).read_text())


def renamed(schema, rename):
    """A schema whose references are renamed."""
    if isinstance(schema, dict):
        return {key: rename(value) if key == "$ref" else renamed(value, rename)
                for key, value in schema.items() if key != "$id"}
    return [renamed(item, rename) for item in schema] if isinstance(schema, list) else schema


def make_validator():
    """Both schemas as one document, since older versions of the judge know no other urn."""
    lesson, answer = load("lesson-1.schema.json"), load("answer-1.schema.json")
    jsonschema.Draft202012Validator.check_schema(answer)
    whole = renamed(lesson, lambda ref: ref.replace("#/$defs/", "#/$defs/lesson/$defs/"))
    bundle = renamed(answer, lambda ref: ref.replace(
        lesson["$id"] + "#", "#/$defs/lesson").replace(lesson["$id"], "#/$defs/lesson"))
    bundle["$defs"]["lesson"] = whole
    return jsonschema.Draft202012Validator(bundle)


def broken(answer):
    """Copies of a good answer with one thing wrong; the schema must see each."""
    first = lambda a: a["attempts"][0]  # noqa: E731
    changes = [
        ("format", lambda a: a.update(format="quintfall-lesson")),
        ("no frame", lambda a: a.pop("frame")),
        ("frame", lambda a: a["frame"].pop("bars")),
        ("key", lambda a: a.update(key="H")),
        ("time of day", lambda a: first(a).update(at="noon")),
        ("pitch", lambda a: first(a)["notes"][0].update(pitch="c")),
        ("voice", lambda a: first(a)["notes"][0].update(voice=24)),
        ("contour", lambda a: first(a)["scratch"][0].update(contour="wild")),
        ("degree", lambda a: first(a)["scratch"][0].update(degree=8)),
        ("tempo", lambda a: a["heard"][0].update(tempo_factor=9)),
        ("reply", lambda a: a["replies"][0].update(is_right="yes")),
        ("packed", lambda a: a.update(packed="???")),
    ]
    for label, change in changes:
        copied = copy.deepcopy(answer)
        change(copied)
        yield label, copied


def main():
    validator = make_validator()
    failures = []
    with tempfile.TemporaryDirectory() as folder:
        for lesson in sorted((ROOT / "resources/lessons").glob("*.json")):
            task, full = pathlib.Path(folder, "task.json"), pathlib.Path(folder, "full.json")
            subprocess.run([WRITER, lesson, task, full], check=True)
            for path in (task, full):
                answer = json.loads(path.read_text())
                failures += [f"{lesson.name}, {path.name}: {e.json_path}: {e.message}"
                             for e in validator.iter_errors(answer)]
                # The pack is what the schema says it is, told by python's own zlib and base64.
                packed = json.loads(zlib.decompress(base64.b64decode(answer["packed"])))
                if [len(v["notes"]) for v in packed["voices"]] != \
                        [len(v["notes"]) for v in json.loads(lesson.read_text())["voices"]]:
                    failures.append(f"{lesson.name}: the packed lesson is another one")
            failures += [f"{lesson.name}: {label} passes" for label, copied in broken(answer)
                         if validator.is_valid(copied)]
    print("\n".join(failures) or "tasks and answers of the demo lessons are valid")
    return 1 if failures else 0


sys.exit(main())
