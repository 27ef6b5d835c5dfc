#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Hear the notes of one chord by a key, from the bass up, at a sound server's output.

usage: drive_chord.py QUINTFALL FOLDER

Run by run_window.sh. Skipped (77) without PulseAudio.
"""
import array
import cmath
import math
import os
import pathlib
import subprocess
import sys
import time

from drive_window import Failure, Window, check, end_of, wait_for
from sound_server import RATE, SoundServer, is_installed

# The first chord of the demo lesson is A major. Frequencies: ISO 16 (A4 is 440 Hz) in equal
# temperament. A3 is left out: the octave of the bass sounds there all the time.
BASS, THIRD, FIFTH = 110.0, 277.18, 329.63
PATIENCE_S = 60.0  # sanitizers and a busy machine stretch the sound
PIECE_S = 0.2


def has_ended(data):
    """True once something has sounded and three seconds of silence followed."""
    tail = array.array("h", bytes(data[-int(3 * RATE) * 4:]))
    return len(data) > 8 * RATE * 4 and max(map(abs, tail[::16])) < 3


def record(press):
    """Samples of the left side from before a key press on."""
    ear = subprocess.Popen(["parec", "--raw", "--format=s16le", f"--rate={RATE}", "--channels=2",
                            "--latency-msec=20", "--device=nowhere.monitor"],
                           stdout=subprocess.PIPE)
    data = bytearray()
    os.set_blocking(ear.stdout.fileno(), False)
    press()
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end and not has_ended(data):
        data += ear.stdout.read(1 << 20) or b""
        time.sleep(0.1)
    ear.kill()
    ear.wait()
    return array.array("h", bytes(data[:len(data) & ~3]))[::2]


def strengths(samples, frequency):
    """How strong a frequency is in each piece (a term of the discrete Fourier transform)."""
    turn = -2j * math.pi * frequency * 8 / RATE
    factors = [cmath.exp(turn * i) for i in range(int(PIECE_S * RATE / 8))]
    n = len(factors) * 8
    return [abs(sum(s * f for s, f in zip(samples[start:start + n:8], factors)))
            for start in range(0, len(samples) - n, n)]


def strikes(samples, frequency):
    """Pieces in which a frequency becomes strong after the chord was struck."""
    levels = strengths(samples, frequency)
    floor = max(levels) / 20
    first = next(i for i, level in enumerate(levels) if level > floor)
    return [i for i in range(first + 5, len(levels))
            if levels[i] > floor and levels[i] > 3 * max(levels[i - 1], levels[i - 2])]


def check_steps(samples):
    """The chord is struck, then each of its notes in turn, from the bass up (events.h)."""
    check("a key makes the chord sound", max(map(abs, samples), default=0) > 50, len(samples))
    bass, third, fifth = (strikes(samples, frequency) for frequency in (BASS, THIRD, FIFTH))
    check("the bass, the third and the fifth come again", bass and third and fifth,
          (bass, third, fifth))
    check("from the bass up", bass[0] < third[0] < fifth[-1], (bass, third, fifth))


def main():
    if not is_installed():
        print("skipped: PulseAudio is not installed")
        return 77
    os.environ["QUINTFALL_AUDIO_DRIVER"] = "pulseaudio"
    server = SoundServer(pathlib.Path(sys.argv[2]) / "pulse")
    server.start()
    window = Window(sys.argv[1])
    try:
        window.keys("ctrl+Escape")
        wait_for("the caret", window.caret)
        time.sleep(2)
        samples = record(lambda: window.keys("ctrl+h"))
        check_steps(samples)
    except Failure as failure:
        return end_of(failure)
    finally:
        if window.process.poll() is None:
            window.close()
        server.kill()
    return 0


if __name__ == "__main__":
    sys.exit(main())
