"""Ranges of `firstjack tell --json` against 10,000 random draws of every value within its tolerance, solved in numpy.

Circuits beyond R and C are solved by nodal analysis (nodal.py), from the same file; R and C by the textbook's formula. To the draws
come the corners of the box of values, where figures that rise or fall with every value have their extremes.
"""

from __future__ import annotations

import itertools
import json
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from circuit import pitch_hz
from conftest import Program
from nodal import Fields, responses, value

SEED = 2_027
DRAWS = 10_000
# Of the spread: a summit on a narrow ridge is only come near to by draws.
NEAR = 0.03

STRINGS = ["E1", "A1", "D2", "G2"]
HZ = np.array([pitch_hz(name) for name in STRINGS])

HEAD = 'version = 4\nname = "spread"\ninstrument = "bass"\nrecorded = { load = "none" }\n'

CIRCUITS = {
    "plain": """
        pickup = { capacitance = "680 pF ±30 %" }
        [[setup]]
        name = "a"
        load = "1M ±20 % || 6 m ±10 %"
    """,
    "transformer": """
        pickup = { capacitance = "1 nF ±30 %" }
        [[setup]]
        name = "a"
        chain = [{ box = "b", transformer = { primary = "47 H ±50 %", winding = "1k5", ratio = "12 ±1 %", secondary = "22k ±5 %" } }]
    """,
    "primary across": """
        pickup = { capacitance = "47 nF ±50 %" }
        [[setup]]
        name = "a"
        load = "100 H ±50 % || 1M ±20 %"
    """,
    "coil": """
        pickup = { inductance = "4.7 H ±10 %", resistance = "8k2 ±10 %", volume = { resistance = "470k ±20 %", position = "60 %" } }
        [[setup]]
        name = "a"
        chain = [{ cable = "6 m", per_metre = "100 pF ±30 %" }, { box = "b", input = "47k ±20 %", blocking = "47n ±20 %" }]
    """,
    "blocking": """
        pickup = { capacitance = "1 nF ±60 %" }
        [[setup]]
        name = "a"
        chain = [
            { splitter = "s", resistor = "10k ±20 %", branch = [{ box = "t", input = "47k ±20 %", blocking = "10n ±20 %" }] },
            { box = "b", input = "1M ±20 %", blocking = "4n7 ±20 %" },
        ]
    """,
    "blend": """
        [[blend]]
        capacitance = "1 nF ±30 %"
        mixing = "100k ±5 %"
        [[blend]]
        capacitance = "2n2 ±30 %"
        mixing = "100k ±5 %"
        polarity = "reversed"
        [[setup]]
        name = "a"
        load = "1M ±20 %"
    """,
}


def toleranced(given: Any) -> int:
    """How many values carry a tolerance."""
    if isinstance(given, dict):
        return sum(map(toleranced, given.values()))
    if isinstance(given, list):
        return sum(map(toleranced, given))
    return given.count("±") if isinstance(given, str) else 0


def settled(given: Any, places: list[float]) -> Any:
    """The same with values at places within their tolerances, -1 to 1, in the order in which they stand."""
    if isinstance(given, dict):
        return {key: settled(inner, places) for key, inner in given.items()}
    if isinstance(given, list):
        return [settled(inner, places) for inner in given]
    if not isinstance(given, str) or "±" not in given:
        return given
    parts = []
    for part in given.split(" || "):
        said, _, tolerance = part.partition("±")
        if tolerance:
            farads = "F" if any(letter in said for letter in "npuF") else ""
            unit = next((unit for unit in "Hm" if said.strip().endswith(unit)), farads)
            size = value(said) * (1 + places.pop(0) * float(tolerance.replace("%", "")) / 100)
            part = f"{size:.17g} {unit}".strip()
        parts.append(part)
    return " || ".join(parts)


def losses(preset: Fields) -> np.ndarray:
    """What each string loses, in dB."""
    heard = responses(preset, preset["setup"][0], HZ)
    return -20 * np.log10(np.abs(heard.get("both", heard["1"])))


