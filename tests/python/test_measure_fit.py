"""Parts of `firstjack measure pickup` against others: the sweep against its formula, the whole against numpy and scipy, the circuit in ngspice."""

from __future__ import annotations

import subprocess
from pathlib import Path

import numpy as np
import pytest
from scipy import signal
from scipy.optimize import least_squares

from conftest import Program
from interface import Reals
from sweeps import RESISTOR, Sounds, Take, drawn_pickup

LOWEST_HZ, HIGHEST_HZ, SECONDS, PERIOD = 15.0, 21_000.0, 2.0, 2.4
OCTAVES = np.log(HIGHEST_HZ / LOWEST_HZ)


@pytest.fixture(scope="module")
def sounds(program: Program, tmp_path_factory: pytest.TempPathFactory) -> Sounds:
    """The program's own test sounds."""
    return Sounds(program, tmp_path_factory.mktemp("sounds"))


@pytest.mark.parametrize("rate", [48_000, 96_000])
def test_spectrum(sounds: Sounds, rate: int) -> None:
    """A sweep whose frequency rises exponentially has the power spectrum A² T / (4 f ln(f1/f0)), by stationary phase (any text on radar): third
    octaves of it, between the fades."""
    sound = sounds.at(rate)
    once = sound[round(0.4 * rate) : round(2.4 * rate)]
    power = np.abs(np.fft.rfft(once, 4 * rate)) ** 2 / rate**2
    hz = np.fft.rfftfreq(4 * rate, 1 / rate)
    for centre in np.geomspace(40, 16_000, 27):
        band = (hz > centre / 2 ** (1 / 6)) & (hz < centre * 2 ** (1 / 6))
        formula = 0.1**2 * SECONDS / (4 * hz[band] * OCTAVES)
        off_db = 10 * np.log10(power[band].mean() / formula.mean())
        assert abs(off_db) < 0.1, f"{centre:.0f} Hz: {off_db} dB"
    starts = [np.abs(sound[round((0.4 + k * PERIOD) * rate) :][: once.size] - once).max() for k in range(3)]
    assert max(starts) == 0.0


def responses(samples: Reals, sweep: Reals, rate: int) -> list[Reals]:
    """The three sweeps of a recording deconvolved, found by correlation."""
    found = np.abs(signal.correlate(samples, sweep, mode="valid", method="fft"))
    period = round(PERIOD * rate)
    together = found[: found.size - 2 * period] + found[period : found.size - period] + found[2 * period :]
    first = int(np.argmax(together))
    length = round(PERIOD * rate)
    x = np.fft.rfft(sweep, length)
    inverse = np.conj(x) / (np.abs(x) ** 2 + 1e-6 * np.max(np.abs(x) ** 2))
    cuts = (samples[first + k * period :][: round(2.2 * rate)] for k in range(3))
    return [np.fft.rfft(cut, length) * inverse for cut in cuts]


def levels(step: list[Reals], reference: list[Reals], rate: int) -> tuple[Reals, Reals, Reals]:
    """Hz, dB over the reference and its standard error in sixths of an octave, clear of the mains of either kind. Power against power, so that no
    delay counts."""
    hz = np.fft.rfftfreq(round(PERIOD * rate), 1 / rate)
    away = [np.abs(hz - mains * np.maximum(1, np.round(hz / mains))) for mains in (50, 60)]
    clear = (hz > 1_300) | (np.minimum(*away) > 2.5)
    rows = []
    for centre in 100 * 2 ** (np.arange(44) / 6):
        band = clear & (hz > centre / 2 ** (1 / 12)) & (hz < centre * 2 ** (1 / 12))
        if band.sum() < 4:
            continue
        power = [np.sum(np.abs(a[band]) ** 2) / np.sum(np.abs(b[band]) ** 2) for a, b in zip(step, reference)]
        db = 10 * np.log10(power)
        rows.append((centre, db.mean(), db.std(ddof=1) / np.sqrt(3)))
    return tuple(np.array(rows).T)


