"""`firstjack render` in the time domain, against ngspice `.tran` and scipy.signal.lsim.

The bar comes from what is stated of the filter, not from its output. Magnitude: 0.004 dB, a share of 4.6e-4.
Phase: 0.4 degrees at 1 kHz (0.45 before rounding) and in proportion below, at 44.1 kHz, which is a delay of
0.45 / 360 / 1000 Hz = 1.25 us; higher rates have less. A delay d moves a curve y by at most d max|y'|.
So: |error| <= 1.25 us max|y'| + 4.6e-4 max|y|, with y the judge's own curve. The inputs end at 445 Hz.

Responses of second order have two roots where those have one, and so twice the delay; with a resonance the stated
magnitude is 0.025 dB, a share of 2.9e-3: |error| <= 2.5 us max|y'| + 2.9e-3 max|y|.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from scipy import signal

import sound
from circuit import Circuit, Reals, ceiling_corner_rad
from conftest import Program
from tables import path_of_preset, read

MAGNITUDE_SHARE = 10 ** (0.004 / 20) - 1
RESONANT_SHARE = 10 ** (0.025 / 20) - 1
DELAY_SECONDS = 0.45 / 360 / 1000


def bar(
    y: Reals, rate: float, delay_seconds: float = DELAY_SECONDS, share: float = MAGNITUDE_SHARE
) -> float:
    """The largest error that magnitude and phase, as stated, allow."""
    steepest = np.max(np.abs(np.gradient(y))) * rate
    return float(delay_seconds * steepest + share * np.max(np.abs(y)))


def render(program: Program, folder: Path, rate: int, x: Reals, *options: str) -> Reals:
    """The rendered mono file's frames."""
    sound.write_float32(folder / "take.wav", rate, x)
    out = folder / "out.wav"
    program("render", folder / "take.wav", *options, "--no-match", "-o", out)
    return sound.read(out)[1][:, 0]


@pytest.mark.parametrize(
    ("take", "heard"),
    [
        ("none", "22M"),
        ("none", "470k"),
        ("none", "56k"),
        ("22M", "470k"),
        ("22M", "56k"),
        ("470k", "22M"),
        ("56k", "470k"),
        ("56k", "none"),
        ("470k", "none"),
    ],
)
def test_ngspice_tran(program: Program, take: str, heard: str, tmp_path: Path) -> None:
    """One pluck, simulated at three loads and at none: the voltage at each must become that at each other."""
    table = read("pluck_680p")
    column = {"none": "open_volts"}
    x, y = (
        table.columns[column.get(load, f"load_{load.lower()}_volts")] for load in (take, heard)
    )
    options = ["--pickup", "680p", "--through", take, "--load", heard, "--undo-ceiling", "off"]
    got = render(program, tmp_path, int(table.values["rate_hz"]), x, *options)
    assert bar(y, table.values["rate_hz"]) < 0.002 * np.max(np.abs(y)), "the bar says nothing"
    assert np.max(np.abs(got - y)) <= bar(y, table.values["rate_hz"])


@pytest.mark.parametrize(
    ("name", "taken"), [("pluck_transformer", "open_volts"), ("pluck_coil", "bare_volts")]
)
def test_ngspice_tran_of_second_order(program: Program, name: str, taken: str, tmp_path: Path) -> None:
    """A pluck through a transformer, and through a coil, each from the take that nothing loads."""
    table = read(name)
    x, y = table.columns[taken], table.columns["heard_volts"]
    rate = table.values["rate_hz"]
    sound.write_float32(tmp_path / "take.wav", int(rate), x)
    options = ["--setups", path_of_preset(name), "--no-match", "-o", tmp_path / "set"]
    program("render", tmp_path / "take.wav", *options)
    (out,) = (tmp_path / "set").glob("*heard*.wav")
    got = sound.read(out)[1][:, 0]
    allowed = bar(y, rate, 2 * DELAY_SECONDS, RESONANT_SHARE)
    assert allowed < 0.02 * np.max(np.abs(y)), "the bar says nothing"
    assert np.max(np.abs(x - y)) > 10 * allowed, "the circuit does too little"
    assert np.max(np.abs(got - y)) <= allowed


def test_scipy_lsim_of_a_low_corner_at_a_high_rate(program: Program, tmp_path: Path) -> None:
    """22 megohm undone at 192 kHz: corners 10.6 and 0.67 Hz, a burst of 3 and 41 Hz.

    lsim is exact for straight lines between samples, and these are within 3e-7 of the burst.
    """
    rate, ceiling_db = 192_000, 24.0
    take = Circuit(680e-12, 22e6)
    time = np.arange(2 * rate) / rate
    burst = np.sin(2 * math.pi * 3 * time) + 0.3 * np.sin(2 * math.pi * 41 * time)
    x = (0.1 * np.hanning(time.size) * burst).astype(np.float32).astype(np.float64)
    system = ([1, take.corner_rad], [1, ceiling_corner_rad(take, ceiling_db)])
    _, y, _ = signal.lsim(system, x, time)
    options = ["--pickup", "680p", "--through", "22M", "--load", "none", "--undo-ceiling", "24"]
    got = render(program, tmp_path, rate, x, *options)
    assert np.max(np.abs(y)) > 3 * np.max(np.abs(x)), "the burst does not meet the boost"
    assert np.max(np.abs(got - y)) <= bar(y, rate, DELAY_SECONDS / 4)
