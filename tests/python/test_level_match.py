"""The level match of `firstjack render` by meters that are not ours: pyloudnorm, and where it is installed ffmpeg's `ebur128`, both of
ITU-R BS.1770 with its gates.

What is written must be as loud as the take, however quiet that is and however much a load takes: the absolute gate of -70 LUFS hears
the file as it is written. The bar is 0.1 LU; pyloudnorm's own rounding of block lengths is below 0.01 LU at 48 kHz.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pyloudnorm
import pytest
from scipy import signal

import sound
from circuit import Reals
from conftest import Program

PRESETS = Path(__file__).parents[2] / "presets"
RATE = 48_000
BAR_LU = 0.1
METER = pyloudnorm.Meter(RATE)


def pluck(hz: float, seconds: float, bright: float) -> Reals:
    """A string by Karplus and Strong's loop: noise in a delay line with a mean of two (1983, from memory)."""
    period = round(RATE / hz)
    rng = np.random.default_rng(round(hz))
    start = np.zeros(round(seconds * RATE))
    start[:period] = signal.lfilter([bright], [1, bright - 1], rng.uniform(-1, 1, period))
    loop = np.zeros(period + 2)
    loop[0], loop[period], loop[period + 1] = 1, -0.498, -0.498
    return signal.lfilter([1.0], loop, start)


def line(gap_seconds: float, levels_db: list[float]) -> Reals:
    """Notes on the strings of a double bass and above, one louder than another, with rests between them."""
    notes = [41.2, 55.0, 65.4, 73.4, 98.0, 49.0, 110.0, 55.0, 82.4, 196.0]
    parts = []
    for index, hz in enumerate(notes):
        level = 10 ** (levels_db[index % len(levels_db)] / 20)
        parts += [level * pluck(hz, 1.2, 0.25 + 0.05 * (index % 4)), np.zeros(round(gap_seconds * RATE))]
    return np.concatenate(parts)


TAKES = {
    "a line": line(0.0, [0.0, -3.0, -1.0]),
    "long rests": line(2.5, [0.0, -6.0, -14.0]),
    "loud and soft": line(0.3, [0.0, -22.0, -9.0, -35.0]),
}


def by_ffmpeg(path: Path) -> float | None:
    """Integrated loudness of a file by ffmpeg, in LUFS, to a tenth; `None` where there is none."""
    ffmpeg = shutil.which("ffmpeg")
    if ffmpeg is None:
        return None
    command = [ffmpeg, "-nostats", "-hide_banner", "-i", str(path), "-af", "ebur128", "-f", "null", "-"]
    told = subprocess.run(command, capture_output=True, text=True, check=True).stderr
    return float(re.findall(r"I:\s+(-?[\d.]+) LUFS", told)[-1])


@pytest.mark.parametrize("preset", ["courtyard", "passive", "blocking", "magnetic-single", "magnetic-double", "blend"])
@pytest.mark.parametrize("take", TAKES)
@pytest.mark.parametrize("lufs", [-10.0, -35.0, -47.0, -60.0])
def test_what_is_written_is_as_loud_as_the_take(
    program: Program, tmp_path: Path, preset: str, take: str, lufs: float
) -> None:
    music = TAKES[take]
    music = music * 10 ** ((lufs - METER.integrated_loudness(music)) / 20)
    tracks = [music, np.roll(music, RATE // 7)] if preset == "blend" else [music]
    data = np.column_stack(tracks)
    sound.write_float32(tmp_path / "take.wav", RATE, data)
    setups = PRESETS / f"{preset}.toml"
    program("render", tmp_path / "take.wav", "--setups", setups, "-o", tmp_path / "out", "--quiet")
    files = sorted((tmp_path / "out").iterdir())
    # A set whose peaks are too high is lowered as a whole, the take in it too: by what the first file says.
    wanted = METER.integrated_loudness(sound.read(files[0])[1])
    if lufs < -30:
        assert wanted == pytest.approx(METER.integrated_loudness(data), abs=0.01)
    wanted_by_ffmpeg = by_ffmpeg(files[0])
    for file in files[1:]:
        assert METER.integrated_loudness(sound.read(file)[1]) == pytest.approx(wanted, abs=BAR_LU), file.name
        told = by_ffmpeg(file)
        # To a tenth, as its target is told.
        assert told is None or told == pytest.approx(wanted_by_ffmpeg, abs=BAR_LU + 1e-6), file.name
