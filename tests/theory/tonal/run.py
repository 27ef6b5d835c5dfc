#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Compare the theory layer with the npm library tonal, at the version package.json pins.

    run.py SOURCE BUILD DUMP

The library is installed below BUILD. Without node, npm or a reachable registry the
test is skipped (exit status 77) and says so.
"""
import json
import pathlib
import shutil
import subprocess
import sys

SKIPPED = 77
UNREACHABLE = ("ENOTFOUND", "SELF_SIGNED_CERT_IN_CHAIN", "EAI_AGAIN", "ECONNREFUSED", "ECONNRESET", "ETIMEDOUT", "ENETUNREACH",
               "EHOSTUNREACH", "ERR_SOCKET_TIMEOUT", "E403", "E502", "E503", "E504")


def skip(reason):
    print(f"skipped: {reason}")
    sys.exit(SKIPPED)


def installed_version(home):
    package = home / "node_modules" / "tonal" / "package.json"
    return json.loads(package.read_text())["version"] if package.is_file() else None


def install(source, home):
    home.mkdir(parents=True, exist_ok=True)
    for name in ("package.json", "package-lock.json", "compare.mjs"):
        shutil.copyfile(source / name, home / name)

    wanted = json.loads((home / "package.json").read_text())["dependencies"]["tonal"]
    if installed_version(home) == wanted:
        return
    if not shutil.which("npm"):
        skip("npm is not on this machine")

    done = subprocess.run(["npm", "ci", "--no-audit", "--no-fund", "--ignore-scripts"], cwd=home,
                          capture_output=True, text=True, check=False, timeout=240)
    if done.returncode and any(code in done.stderr for code in UNREACHABLE):
        skip(f"the package registry cannot be reached, so tonal {wanted} is missing")
    if done.returncode or installed_version(home) != wanted:
        sys.exit(f"npm could not install tonal {wanted}:\n{done.stderr}")


def main():
    source, home, dump = (pathlib.Path(name) for name in sys.argv[1:4])
    if not shutil.which("node"):
        skip("node is not on this machine")
    install(source, home)

    facts = subprocess.run([dump], capture_output=True, check=True).stdout
    return subprocess.run(["node", "compare.mjs"], cwd=home, input=facts, check=False).returncode


if __name__ == "__main__":
    sys.exit(main())
