#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Add up what the test programs counted; the last line is "N passed, N failed".

A program that prints no count of its own counts as one test. A program that
ends badly without naming a failed test counts as one failure.
"""
import json
import re
import sys

PASSED = re.compile(r"^\[  PASSED  \] (\d+) test\(s\)", re.M)
FAILED = re.compile(r"^\[  FAILED  \] \S.*?: (\d+) test\(s\), listed below", re.M)
SKIPPED = re.compile(r"^\[  SKIPPED \] \S.*?: (\d+) test\(s\), listed below", re.M)
PLAIN = re.compile(r"^(\d+) passed, (\d+) failed(?:, (\d+) skipped)?$", re.M)


def total(pattern, text):
    return sum(int(n) for n in pattern.findall(text))


def count(test):
    """Passed, failed and skipped of one program."""
    text = test.get("stdout", "") + "\n" + test.get("stderr", "")
    passed, failed, skipped = total(PASSED, text), total(FAILED, text), total(SKIPPED, text)
    for plain in PLAIN.findall(text):
        passed += int(plain[0])
        failed += int(plain[1])
        skipped += int(plain[2] or 0)

    result = test["result"]
    if result == "SKIP":
        return passed, failed, skipped or 1
    if result not in ("OK", "EXPECTEDFAIL"):
        return passed, failed or 1, skipped
    if not passed + failed + skipped:
        return 1, 0, 0
    return passed, failed, skipped


def main():
    passed = failed = skipped = 0
    with open(sys.argv[1], encoding="utf-8") as log:
        for line in log:
            test = json.loads(line)
            one = count(test)
            passed, failed, skipped = passed + one[0], failed + one[1], skipped + one[2]
            if one[2]:
                print(f"skipped: {test['name']}: {one[2]}")

    print(f"{passed} passed, {failed} failed" + (f", {skipped} skipped" if skipped else ""))
    return 1 if failed or not passed else 0


if __name__ == "__main__":
    sys.exit(main())
