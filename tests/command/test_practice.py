#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""qf drill and qf practice: made, recorded, told, exported and forgotten."""
import csv
import io
import json
import os
import pathlib
import subprocess
import sys
import tempfile

QF = sys.argv[1]
KINDS = ("quality", "function", "target", "circle", "resolution", "inversion")


def run(*args, expect=0, **env):
    done = subprocess.run([QF, *args], capture_output=True, text=True, check=False,
                          env={**os.environ, **env})
    assert done.returncode == expect, (args, done.returncode, done.stdout, done.stderr)
    return done.stdout if expect == 0 else done.stderr


def test_drills_are_told_and_repeat(folder):
    for kind in KINDS:
        args = ("drill", "--kind", kind, "--seed", "12", "--level", "3", "--as", "json")
        drill = json.loads(run(*args))
        assert drill == json.loads(run(*args))
        assert drill["question"] and drill["explanation"]
        assert drill["concepts"][0] == f"drill/{kind}"
        assert len(drill["voices"]) == 4 and all(drill["voices"])
        if "choices" in drill:
            assert drill["answer"] in drill["choices"]
        text = run("drill", "--kind", kind, "--seed", "12", "--level", "3")
        assert drill["question"] in text and drill["explanation"] in text
    on = json.loads(run("drill", "--on", "target/vi", "--seed", "2", "--as", "json"))
    assert "target/vi" in on["concepts"]
    assert "layer/bass" in run("drill", "--on", "layer/bass", "--seed", "2", expect=2)
    assert "--on" in run("drill", "--kind", "target", "--on", "target/vi", "--seed", "2", expect=2)
    assert "polka" in run("drill", "--kind", "polka", "--seed", "1", expect=2)
    assert "--kind" in run("drill", "--seed", "1", expect=2)


def test_foreign_files_are_left_alone(folder):
    foreign = folder / "essay.txt"
    foreign.write_text("not a record of practice, but somebody's own text")
    assert "no practice record" in run("practice", "--record", str(foreign), expect=2)
    assert [path.name for path in folder.iterdir()] == ["essay.txt"]
    assert foreign.read_text().startswith("not a record")
    record = str(folder / "record.db")
    assert "at a time" in run("practice", "--record", record, "--due", "--delete", expect=2)


def test_record_is_kept_told_exported_and_forgotten(folder):
    record = str(folder / "a" / "b" / "record.db")
    run("practice", "--record", record, "--add", "target/V=3/4", "--add", "inversion/1=0/2")
    listed = run("practice", "--record", record)
    assert "target/V" in listed and "3 of     4 right" in listed and "first inversion" in listed
    assert "75 % of     4" in run("practice", "--record", record, "--chart=target/V")
    assert "SM-2" in run("practice", "--record", record, "--due")

    run("practice", "--record", record, "--export", str(folder / "out.csv"))
    rows = list(csv.DictReader(io.StringIO((folder / "out.csv").read_text())))
    assert [(row["concept"], row["right"], row["asked"]) for row in rows] == [
        ("target/V", "3", "4"), ("inversion/1", "0", "2")]
    run("practice", "--record", record, "--export", str(folder / "out.json"))
    assert len(json.loads((folder / "out.json").read_text())["attempts"]) == 2

    run("practice", "--record", record, "--delete")
    assert run("practice", "--record", record) == "Nothing is recorded yet.\n"


def test_record_lies_in_the_data_folder(folder):
    run("practice", "--add", "layer/bass=1/1", XDG_DATA_HOME=str(folder))
    assert (folder / "quintfall" / "practice.db").exists()
    assert "the bass" in run("practice", XDG_DATA_HOME=str(folder))


def test_faults_are_told(folder):
    record = str(folder / "record.db")
    assert "CONCEPT=RIGHT/ASKED" in run("practice", "--record", record, "--add", "V", expect=2)
    assert "cannot be" in run("practice", "--record", record, "--add", "target/V=5/4", expect=2)
    assert ".csv" in run("practice", "--record", record, "--export", "x.txt", expect=2)
    # SQLite database file format, 1.3.1: the header string; what follows is damaged
    damaged = b"SQLite format 3\0" + b"a record that must not get lost" * 100
    pathlib.Path(record).write_bytes(damaged)
    assert run("practice", "--record", record) == "Nothing is recorded yet.\n"
    assert pathlib.Path(record + ".damaged").read_bytes() == damaged


def main():
    tests = [value for name, value in sorted(globals().items()) if name.startswith("test_")]
    failed = 0
    for test in tests:
        with tempfile.TemporaryDirectory() as folder:
            try:
                test(pathlib.Path(folder))
            except AssertionError as error:
                failed += 1
                print(f"FAILED {test.__name__}: {error}")
    print(f"{len(tests) - failed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
