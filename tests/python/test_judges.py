"""The judges judged: our formulas against ngspice, scipy and the handbook figures. Needs no program."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import signal

from circuit import Circuit, loss_db, ohms_for_loss, parallel, pitch_hz
from nodal import responses
from tables import ac_names, described_names, preset, rc_names, read


def test_enough_circuits() -> None:
    """Eight RC circuits and twenty with more in them, and each table says its circuit in one way."""
    assert len(rc_names()) >= 8
    assert len(described_names()) >= 20
    assert sorted(rc_names() + described_names()) == ac_names()


@pytest.mark.parametrize("name", described_names())
def test_nodal_analysis_meets_ngspice_ac(name: str) -> None:
    """The netlist that nodal.py makes of the file of setups against ngspice's of the one written by hand.

    1e-9 relative: as for the formula below.
    """
    table = read(name)
    circuit = preset(name)
    (setup,) = circuit["setup"]
    ours = responses(circuit, setup, table.columns["freq_hz"])
    spice = table.responses()
    assert spice.keys() == ours.keys() - {"both"}
    if "both" in ours:
        spice["both"] = spice["1"] + spice["2"]
    for pickup, expected in spice.items():
        assert np.max(np.abs(ours[pickup] / expected - 1)) < 1e-9, pickup


@pytest.mark.parametrize("name", rc_names())
def test_formula_meets_ngspice_ac(name: str) -> None:
    """ngspice `.ac`; 1e-9 relative leaves room for the 12 decimals of its tables."""
    table = read(name)
    spice = table.responses()["1"]
    ours = Circuit(**table.values).at(table.columns["freq_hz"])
    assert np.max(np.abs(ours / spice - 1)) < 1e-9


@pytest.mark.parametrize("name", rc_names())
def test_formula_meets_scipy_freqs(name: str) -> None:
    """scipy.signal.freqs of Cp s / ((Cp + C) s + gl + gR): an evaluation that is not ours."""
    table = read(name)
    c = Circuit(**table.values)
    leak, load = 1 / c.leak_ohms, 1 / c.load_ohms
    hz = table.columns["freq_hz"]
    _, h = signal.freqs([c.pickup_farads, 0], [c.pickup_farads + c.load_farads, leak + load], 2 * np.pi * hz)
    assert np.max(np.abs(c.at(hz) / h - 1)) < 1e-12


@pytest.mark.parametrize(("column", "ohms"), [("22m", 22e6), ("470k", 470e3), ("56k", 56e3)])
def test_scipy_lsim_meets_ngspice_tran(column: str, ohms: float) -> None:
    """scipy.signal.lsim, exact for an input of straight lines, against ngspice `.tran`.

    Between samples a curve leaves its chord by at most max|x''| T^2 / 8, an eighth of the largest second
    difference; a high-pass, whose impulse response (a unit pulse less w exp(-w t)) has the absolute
    integral 2, makes at most twice that of it.
    """
    table = read("pluck_680p")
    open_volts, spice = table.columns["open_volts"], table.columns[f"load_{column}_volts"]
    w = Circuit(table.values["pickup_farads"], ohms).corner_rad
    time = np.arange(open_volts.size) / table.values["rate_hz"]
    _, y, _ = signal.lsim(([1, 0], [1, w]), open_volts, time)
    bar = 2 * np.max(np.abs(np.diff(open_volts, 2))) / 8
    assert bar < 0.01 * np.max(np.abs(spice))
    assert np.max(np.abs(y - spice)) < bar


def test_textbook_figures() -> None:
    """RC corners and losses of physics texts, to the digits in which they are usually told."""
    for ohms, hz in ((100e3, 1592), (1e6, 159.2), (33e6, 4.82)):
        assert float(f"{Circuit(1e-9, ohms).corner_hz:.4g}") == pytest.approx(hz, rel=1e-3)
    assert parallel(10e6, 50e3) == pytest.approx(49.75e3, rel=1e-4)
    e1 = pitch_hz("E1")
    for ohms, lost in ((47e3, 38.3), (100e3, 31.7), (1e6, 12.0), (10e6, 0.60)):
        assert loss_db(Circuit(1e-9, ohms).corner_hz, e1) == pytest.approx(lost, abs=0.05)
    for most_db, ohms in ((0.1, 25.3e6), (0.5, 11.06e6), (1.0, 7.59e6), (3.0, 3.87e6)):
        assert ohms_for_loss(1e-9, e1, most_db) == pytest.approx(ohms, rel=2e-3)


def test_pitches_of_iso_16() -> None:
    """Equal temperament, A4 = 440 Hz; 41.203 and 30.868 Hz as tables of pitches print them."""
    for name, hz in (("A1", 55.0), ("E1", 41.203), ("B0", 30.868), ("A4", 440.0), ("C4", 261.626)):
        assert pitch_hz(name) == pytest.approx(hz, abs=6e-4)
    assert math.isclose(pitch_hz("A2") / pitch_hz("A1"), 2.0)
