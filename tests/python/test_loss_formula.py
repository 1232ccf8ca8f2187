"""`firstjack tell --json` against the loss formula, solved and evaluated in numpy's own arithmetic.

Sources: textbook RC (corner 1 / (2 pi R C), loss 10 log10(1 + (fc / f)^2)), Ohm (parallel resistors),
ISO 16 with equal temperament (pitches). The figures to one decimal are handbook-style check values worked out
from the same textbook formula beforehand.
"""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest

from circuit import Circuit, loss_db, ohms_for_loss, parallel, pitch_hz
from conftest import Program

# The strings of the two instruments, low to high: common practice, no source.
STRINGS = {
    "guitarron": ["A1", "D2", "G2", "C3", "E3", "A2"],
    "bass": ["E1", "A1", "D2", "G2"],
}


def tell(program: Program, pickup: str, load: str, instrument: str, *more: str) -> dict[str, Any]:
    """What the program tells a script."""
    typed = ["--pickup", pickup, "--load", load, "--instrument", instrument, "--json", *more]
    told: dict[str, Any] = json.loads(program("tell", *typed))
    return told


@pytest.mark.parametrize("instrument", ["guitarron", "bass"])
@pytest.mark.parametrize(
    ("pickup", "farads", "load", "ohms"),
    [
        ("680p", 680e-12, "470k || 1M", parallel(470e3, 1e6)),
        ("680 pF", 680e-12, "56k", 56e3),
        ("1n", 1e-9, "2M2", 2.2e6),
        ("0.02 µF", 20e-9, "10 kΩ", 10e3),
        ("200p", 200e-12, "1M || 1M || 22M", parallel(1e6, 1e6, 22e6)),
    ],
)
def test_every_key(
    program: Program, pickup: str, farads: float, load: str, ohms: float, instrument: str
) -> None:
    """All keys, to the digits of a double that went through two ways of writing the same sums."""
    told = tell(program, pickup, load, instrument)
    circuit = Circuit(farads, ohms)
    assert told["load_ohms"] == pytest.approx(ohms, rel=1e-9)
    assert told["corner_hz"] == pytest.approx(circuit.corner_hz, rel=1e-9)
    assert [x["name"] for x in told["strings"]] == STRINGS[instrument]
    for string in told["strings"]:
        assert string["hz"] == pytest.approx(pitch_hz(string["name"]), rel=1e-9)
        lost = loss_db(circuit.corner_hz, pitch_hz(string["name"]))
        assert string["loss_db"] == pytest.approx(lost, rel=1e-9, abs=1e-12)
    lowest = min(pitch_hz(name) for name in STRINGS[instrument])
    assert told["ask_for_ohms"] == pytest.approx(ohms_for_loss(farads, lowest, 1.0), rel=1e-9)


def test_shunt_capacitance_counts_as_loss(program: Program) -> None:
    """6 m of cable at 100 pF/m: the corner moves down, and level is lost at every frequency."""
    told = tell(program, "680p", "470k || 6 m", "guitarron")
    circuit = Circuit(680e-12, 470e3, 600e-12)
    assert told["corner_hz"] == pytest.approx(circuit.corner_hz, rel=1e-9)
    for string in told["strings"]:
        at = circuit.at(np.array([string["hz"]]))
        assert string["loss_db"] == pytest.approx(-20 * np.log10(np.abs(at[0])), rel=1e-9)


def lowest_loss_db(told: dict[str, Any]) -> float:
    """The loss at the string with the lowest pitch."""
    return float(min(told["strings"], key=lambda x: x["hz"])["loss_db"])


@pytest.mark.parametrize(
    ("load", "lost_db"), [("47k", 38.3), ("100k", 31.7), ("1M", 12.0), ("10M", 0.60)]
)
def test_one_nanofarad_at_low_e(program: Program, load: str, lost_db: float) -> None:
    told = tell(program, "1n", load, "bass")
    digits = 0.005 if load == "10M" else 0.05
    assert lowest_loss_db(told) == pytest.approx(lost_db, abs=digits)


@pytest.mark.parametrize(
    ("load", "lost_db"),
    [("56k", 37.6), ("470k", 19.2), ("1M", 12.8), ("1M || 22M", 13.2), ("22M", 0.16)],
)
def test_the_guitarron_at_low_a(program: Program, load: str, lost_db: float) -> None:
    told = tell(program, "680p", load, "guitarron")
    digits = 0.005 if load == "22M" else 0.05
    assert lowest_loss_db(told) == pytest.approx(lost_db, abs=digits)


@pytest.mark.parametrize(
    ("load", "hz"), [("100k", 1592.0), ("1M", 159.2), ("33M", 4.82)]
)
def test_textbook_corners(program: Program, load: str, hz: float) -> None:
    assert tell(program, "1n", load, "bass")["corner_hz"] == pytest.approx(hz, rel=1e-3)


def test_ten_megohm_beside_fifty_kilohm(program: Program) -> None:
    """Ohm: 49.75 kilohm."""
    assert tell(program, "1n", "10M || 50k", "bass")["load_ohms"] == pytest.approx(49.75e3, rel=1e-4)


@pytest.mark.parametrize(
    ("most_db", "ohms"), [("0.1", 25.3e6), ("0.5", 11.06e6), ("1", 7.59e6), ("3", 3.87e6)]
)
def test_the_load_to_ask_for(program: Program, most_db: str, ohms: float) -> None:
    """The check values, to their digits, and the closed form in full."""
    told = tell(program, "1n", "1M", "bass", "--max-loss", most_db)
    assert told["ask_for_ohms"] == pytest.approx(ohms, rel=2e-3)
    exact = ohms_for_loss(1e-9, pitch_hz("E1"), float(most_db))
    assert told["ask_for_ohms"] == pytest.approx(exact, rel=1e-9)
    assert loss_db(Circuit(1e-9, told["ask_for_ohms"]).corner_hz, pitch_hz("E1")) == pytest.approx(
        float(most_db), rel=1e-9
    )
