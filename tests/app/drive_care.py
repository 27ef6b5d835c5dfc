#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Care for hearing: a quiet first start, a notice shown once and found again, a level that stays.

usage: drive_care.py QUINTFALL FOLDER

Run by run_window.sh, as drive_window.py is, whose tools it uses.
"""
import csv
import math
import os
import pathlib
import re
import sys
import time

from drive_plan import dialog
from drive_window import Failure, Window, check, descendants, end_of, wait_for
from sound_server import Ear, SoundServer, is_installed

DOSES = pathlib.Path(__file__).parent.parent / "data/references/hearing_dose.tsv"

# Source: references.md, "Hearing safety": start at a low level, for example -20 dBFS RMS.
QUIET_DBFS = -20.0


def notice(window):
    return next((text for text in window.texts() if "starts quietly" in text and
                 "Start low" in text and len(text) < 300), None)


def level(window):
    return next((text for text in window.texts() if re.fullmatch(r"-?\d+ dB", text)), None)


def hours_of(level_db, criterion):
    """Hours that a published limit gives a level, by the table."""
    with open(DOSES, encoding="utf-8") as table:
        for row in csv.DictReader(table, delimiter="\t"):
            if row["criterion"].startswith(criterion) and float(row["level_dBA"]) == level_db:
                value, unit = row["time_to_100_percent_3dB_rule"].split()
                return float(value) / (60 if unit == "min" else 1)
    return None


def starts_quietly(window, ear):
    said = wait_for("the notice", lambda: notice(window))
    check("the first start says to start low, take breaks, and follow the institution",
          "take breaks" in said and "institution" in said, said)
    check("the level is low", level(window) == "-20 dB", level(window))
    window.keys("ctrl+Escape")
    if ear:
        ear.reset()
        window.keys("Home", "space")
        wait_for("sound", ear.hears)
        time.sleep(4.0)
        window.keys("shift+space")
        loudest_db = 20 * math.log10(ear.loudest_rms)
        check("what sounds is no louder than -20 dBFS", loudest_db < QUIET_DBFS, loudest_db)
        print(f"loudest {loudest_db:.1f} dBFS RMS")


def finds_it_again(window):
    time.sleep(1.0)
    check("the notice comes once", not notice(window))
    window.keys("ctrl+comma")
    wait_for("the dialog", lambda: dialog(window, "Sound and Care for Hearing"))
    window.focus()
    text = wait_for("the advice", lambda: next(
        (text for text in window.texts() if "ITU-T H.870" in text), None))
    adults, children = "WHO/ITU H.870 mode 1", "WHO/ITU H.870 mode 2"
    figures = [
        ("80 dB(A) for 40 hours a week for adults", adults, 80, 40),
        ("75 dB(A) for 40 hours a week for children", children, 75, 40),
        ("83 dB(A) is reached in 20 hours", adults, 83, 20),
        ("86 dB(A) in 10", adults, 86, 10),
        ("85 dB(A) over 8 hours a day", "NIOSH", 85, 8),
    ]
    for words, criterion, level_db, hours in figures:
        check(f"{words}, as published", words in text and hours_of(level_db, criterion) == hours,
              text)
    check("every figure told is one of these",
          set(re.findall(r"(\d+) dB\(A\)", text)) == {"80", "75", "83", "86", "85"}, text)
    check("sources and institution are named", "World Health Organization" in text and
          "National Institute for Occupational Safety and Health" in text and
          "institution" in text, text)
    window.keys("Escape")
    wait_for("it to close", lambda: not dialog(window, "Sound and Care for Hearing"))
    window.focus()


def sets_a_level(window):
    scale = wait_for("the level", lambda: next(
        (node for node in descendants(window.frame) if node.get_role_name() == "slider"), None))
    scale.get_value_iface().set_current_value(-31)
    wait_for("its words", lambda: level(window) == "-31 dB")


def main():
    server, ear, window = None, None, None
    if is_installed():
        os.environ["QUINTFALL_AUDIO_DRIVER"] = "pulseaudio"
        server = SoundServer(pathlib.Path(sys.argv[2]) / "pulse")
        server.start()
        ear = Ear()
        ear.warm_up()
    try:
        window = Window(sys.argv[1])
        starts_quietly(window, ear)
        window.close()
        window = Window(sys.argv[1])
        finds_it_again(window)
        sets_a_level(window)
        window.close()
        window = Window(sys.argv[1])
        check("a level that was set is kept", level(window) == "-31 dB", level(window))
    except Failure as failure:
        return end_of(failure)
    finally:
        if window and window.process.poll() is None:
            window.close()
        if ear:
            ear.close()
        if server:
            server.kill()
    return 0


if __name__ == "__main__":
    sys.exit(main())
