#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""The guide names only commands that have keys, and the shortcuts window lists the keys there are."""
import pathlib
import re
import sys
import xml.etree.ElementTree as ET


def accels_of(source):
    """The table of qf-application.c as {action: [keys]}"""
    table = {}
    for action, keys in re.findall(r'\{"((?:win|app)\.[^"]+)", \{([^}]*)\}\}', source):
        table[action] = re.findall(r'"([^"]+)"', keys)
    return table


def listed_keys(overlay):
    """Every key in the shortcuts window, "<Control>1...5" as its five keys"""
    keys = set()
    for node in overlay.iter("property"):
        if node.get("name") != "accelerator":
            continue
        for key in node.text.split():
            run = re.fullmatch(r"(.*?)(\d)\.\.\.(\d)", key)
            if run:
                keys |= {f"{run[1]}{n}" for n in range(int(run[2]), int(run[3]) + 1)}
            keys.add(key)
    return {normal(key) for key in keys}


def normal(key):
    """Modifiers in one order"""
    return tuple(sorted(re.findall(r"<\w+>", key))) + (re.sub(r"<\w+>", "", key).lower(),)


def main():
    root = pathlib.Path(sys.argv[1])
    accels = accels_of((root / "src/app/qf-application.c").read_text())
    listed = listed_keys(ET.parse(root / "ui/help-overlay.ui"))
    guide = ET.parse(root / "resources/guide/guide.xml").getroot()
    passed, failures = 0, []

    for node in guide.iter("keys"):
        passed += 1
        if not accels.get(node.get("action")):
            failures.append(f"guide.xml: {node.get('action')} has no keys")
    for topic in guide.iter("topic"):
        passed += 1
        if not topic.get("title") or not len(topic):
            failures.append(f"guide.xml: an empty topic, {topic.get('title')!r}")
    for action, keys in accels.items():
        passed += 1
        if not any(normal(key) in listed for key in keys):
            failures.append(f"help-overlay.ui: {action} ({keys[0]}) is not listed")

    print("\n".join(failures))
    print(f"{passed - len(failures)} passed, {len(failures)} failed")
    return 1 if failures or not passed else 0


if __name__ == "__main__":
    sys.exit(main())
