#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Every layer includes only itself and the layers before it; each library stays in its layer."""
import pathlib
import re
import sys

# In order; each layer with the public headers that belong to it
LAYERS = {
    "base": "status text file",
    "theory": "pitch interval key chord numeral figured_bass solfege tuning",
    "score": "time score slice spelling",
    "analysis": "label",
    "partwriting": "harmonise realise rules writing",
    "explore": "explore",
    "lesson": "hearing lesson plan plan_shelf question rubric study",
    "hearing": "events",
    "exercise": "exercise drill",
    "practice": "practice",
    "study": "answer compare grade leading",
    "formats": "formats",
    "sound": "keyboard_in pitch_in sound",
    "engrave": "engrave overlay report",
    "document": "document results recordings",
    "workbook": "workbook",
    "learn": "",
    "command": "",
    "app": "",
}

# System headers that may appear only in certain layers
LIBRARIES = {
    r"gtk/|adwaita\.h|gdk/|gio/|glib|gobject": {"app"},
    r"libxml/": {"formats"},
    r"archive": {"formats"},
    r"fluidsynth": {"sound"},
    r"sndfile|ebur128|samplerate|aubio|alsa/": {"sound"},
    r"json-c/": {"lesson", "study", "workbook", "command"},
    r"sqlite3": {"practice"},
    r"zlib": {"study"},
    r"cairo|pango": {"engrave", "app"},
}

# Layers that stand side by side although one comes first in the list above
APART = {("app", "command"), ("engrave", "sound"), ("engrave", "formats"), ("sound", "formats")}

INCLUDE = re.compile(r'^\s*#\s*include\s+([<"])([^>"]+)[>"]', re.M)


def layer_of_header():
    return {name: layer for layer, names in LAYERS.items() for name in names.split()}


def complaints_of(path, layer, headers, order):
    for kind, name in INCLUDE.findall(path.read_text(encoding="utf-8")):
        if name.startswith("quintfall/"):
            stem = pathlib.PurePath(name).stem
            other = headers.get(stem)
            if other is None:
                yield f"{path}: {name} belongs to no layer; add it to tests/tree/check_layers.py"
            elif order[other] > order[layer] or (layer, other) in APART:
                yield f"{path}: {layer} must not include {name} of {other}"
        elif kind == '"' and ".." in name:
            yield f"{path}: {name} reaches into another folder"
        for pattern, layers in LIBRARIES.items():
            if kind == "<" and re.match(pattern, name) and layer not in layers:
                yield f"{path}: {name} belongs to {', '.join(sorted(layers))} only"


def main():
    root = pathlib.Path(sys.argv[1])
    headers = layer_of_header()
    order = {layer: i for i, layer in enumerate(LAYERS)}
    checked = 0
    failures = []

    for folder in sorted((root / "src").iterdir()):
        if folder.is_dir() and folder.name not in LAYERS:
            failures.append(f"{folder}: not a layer named in the design")
    for layer in LAYERS:
        for path in sorted((root / "src" / layer).rglob("*.[ch]")):
            checked += 1
            failures += complaints_of(path, layer, headers, order)
    for path in sorted((root / "include/quintfall").glob("*.h")):
        checked += 1
        layer = headers.get(path.stem)
        if layer is None:
            failures.append(f"{path}: belongs to no layer")
        else:
            failures += complaints_of(path, layer, headers, order)

    print("\n".join(failures))
    print(f"{checked - min(checked, len(failures))} passed, {len(failures)} failed")
    return 1 if failures or not checked else 0


if __name__ == "__main__":
    sys.exit(main())
