#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Sing answers to a question and a drill, through a sound server of the test's own.

usage: drive_sung.py QUINTFALL FOLDER

Run by run_window.sh, as drive_window.py is, whose tools it uses. Tones are played into a sink
that makes no sound; what is played there is the microphone. Frequencies are twelve-tone equal
from A4 = 440 Hz (ISO 16).
"""
import array
import json
import math
import os
import shutil
import subprocess
import sys
import time

from drive_practice import opened, words
from drive_study import Study, answer_path, frame
from drive_window import Failure, Window, check, descendants, end_of, wait_for

RATE = 44100
SECONDS = 3.0
PITCHES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}

# Two names that ALSA knows: the sink's monitor, and one that is not there.
ALSA = """
pcm.singer { type pulse device "quiet.monitor" }
"""


class NoServer(Exception):
    """ALSA has no plugin here that reaches the sound server."""


class Singer:
    """A sound server without a sound card, and somebody who sings into it."""

    def __init__(self, folder):
        self.folder = folder
        config = os.path.join(folder, "asound.conf")
        with open(config, "w", encoding="utf-8") as file:
            file.write(ALSA)
        os.environ["ALSA_CONFIG_PATH"] = config
        os.environ["QUINTFALL_MICROPHONE"] = "singer"
        self.server = subprocess.Popen(
            ["pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no",
             "--load=module-native-protocol-unix",
             f"--load=module-null-sink sink_name=quiet rate={RATE} channels=1"],
            stderr=subprocess.DEVNULL)
        socket = os.path.join(os.environ["XDG_RUNTIME_DIR"], "pulse", "native")
        wait_for("the sound server", lambda: os.path.exists(socket))

    def sing(self, key, cents=0.0):
        """A voice's tone with a few harmonics, of a MIDI key."""
        hz = 440.0 * 2.0 ** ((key + cents / 100.0 - 69) / 12.0)
        samples = array.array("h", (int(9000.0 * sum(
            math.sin(2.0 * math.pi * hz * h * i / RATE) / h for h in (1, 2, 3, 4)))
            for i in range(int(RATE * SECONDS))))
        path = os.path.join(self.folder, "tone.raw")
        with open(path, "wb") as file:
            samples.tofile(file)
        subprocess.run(["pacat", "--playback", "--device=quiet", "--format=s16le", "--channels=1",
                        f"--rate={RATE}", "--latency-msec=50", path], check=True)

    def end(self):
        self.server.terminate()
        self.server.wait(timeout=10)


def strip(frame_node):
    """What the strip says, or nothing while it is hidden."""
    for node in descendants(frame_node):
        if node.get_name() == "Singing back":
            return words(node)
    return []


def says(node, start):
    return next((text for text in words(node) if text.startswith(start)), None)


def replies():
    return json.loads(answer_path().read_text())["replies"]


def answers_a_question(window, singer):
    window.keys("F2")
    study = Study(window)
    check("the first question is sung", study.labels("After the last chord, sing the tonic"))
    window.keys("ctrl+shift+t")
    told = wait_for("the strip", lambda: next(
        (said for said in (strip(study.frame), window.texts())
         if any("Sing your answer" in text or "could be opened" in text for text in said)), None))
    if any("could be opened" in text for text in told):
        raise NoServer
    check("the strip says that nothing is recorded or sent",
          any("nothing is recorded or sent" in text for text in told), told)
    singer.sing(57, 40)  # 40 cents over A3: no note of its own
    wait_for("once more", lambda: says(study.frame, "Between two notes"))
    check("what lies between two notes is asked for again", not study.labels("\u2717") and
          not study.labels("\u2713"))
    # The lesson is in A major: E is its fifth degree.
    singer.sing(64, -8)
    text = wait_for("what was sung", lambda: says(study.frame, "You sang degree 5"))
    cents = int(text.split(", ")[1].split()[0])
    check("the cents are told", abs(cents - 8) <= 2 and text.endswith("flat"), text)
    check("another degree is wrong", study.labels("\u2717"))
    singer.sing(45, 3)
    wait_for("the tonic", lambda: says(study.frame, "You sang degree 1"))
    check("the tonic is right in any octave", study.labels("\u2713"))
    # A busy machine may break a tone, and what is sung after a breath answers again.
    seen = wait_for("the replies", lambda: replies()[-1]["is_right"] and replies())
    check("they are recorded as answers",
          [reply["text"] for reply in seen] == ["5"] * (len(seen) - 1) + ["1"] and
          len(seen) >= 2 and not any(reply["is_right"] for reply in seen[:-1]), seen)
    window.keys("ctrl+w")
    wait_for("the dictation to go", lambda: frame(window, "Dictation: ") is None)


def goal_of(explanation):
    """The pitch class that a drill's reason names: "It rises by a semitone to C\u266f, a note"."""
    name = explanation.split(" to ")[1].split(",")[0]
    alter = sum(1 if c in "\u266f#" else -1 if c in "\u266db" else 0 for c in name[1:])
    return (PITCHES[name[0]] + alter) % 12


def answers_a_drill(window, singer):
    window.focus()
    window.keys("ctrl+shift+d")
    dialog = opened(window, "Drills")
    for _ in range(20):
        node = next(part for part in descendants(dialog) if part.get_name() == "Drill")
        if any(states(part) for part in [node, *descendants(node)]):
            break
        window.keys("shift+Tab")
    window.keys("space", "Down", "Down", "Down", "Down", "Return")
    wait_for("a drill to sing", lambda: says(dialog, "You hear the tonic of "))
    window.keys("ctrl+shift+t")
    wait_for("the strip", lambda: any("Sing your answer" in text for text in strip(dialog)))
    singer.sing(69)
    wait_for("the answer", lambda: says(dialog, "1 of 1 right") or says(dialog, "0 of 1 right"))
    told = says(dialog, "\u2713") or says(dialog, "\u2717")
    check("a sung drill is judged by the pitch class",
          (told[0] == "\u2713") == (goal_of(told) == 69 % 12), told)
    check("what was sung is named", says(dialog, "You sang A") is not None, words(dialog))


def states(node):
    from gi.repository import Atspi
    node.clear_cache()
    return node.get_state_set().contains(Atspi.StateType.FOCUSED)


def misses_a_microphone(program):
    os.environ["QUINTFALL_MICROPHONE"] = "hw:quintfall-has-none"
    window = Window(program)
    try:
        window.keys("F2")
        study = Study(window)
        window.keys("ctrl+shift+t")
        wait_for("a message", lambda: next((text for text in window.texts()
                                            if "No microphone could be opened" in text), None))
        check("a missing microphone is told in plain words", True)
        window.keys("ctrl+Return")
        window.type("1")
        window.keys("Return")
        wait_for("yes", lambda: study.labels("\u2713"))
        check("and the degree can be written all the same", True)
    finally:
        window.kill()


def main():
    program, folder = sys.argv[1], sys.argv[2]
    if not shutil.which("pulseaudio") or not shutil.which("pacat"):
        print("skipped: pulseaudio is not installed")
        return 77
    singer = window = None
    try:
        misses_a_microphone(program)
        singer = Singer(folder)
        window = Window(program)
        answers_a_question(window, singer)
        answers_a_drill(window, singer)
    except NoServer:
        print("skipped: ALSA's plugin for the sound server is not installed")
        return 77
    except Failure as failure:
        return end_of(failure)
    finally:
        if window and window.process.poll() is None:
            window.kill()
        if singer:
            singer.end()
    return 0


if __name__ == "__main__":
    sys.exit(main())
