#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Count which degree follows which in RomanText analyses; writes degree_counts.inc.

Usage: count_degrees.py FOLDER... > degree_counts.inc

Each row is scaled to parts of a hundred, and no pair that occurs counts less than 1. Applied
chords, and pairs over a change of key, are left out; a cadential six-four counts as dominant.
"""
import pathlib
import re
import sys

DEGREES = {"i": 1, "ii": 2, "iii": 3, "iv": 4, "v": 5, "vi": 6, "vii": 7}
TOKEN = re.compile(r"^([b#]*)(vii|vi|iv|v|iii|ii|i)(?![iv])", re.I)
KEY = re.compile(r"^([A-Ga-g][b#-]*):$")
MEASURE = re.compile(r"^m\d+[a-z]?\s")


def degree_of(token):
    """1-7, or None for what is no plain numeral."""
    if token.startswith(("Cad", "I64", "i64", "I6/4", "i6/4")):
        return 5
    found = TOKEN.match(token)
    if not found or found.group(1) or re.search(r"/[ivIV#b]", token):
        return None
    return DEGREES[found.group(2).lower()]


def count_file(path, counts):
    minor, last = None, None
    for line in path.read_text(encoding="utf-8").splitlines():
        if not MEASURE.match(line):
            continue
        for token in line.split()[1:]:
            key = KEY.match(token)
            if key:
                minor, last = key.group(1)[0].islower(), None
            elif re.match(r"^b\d", token) or token.strip("|:") == "":
                continue
            else:
                degree = degree_of(token)
                if degree and last and degree != last and minor is not None:
                    counts[minor][last - 1][degree - 1] += 1
                last = degree


def main():
    counts = [[[0] * 7 for _ in range(7)] for _ in range(2)]
    n_files = 0
    for folder in sys.argv[1:]:
        for path in sorted(pathlib.Path(folder).rglob("*.rntxt")):
            count_file(path, counts)
            n_files += 1

    total = sum(map(sum, counts[0])) + sum(map(sum, counts[1]))
    print("// SPDX-License-Identifier: CC-BY-SA-4.0")
    print("// Made by src/exercise/count_degrees.py from the analyses in tests/data:")
    print(f"// {n_files} files, {total} pairs of degrees. Rows from, columns to; parts of a hundred.")
    print("// Source: When in Rome corpus, CC BY-SA 4.0, Gotham et al., TISMIR 6(1), 2023.")
    print("static const unsigned char degree_counts[2][7][7] = {")
    for mode in counts:
        print("  {")
        for row in mode:
            scale = max(sum(row), 1)
            cells = [max(1, round(100 * n / scale)) if n else 0 for n in row]
            print("    {" + ", ".join(map(str, cells)) + "},")
        print("  },")
    print("};")


if __name__ == "__main__":
    main()
