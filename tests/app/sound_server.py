# SPDX-License-Identifier: MIT
"""A PulseAudio server of one's own with a device that goes nowhere, and an ear at its output."""
import array
import math
import os
import pathlib
import shutil
import subprocess
import threading
import time

RATE = 48000
BLOCK = 2 * RATE // 100  # 10 ms of both channels
AUDIBLE = 2  # of 32768: less is dither and rounding


def is_installed():
    return all(shutil.which(tool) for tool in ("pulseaudio", "parec"))


class SoundServer:
    """Started and killed as often as is wanted, always at the same address."""

    def __init__(self, folder):
        self.folder = pathlib.Path(folder)
        self.folder.mkdir(mode=0o700, exist_ok=True)
        self.socket = self.folder / "native"
        self.process = None
        os.environ["PULSE_SERVER"] = f"unix:{self.socket}"
        os.environ["PULSE_RUNTIME_PATH"] = str(self.folder)

    def start(self):
        self.socket.unlink(missing_ok=True)
        self.process = subprocess.Popen(
            ["pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no",
             "--disable-shm", f"--load=module-native-protocol-unix socket={self.socket} "
             "auth-anonymous=1",
             f"--load=module-null-sink sink_name=nowhere rate={RATE} format=s16le channels=2"],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        for _ in range(200):
            if self.socket.exists() and subprocess.run(
                    ["pactl", "info"], check=False, stdout=subprocess.DEVNULL,
                    stderr=subprocess.DEVNULL).returncode == 0:
                return
            time.sleep(0.05)
        raise RuntimeError("PulseAudio does not start")

    def kill(self):
        self.process.kill()
        self.process.wait()


class Ear:
    """Hears what the device is given, and when."""

    def __init__(self):
        self.process = subprocess.Popen(
            ["parec", "--raw", "--format=s16le", f"--rate={RATE}", "--channels=2",
             "--latency-msec=2", "--device=nowhere.monitor"], stdout=subprocess.PIPE)
        self.lock = threading.Lock()
        self.first_s = None  # when something audible came, since last reset
        self.last_s = None
        self.loudest_rms = 0.0  # of any block of some length, as part of full scale
        threading.Thread(target=self.listen, daemon=True).start()

    def listen(self):
        descriptor = self.process.stdout.fileno()
        squares, n_squares = 0, 0
        while chunk := os.read(descriptor, 65536):
            now_s = time.monotonic()
            samples = array.array("h", chunk[:len(chunk) & ~1])
            # Chunks are as short as the reader is quick, so they are added up.
            squares += sum(sample * sample for sample in samples)
            n_squares += len(samples)
            if n_squares >= BLOCK:
                with self.lock:
                    self.loudest_rms = max(self.loudest_rms,
                                           math.sqrt(squares / n_squares) / 32768)
                squares, n_squares = 0, 0
            loud = [i for i, sample in enumerate(samples) if abs(sample) > AUDIBLE]
            if loud:
                with self.lock:
                    # The chunk's last frame came now, the others before it.
                    begin_s = now_s - (len(samples) - loud[0]) / 2 / RATE
                    self.first_s = self.first_s or begin_s
                    self.last_s = now_s

    def reset(self):
        with self.lock:
            self.first_s = self.last_s = None
            self.loudest_rms = 0.0

    def warm_up(self):
        """Let something sound: the server's first sound comes late, whoever makes it."""
        noise = array.array("h", [1000, -1000] * RATE).tobytes()
        subprocess.run(["pacat", "--raw", "--format=s16le", f"--rate={RATE}"], input=noise,
                       check=False)
        while not self.is_quiet_for(0.5):
            time.sleep(0.1)

    def hears(self):
        with self.lock:
            return self.first_s is not None

    def is_quiet_for(self, seconds):
        with self.lock:
            return self.last_s is None or time.monotonic() - self.last_s > seconds

    def close(self):
        self.process.kill()
        self.process.wait()
