#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Every public header compiles alone, warnings on, so that none leans on its neighbours."""
import pathlib
import subprocess
import sys


def main():
    root, compiler, *flags = sys.argv[1:]
    headers = sorted(pathlib.Path(root, "include/quintfall").glob("*.h"))
    failed = 0
    for header in headers:
        call = [compiler, "-std=gnu17", "-Wall", "-Wextra", "-Werror", "-Wstrict-prototypes",
                "-fsyntax-only", "-x", "c", f"-I{root}/include", *flags, str(header)]
        if subprocess.run(call, check=False).returncode:
            failed += 1

    print(f"{len(headers) - failed} passed, {failed} failed")
    return 1 if failed or not headers else 0


if __name__ == "__main__":
    sys.exit(main())
