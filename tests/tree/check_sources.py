#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Rules of the tree that a reader would otherwise have to police.

Licence lines, line lengths, no absolute machine paths, no download addresses in
package files, no mutable state at file scope in the core.
"""
import pathlib
import re
import subprocess
import sys

CODE = {".c", ".h", ".py", ".sh", ".mjs", ".css"}
MACHINE = re.compile(r"(?:^|[\s\"'=(])/(?:work|root|home|tmp/b)[/\s\"']")
ADDRESS = re.compile(r'"resolved"\s*:')
MUTABLE = re.compile(r"^static (?!const\b|inline\b|_Atomic\b)[^()=;]*\b\w+(\[[^]]*\])*\s*(=|;)")


def files(root):
    listed = subprocess.run(["git", "-C", root, "ls-files", "-co", "--exclude-standard"],
                            capture_output=True, text=True, check=False)
    names = listed.stdout.split("\n") if listed.returncode == 0 else [
        str(path.relative_to(root)) for path in pathlib.Path(root).rglob("*")]
    for name in names:
        path = pathlib.Path(root, name)
        if name and path.is_file() and not name.startswith("build"):
            yield name, path


def core(name):
    return name.startswith("src/") and not name.startswith(("src/app/", "src/command/"))


def complaints_of(name, path):
    text = path.read_text(encoding="utf-8", errors="replace")
    code = path.suffix in CODE
    if code and "SPDX-License-Identifier: MIT" not in text[:400]:
        yield f"{name}: no SPDX line at its top"
    if path.name.startswith("package") and ADDRESS.search(text):
        yield f"{name}: names a download address"
    for number, line in enumerate(text.split("\n"), 1):
        if path.suffix in {".c", ".h"} and len(line) > 100:
            yield f"{name}:{number}: longer than 100 characters"
        if code and MACHINE.search(line) and "check_sources" not in name:
            yield f"{name}:{number}: names a place on one machine"
        if path.suffix == ".c" and core(name) and MUTABLE.match(line):
            yield f"{name}:{number}: mutable state at file scope"


def main():
    root = sys.argv[1]
    checked = 0
    failures = []
    for name, path in files(root):
        if path.suffix in CODE or path.name.startswith("package"):
            checked += 1
            failures += complaints_of(name, path)

    print("\n".join(failures))
    print(f"{checked - min(checked, len(failures))} passed, {len(failures)} failed")
    return 1 if failures or not checked else 0


if __name__ == "__main__":
    sys.exit(main())
