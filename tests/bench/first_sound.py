#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""From a key press in the window to the first audible sample at a sound server's output.

usage: tests/app/run_window.sh QUINTFALL 1280x800 ../bench/first_sound.py

Run by hand with a release build. The key is pressed through the X server, the sound is heard at
the monitor of a virtual PulseAudio device; what the server and the recording hold back is part of
the figure.
"""
import ctypes
import os
import pathlib
import statistics
import sys
import time

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "app"))

from drive_window import Window, wait_for  # noqa: E402
from sound_server import Ear, SoundServer, is_installed  # noqa: E402

N_WINDOWS = 5
N_STARTS = 5  # in each
SPACE = 0x20


class Keyboard:
    """Presses keys in the process, since starting a tool takes longer than what is measured."""

    def __init__(self):
        self.x11 = ctypes.CDLL("libX11.so.6")
        self.xtst = ctypes.CDLL("libXtst.so.6")
        self.x11.XOpenDisplay.restype = ctypes.c_void_p
        self.display = ctypes.c_void_p(self.x11.XOpenDisplay(None))

    def press(self, symbol):
        code = self.x11.XKeysymToKeycode(self.display, ctypes.c_ulong(symbol))
        pressed_s = time.monotonic()
        self.xtst.XTestFakeKeyEvent(self.display, code, 1, ctypes.c_ulong(0))
        self.xtst.XTestFakeKeyEvent(self.display, code, 0, ctypes.c_ulong(0))
        self.x11.XFlush(self.display)
        return pressed_s


def time_start(window, keyboard, ear):
    ear.reset()
    pressed_s = keyboard.press(SPACE)
    wait_for("sound", ear.hears)
    took_ms = 1000.0 * (ear.first_s - pressed_s)
    window.keys("shift+space")
    wait_for("silence", lambda: ear.is_quiet_for(0.5))
    return took_ms


def main():
    if not is_installed():
        print("skipped: PulseAudio is not installed")
        return 77
    os.environ["QUINTFALL_AUDIO_DRIVER"] = "pulseaudio"
    server = SoundServer(pathlib.Path(sys.argv[2]) / "pulse")
    server.start()
    ear = Ear()
    ear.warm_up()
    firsts, others = [], []
    for _ in range(N_WINDOWS):
        window = Window(sys.argv[1])
        keyboard = Keyboard()
        firsts.append(time_start(window, keyboard, ear))
        for i in range(N_STARTS):
            time.sleep(0.013 * i)  # At any place within a period
            others.append(time_start(window, keyboard, ear))
        window.close()
    ear.close()
    server.kill()
    for name, times in (("first key press of a window", firsts), ("later ones", others)):
        print(f"{name}: median {statistics.median(times):.1f} ms to the first audible sample, "
              f"{min(times):.1f} to {max(times):.1f} ms")
    return 0


if __name__ == "__main__":
    sys.exit(main())
