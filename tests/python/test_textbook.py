"""Worked examples of textbooks: what an inductance does to the lows, and a coil's resonance to the highs.

Sources: circuit theory as every text on it has it, from memory. The figures are worked out here, by hand, in
the order in which a text would; the program's come from `firstjack curve -o x.csv`.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from circuit import Complexes, Reals, parallel
from conftest import Program
from tables import curves

TRANSFORMER = """
version = 2
name = "transformer"
pickup = { inductance = "0.1 mH", resistance = "10k" }
recorded = { load = "none" }
[[setup]]
name = "heard"
chain = [{ box = "passive box", transformer = { primary = "10 H", ratio = "10", secondary = "1k" } }]
"""

PIEZO_TRANSFORMER = """
version = 2
name = "capacitance and transformer"
pickup = { capacitance = "1 nF" }
recorded = { load = "none" }
[[setup]]
name = "heard"
chain = [{ box = "passive box", transformer = { primary = "50 H", ratio = "10", secondary = "500" } }]
"""

COIL = """
version = 2
name = "coil"
pickup = {{ inductance = "4.7 H", resistance = "{ohms}", winding = "120 pF" }}
recorded = {{ load = "none" }}
[[setup]]
name = "heard"
load = "{load}"
"""


def curve(program: Program, folder: Path, preset: str) -> tuple[Reals, Complexes]:
    """Frequencies and response of a file's only setup."""
    (folder / "given.toml").write_text(preset)
    program("curve", "--setups", folder / "given.toml", "-o", folder / "given.csv")
    return curves(folder / "given.csv")["heard", "1"]


def db_at(hz: Reals, h: Complexes, wanted_hz: float) -> float:
    """The level at a frequency: the polynomial through the eight nearest rows, over log f.

    At a resonance of Q = 7, where rows lie far apart for it, it is 6e-4 dB off.
    """
    at = int(np.clip(np.searchsorted(hz, wanted_hz), 4, hz.size - 4))
    near = slice(at - 4, at + 4)
    steps = 100 * (np.log10(hz[near]) - math.log10(wanted_hz))
    return float(np.polyfit(steps, 20 * np.log10(np.abs(h[near])), 7)[-1])


def test_low_frequency_response_of_a_transformer(program: Program, tmp_path: Path) -> None:
    """3 dB down where the primary's reactance equals source and load in parallel: 2 pi f L = Rs || n^2 R.

    A source of 10 kilohm (a coil of next to no inductance), a primary of 10 H, 10 to 1 into 1 kilohm, which
    the primary shows as 100 kilohm: 10 k || 100 k = 9.09 k, f = 9090.9 / (2 pi 10) = 144.7 Hz; an octave
    below, 10 log10(1 + 4) = 6.99 dB.
    """
    source, load, henries = 10e3, 10**2 * 1e3, 10.0
    corner_hz = parallel(source, load) / (2 * math.pi * henries)
    assert corner_hz == pytest.approx(144.7, abs=0.05)
    hz, h = curve(program, tmp_path, TRANSFORMER)
    midband_db = 20 * math.log10(load / (source + load))
    for of_corner, lost_db in ((1, 3.0103), (0.5, 6.9897), (2, 0.9691), (0.1, 20.0432)):
        assert midband_db - db_at(hz, h, of_corner * corner_hz) == pytest.approx(lost_db, abs=2e-4)


def test_second_order_high_pass_of_a_transformer(program: Program, tmp_path: Path) -> None:
    """H = s^2 / (s^2 + s w0 / Q + w0^2), w0 = 1 / sqrt(L C), Q = R sqrt(C / L).

    1 nF, 50 H, 50 kilohm: f0 = 711.8 Hz, |H(f0)| = Q = 0.2236, so -13.01 dB; far below 12 dB an octave.
    """
    farads, henries, ohms = 1e-9, 50.0, 50e3
    f0_hz = 1 / (2 * math.pi * math.sqrt(henries * farads))
    q = ohms * math.sqrt(farads / henries)
    assert (f0_hz, q) == (pytest.approx(711.8, abs=0.05), pytest.approx(0.2236, abs=5e-5))
    hz, h = curve(program, tmp_path, PIEZO_TRANSFORMER)
    assert db_at(hz, h, f0_hz) == pytest.approx(-13.010, abs=1e-3)
    assert db_at(hz, h, 2) - db_at(hz, h, 1) == pytest.approx(12.041, abs=1e-3)
    # ngspice 39, rounded (tests/reference/p1n_50h_50k.csv).
    for at_hz, level_db in ((10, -74.11), (100, -35.42), (1000, -10.16)):
        assert db_at(hz, h, at_hz) == pytest.approx(level_db, abs=0.005)


@pytest.mark.parametrize("metres", [0.0, 3.0, 10.0])
def test_resonance_of_a_coil(program: Program, metres: float, tmp_path: Path) -> None:
    """A coil and all capacitance across it resonate at f0 = 1 / (2 pi sqrt(L C)); cable moves the peak down.

    A parallel resistance R damps it to Q = R / (2 pi f0 L) = R sqrt(C / L), and with a coil resistance of
    next to nothing |H(f0)| = Q (0.2 ohm: within 2e-4 dB; of 0.1 ohm the coil alone would be beyond 1e6, which is refused). 4.7 H and 120 pF: 6702 Hz; with 3 m of cable (420 pF) 3582 Hz.
    """
    load = "470k" + (f" || {metres:g} m" if metres else "")
    henries, farads, ohms = 4.7, 120e-12 + metres * 100e-12, 470e3
    f0_hz = 1 / (2 * math.pi * math.sqrt(henries * farads))
    if metres in (0.0, 3.0):
        assert f0_hz == pytest.approx({0.0: 6702, 3.0: 3582}[metres], abs=0.5)
    hz, h = curve(program, tmp_path, COIL.format(ohms="0.2", load=load))
    q = ohms / (2 * math.pi * f0_hz * henries)
    assert q == pytest.approx(ohms * math.sqrt(farads / henries), rel=1e-12)
    assert db_at(hz, h, f0_hz) == pytest.approx(20 * math.log10(q), abs=1e-3)


def test_q_of_a_coil_with_losses_in_series_and_in_parallel(program: Program, tmp_path: Path) -> None:
    """1 / Q = Rs / (w0 L) + w0 L / Rp where both are small: 8.2 kilohm, 4.7 H, 420 pF, 470 kilohm.

    With w0 = 2 pi 3582 Hz, w0 L = 105.8 k: 1 / Q = 0.0775 + 0.2251, Q = 3.305, 10.38 dB. At the undamped
    resonance the exact |H| is 1 / |Rs / Rp + j (Rs w0 C + w0 L / Rp)|: 10.37 dB.
    """
    hz, h = curve(program, tmp_path, COIL.format(ohms="8k2", load="470k || 3 m"))
    w0 = 1 / math.sqrt(4.7 * 420e-12)
    assert 1 / (8.2e3 / (w0 * 4.7) + w0 * 4.7 / 470e3) == pytest.approx(3.305, abs=5e-3)
    level_db = db_at(hz, h, w0 / (2 * math.pi))
    exact = 1 / abs(complex(8.2e3 / 470e3, 8.2e3 * w0 * 420e-12 + w0 * 4.7 / 470e3))
    assert level_db == pytest.approx(20 * math.log10(exact), abs=1e-4)
    assert level_db == pytest.approx(20 * math.log10(3.305), abs=0.05)