def fitted(empty: tuple[Reals, ...], plugged: tuple[Reals, ...]) -> Reals:
    """Ohms and farads of the input, and the pickup's farads, behind 100 kΩ, by scipy."""

    def left(ln: Reals) -> Reals:
        ohms, input_farads, farads = np.exp(ln)
        parts = []
        for (hz, db, error), capacitance in ((empty, input_farads), (plugged, input_farads + farads)):
            admittance = 1 / ohms + 2j * np.pi * hz * capacitance
            parts.append((db + 20 * np.log10(np.abs(1 + 100e3 * admittance))) / np.hypot(error, 0.03))
        return np.concatenate(parts)

    starts = [np.log([1e6, 300e-12, farads]) for farads in (300e-12, 3e-9)]
    fits = [least_squares(left, start, loss="soft_l1", x_scale=[1, 1, 1]) for start in starts]
    return np.exp(min(fits, key=lambda fit: fit.cost).x)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_numpy_and_scipy(program: Program, sounds: Sounds, seed: int, tmp_path: Path) -> None:
    """The same recordings, deconvolved by numpy and fitted by scipy: values within 0.7 %, where noise is -90 dBFS and hum -60."""
    draw = np.random.default_rng(seed)
    _, _, take = drawn_pickup(draw, RESISTOR, sounds, noise_db=-90, hum_db=-60, bits=24, output_ohms=150)
    rate = take.rate
    sweep = sounds.at(rate)[round(0.4 * rate) : round(2.4 * rate)]
    reference, empty, plugged = (responses(samples, sweep, rate) for samples in take.recordings.values())
    judged = fitted(levels(empty, reference, rate), levels(plugged, reference, rate))
    told = take.measured(program, tmp_path, "pickup", RESISTOR)
    for key, value in zip(("input_ohms", "input_f", "capacitance_f"), judged):
        bar = 0.03 if key == "input_ohms" else 0.007
        assert told[key]["value"] == pytest.approx(value, rel=bar), key


NETLIST = """three steps side by side, each behind an output of 120 ohms
Bsweep s 0 V = u(time-0.2)*u(2.2-time)*0.1*(0.5-0.5*cos(3.14159265358979*min(1,max(0,min(time-0.2,2.2-time))/0.05)))
+ *sin(2*3.14159265358979*15*2/7.24422751560335*(exp(7.24422751560335*max(0,time-0.2)/2)-1))
Ra s r 120
Rr r 0 1meg
Cr r 0 150p
Rb s b 120
Rkb b e 100.4k
Re e 0 1meg
Ce e 0 400p
Rc s c 120
Rkc c p 100.4k
Rp p 0 1meg
Cp p 0 400p
Cx p 0 680p
.options reltol=1e-5
.control
set numdgt=9
save v(r) v(e) v(p)
tran 20.8333333333us 2.4 0 2.5us
linearize v(r) v(e) v(p)
wrdata out.txt v(r) v(e) v(p)
quit 0
.endc
.end
"""


def test_ngspice_tran(program: Program, tmp_path: Path) -> None:
    """The sweep and the circuit simulated in time: 680 pF, 1 MΩ and 400 pF behind 100.4 kΩ, which is stated as 100k ±1 %."""
    (tmp_path / "lead.cir").write_text(NETLIST)
    subprocess.run(["ngspice", "-b", "lead.cir"], cwd=tmp_path, check=True, capture_output=True, timeout=300)
    columns = np.loadtxt(tmp_path / "out.txt", usecols=(1, 3, 5), max_rows=115_200)
    gap = np.zeros(9_600)
    recordings = {
        name: np.concatenate([gap, *[column] * 3]) for name, column in zip(("reference", "empty", "plugged"), columns.T)
    }
    told = Take(48_000, 24, recordings).measured(program, tmp_path, "pickup", RESISTOR)
    # What the resistor is off, the results are.
    scale = 100.4 / 100
    assert told["capacitance_f"]["value"] == pytest.approx(680e-12 * scale, rel=0.01)
    assert told["input_f"]["value"] == pytest.approx(400e-12 * scale, rel=0.01)
    assert told["input_ohms"]["value"] == pytest.approx(1e6 / scale, rel=0.01)
    assert told["capacitance_f"]["low"] < 680e-12 < told["capacitance_f"]["high"]