@pytest.mark.parametrize("name", CIRCUITS)
def test_ten_thousand_draws_lie_within(program: Program, name: str, tmp_path: Path) -> None:
    """None outside, and no range wider than what is drawn."""
    lines = CIRCUITS[name].strip().splitlines()
    text = HEAD + "\n".join(line.strip() for line in lines) + "\n"
    (tmp_path / "spread.toml").write_text(text)
    told = json.loads(program("tell", "--setups", tmp_path / "spread.toml", "--json"))["setups"][0]
    preset = tomllib.loads(text)
    count = toleranced(preset)
    assert count > 1
    rng = np.random.default_rng(SEED)
    corners = itertools.product([-1.0, 1.0], repeat=count)
    places = [*map(list, corners), *rng.uniform(-1, 1, (DRAWS, count)).tolist()]
    drawn = np.array([losses(settled(preset, at)) for at in places])
    for index, string in enumerate(told["strings"]):
        assert string["name"] == STRINGS[index]
        low, high = drawn[:, index].min(), drawn[:, index].max()
        slack = NEAR * (high - low) + 1e-6
        assert low - slack <= string["loss_low_db"] <= low + 1e-6, string["name"]
        assert high - 1e-6 <= string["loss_high_db"] <= high + slack, string["name"]
        middle = losses(settled(preset, [0.0] * count))[index]
        assert string["loss_db"] == pytest.approx(middle, rel=1e-9, abs=1e-9)


def test_a_pickup_by_the_textbook(program: Program) -> None:
    """R and C in numpy's own arithmetic: losses, corner, and the input that suffices for every draw."""
    typed = ["--pickup", "680p ±30%", "--load", "1M ±20%", "--strings", "A1", "--json"]
    told = json.loads(program("tell", *typed))
    rng = np.random.default_rng(SEED)
    farads = 680e-12 * (1 + 0.3 * rng.uniform(-1, 1, DRAWS))
    ohms = 1e6 * (1 + 0.2 * rng.uniform(-1, 1, DRAWS))
    corner = 1 / (2 * np.pi * ohms * farads)
    lost = 10 * np.log10(1 + (corner / 55.0) ** 2)
    string = told["strings"][0]
    for drawn, low, high in [
        (lost, string["loss_low_db"], string["loss_high_db"]),
        (corner, told["corner_low_hz"], told["corner_high_hz"]),
    ]:
        slack = NEAR * (drawn.max() - drawn.min())
        assert drawn.min() - slack <= low <= drawn.min() + 1e-9
        assert drawn.max() - 1e-9 <= high <= drawn.max() + slack
    needed = 1 / (2 * np.pi * 55.0 * np.sqrt(10**0.1 - 1) * farads)
    assert needed.max() <= told["ask_for_ohms"] <= 1.01 * needed.max()


def test_a_resonance_within_the_tolerances(program: Program, tmp_path: Path) -> None:
    """Where an inductance can resonate with the pickup at the string itself, the largest gain there is w C R with both at their upper
    ends (textbook: a parallel resonance leaves the resistance alone), to a millionth; no draw comes nearer than 1 dB."""
    text = HEAD + "\n".join(line.strip() for line in CIRCUITS["primary across"].strip().splitlines()) + "\n"
    (tmp_path / "spread.toml").write_text(text)
    told = json.loads(program("tell", "--setups", tmp_path / "spread.toml", "--json"))["setups"][0]
    for index, string in enumerate(told["strings"]):
        henries = 1 / ((2 * np.pi * HZ[index]) ** 2 * 1.5 * 47e-9)
        if 50 <= henries <= 150:
            gain = 20 * np.log10(2 * np.pi * HZ[index] * 1.5 * 47e-9 * 1.2e6)
            assert string["loss_low_db"] == pytest.approx(-gain, abs=1e-5), string["name"]
            break
    else:
        pytest.fail("no string resonates")


def test_the_band_of_a_curve_holds_the_draws(program: Program, tmp_path: Path) -> None:
    """`curve -o x.csv`: the outer columns at every frequency, R and C by the textbook."""
    typed = ["--pickup", "680p ±30%", "--load", "1M ±20%", "-o", tmp_path / "band.csv"]
    program("curve", *typed)
    rows = (tmp_path / "band.csv").read_text().splitlines()
    assert rows[0] == "setup,pickup,hz,re,im,db,low_db,high_db"
    table = np.array([[float(x) for x in row.split(",")[2:]] for row in rows[1:]])
    hz, db, low, high = table[:, 0], table[:, 3], table[:, 4], table[:, 5]
    for sign, edge in [(-1, low), (1, high), (0, db)]:
        corner = 1 / (2 * np.pi * 1e6 * (1 + sign * 0.2) * 680e-12 * (1 + sign * 0.3))
        assert edge == pytest.approx(-10 * np.log10(1 + (corner / hz) ** 2), abs=1e-9)


def test_the_draws_themselves() -> None:
    """Values that are settled are the ones that are meant."""
    assert settled({"load": "1M ±20 % || 6 m ±50 % || 47p"}, [1.0, -1.0]) == {"load": "1200000 || 3 m || 47p"}
    assert value(settled("4n7 ±20 %", [0.0])) == pytest.approx(4.7e-9)
    assert value(settled("4.7 H ±10 %", [1.0])) == pytest.approx(5.17)
