"""Notes that were not made here: samples of a General MIDI sound font, played by fluidsynth.

Debian's `fluidsynth` and `timgm6mb-soundfont`, which fixes the font. One Standard MIDI File (MIDI Manufacturers Association, format 0) an
instrument plays every note by itself; what comes out is cut into notes.
"""

from __future__ import annotations

import shutil
import struct
import subprocess
from pathlib import Path

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray


Reals = NDArray[np.float64]

FONT = Path("/usr/share/sounds/sf2/TimGM6mb.sf2")
RATE = 44_100
# Programs of General MIDI, counted from zero, and the notes of open strings up to an octave above: bass, bowed bass, cello, guitar.
INSTRUMENTS = {
    "plucked bass": (32, range(28, 53, 2)),
    "bowed bass": (43, range(28, 53, 3)),
    "cello": (42, range(36, 66, 3)),
    "nylon guitar": (24, range(40, 70, 3)),
    "steel guitar": (25, range(40, 70, 3)),
}
HELD_SECONDS = 3.4
APART_SECONDS = 4.0
TICKS_A_SECOND = 480


def variable(value: int) -> bytes:
    """A quantity of variable length."""
    out = [value & 0x7F]
    while value := value >> 7:
        out.append(value & 0x7F | 0x80)
    return bytes(reversed(out))


def midi(program: int, keys: range) -> bytes:
    """A file that holds one key after the other."""
    track = variable(0) + bytes([0xC0, program])
    held = round(HELD_SECONDS * TICKS_A_SECOND)
    rest = round(APART_SECONDS * TICKS_A_SECOND) - held
    for at, key in enumerate(keys):
        track += variable(rest if at else 0) + bytes([0x90, key, 100]) + variable(held) + bytes([0x80, key, 0])
    track += variable(rest) + b"\xff\x2f\x00"
    # At the usual tempo, two quarters a second.
    head = struct.pack(">4sIHHH", b"MThd", 6, 0, 1, TICKS_A_SECOND // 2)
    return head + struct.pack(">4sI", b"MTrk", len(track)) + track


def library(folder: Path) -> dict[str, list[Reals]]:
    """All notes by instruments, at `RATE`, each with a peak of 1."""
    if not shutil.which("fluidsynth") or not FONT.exists():
        pytest.fail("fluidsynth or its font is missing: apt-get install fluidsynth timgm6mb-soundfont", pytrace=False)
    notes = {}
    for name, (program, keys) in INSTRUMENTS.items():
        score, sound = folder / f"{program}.mid", folder / f"{program}.wav"
        score.write_bytes(midi(program, keys))
        command = ["fluidsynth", "-ni", "-q", "-R", "0", "-C", "0", "-g", "0.7", "-r", str(RATE), "-O", "float"]
        subprocess.run([*command, "-T", "wav", "-F", str(sound), str(FONT), str(score)], check=True, capture_output=True)
        frames, rate = soundfile.read(sound)
        assert rate == RATE
        mono = frames.astype(np.float64).mean(axis=1)
        length, apart = round(HELD_SECONDS * RATE), round(APART_SECONDS * RATE)
        cut = [mono[at * apart : at * apart + length] for at in range(len(keys))]
        notes[name] = [note / np.abs(note).max() for note in cut]
    return notes
