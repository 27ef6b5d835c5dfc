# SPDX-License-Identifier: MIT
"""A voice for the microphone: an ALSA device that reads what a thread sings into a named pipe.

Source of the device: ALSA's plugin `file` with an `infile` (alsa-lib, PCM plugins).
"""
import math
import os
import pathlib
import struct
import threading
import time

RATE = 44100
CHUNK = 512  # Frames, as many as are asked for: the plugin takes part of them for all
A4_HZ = 440.0  # ISO 16


def hz_of(key, cents=0.0):
    """Equal temperament: MIDI key 69 is A4, a semitone is the twelfth root of 2."""
    return A4_HZ * 2.0 ** ((key - 69 + cents / 100.0) / 12.0)


class Singer:
    """Sings from when it is told to; else there is silence. It hears whether anybody listens."""

    def __init__(self, home, folder):
        self.pipe = pathlib.Path(folder) / "voice"
        os.mkfifo(self.pipe)
        (pathlib.Path(home) / ".asoundrc").write_text(
            f'pcm.singer {{ type file slave.pcm null file /dev/null infile "{self.pipe}" '
            "format raw }\n", encoding="utf-8")
        os.environ["QUINTFALL_MICROPHONE"] = "singer"
        self.hz = 0.0
        self.phase = 0.0
        self.is_heard = False
        threading.Thread(target=self.stand_ready, daemon=True).start()

    def sing(self, key, cents=0.0):
        self.hz = hz_of(key, cents)

    def rest(self):
        self.hz = 0.0

    def chunk(self):
        samples = []
        for _ in range(CHUNK):
            self.phase += 2.0 * math.pi * self.hz / RATE
            samples.append(int(8000 * math.sin(self.phase)) if self.hz else 0)
        return struct.pack(f"<{CHUNK}h", *samples)

    def stand_ready(self):
        while True:
            with open(self.pipe, "wb", buffering=0) as pipe:  # Waits for a listener
                self.is_heard = True
                try:
                    while True:
                        pipe.write(self.chunk())
                        time.sleep(CHUNK / RATE)
                except BrokenPipeError:
                    self.is_heard = False
