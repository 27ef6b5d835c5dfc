#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Let a library from npm judge what a program prints, at the version package.json pins.

    npm_check.py SOURCE BUILD DUMP

SOURCE has package.json, its lock file and compare.mjs, which reads what DUMP prints. The
library is installed below BUILD. Without node, npm or a reachable registry the
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


def installed_version(home, library):
    package = home / "node_modules" / library / "package.json"
    return json.loads(package.read_text())["version"] if package.is_file() else None


def install(source, home):
    home.mkdir(parents=True, exist_ok=True)
    for name in ("package.json", "package-lock.json", "compare.mjs"):
        shutil.copyfile(source / name, home / name)

    libraries = json.loads((home / "package.json").read_text())["dependencies"]
    if all(installed_version(home, name) == wanted for name, wanted in libraries.items()):
        return
    if not shutil.which("npm"):
        skip("npm is not on this machine")

    names = ", ".join(f"{name} {wanted}" for name, wanted in libraries.items())
    done = subprocess.run(["npm", "ci", "--no-audit", "--no-fund", "--ignore-scripts"], cwd=home,
                          capture_output=True, text=True, check=False, timeout=240)
    if done.returncode and any(code in done.stderr for code in UNREACHABLE):
        skip(f"the package registry cannot be reached, so {names} is missing")
    if done.returncode or any(installed_version(home, name) != wanted
                              for name, wanted in libraries.items()):
        sys.exit(f"npm could not install {names}:\n{done.stderr}")


def main():
    source, home, dump = (pathlib.Path(name) for name in sys.argv[1:4])
    if not shutil.which("node"):
        skip("node is not on this machine")
    install(source, home)

    facts = subprocess.run([dump], capture_output=True, check=True).stdout
    return subprocess.run(["node", "compare.mjs"], cwd=home, input=facts, check=False).returncode


if __name__ == "__main__":
    sys.exit(main())
