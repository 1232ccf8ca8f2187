"""`firstjack rescue --json` against scipy: the filters, what they are asked for, and that no setting of the desk comes closer.

Sources: the filters are those of the "Audio EQ Cookbook" (R. Bristow-Johnson, W3C Working Group Note, 2021; coefficients from
memory), evaluated on the unit circle; what is needed comes from nodal analysis (nodal.py); the settings from `scipy.optimize.least_squares` with bounds (trust region reflective), from many random starts.
"""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import least_squares

from conftest import Program
from nodal import responses

Reals = NDArray[np.float64]

PRESETS = Path(__file__).resolve().parents[2] / "presets"

# How far our best may be from scipy's, and a bell from being worth it, in dB rms.
BAR_DB = 0.02
ENOUGH_DB = 0.1
STARTS = 40


def coefficients(kind: str, hz: float, gain_db: float, q: float, rate_hz: float) -> tuple[Reals, Reals]:
    """`b` and `a` of the cookbook, the lowest power of 1/z first."""
    a = 10 ** (gain_db / 40)
    w0 = 2 * np.pi * hz / rate_hz
    cos, alpha = np.cos(w0), np.sin(w0) / (2 * q)
    if kind == "bell":
        return (
            np.array([1 + alpha * a, -2 * cos, 1 - alpha * a]),
            np.array([1 + alpha / a, -2 * cos, 1 - alpha / a]),
        )
    assert kind == "low_shelf"
    root = 2 * np.sqrt(a) * alpha
    return (
        a * np.array([a + 1 - (a - 1) * cos + root, 2 * (a - 1 - (a + 1) * cos), a + 1 - (a - 1) * cos - root]),
        np.array([a + 1 + (a - 1) * cos + root, -2 * (a - 1 + (a + 1) * cos), a + 1 + (a - 1) * cos - root]),
    )


def band_db(kind: str, hz: float, gain_db: float, q: float, at_hz: Reals, rate_hz: float) -> Reals:
    """The response of one band on the unit circle."""
    b, a = coefficients(kind, hz, gain_db, q, rate_hz)
    z = np.exp(-2j * np.pi * at_hz / rate_hz)
    ratio = (b[0] + b[1] * z + b[2] * z * z) / (a[0] + a[1] * z + a[2] * z * z)
    return 20 * np.log10(np.abs(ratio))


def total_db(controls: Reals, at_hz: Reals, rate_hz: float) -> Reals:
    """A shelf (corner, gain), then bells (centre, gain, Q); frequencies and Q by their logarithm."""
    total = band_db("low_shelf", np.exp(controls[0]), controls[1], np.sqrt(0.5), at_hz, rate_hz)
    for centre, gain_db, q in controls[2:].reshape(-1, 3):
        total = total + band_db("bell", np.exp(centre), gain_db, np.exp(q), at_hz, rate_hz)
    return total


def limits(desk: dict[str, Any], bells: int) -> tuple[Reals, Reals]:
    """Lower and upper bounds of the controls."""
    gain = np.array([-desk["most_gain_db"], desk["most_gain_db"]])
    bell = [np.log(desk["bell_hz"]), gain, np.log(desk["bell_q"])]
    both = np.array([np.log(desk["shelf_hz"]), gain, *(bell * bells)])
    return both[:, 0], both[:, 1]


def best_rms_db(needed_db: Reals, at_hz: Reals, rate_hz: float, desk: dict[str, Any], bells: int) -> float:
    """What scipy leaves at best, the level taken out."""
    low, high = limits(desk, bells)

    def left(controls: Reals) -> Reals:
        apart = total_db(controls, at_hz, rate_hz) - needed_db
        return apart - apart.mean()

    random = np.random.default_rng(2_026 + bells)
    found = []
    for _ in range(STARTS if bells else 5):
        start = low + (high - low) * random.uniform(0.05, 0.95, low.size)
        solved = least_squares(left, start, bounds=(low, high))
        found.append(float(np.sqrt(np.mean(left(solved.x) ** 2))))
    return min(found)


def sheet(program: Program, *typed: str | Path) -> dict[str, Any]:
    """What the program tells a script."""
    told: dict[str, Any] = json.loads(program("rescue", *typed, "--json"))
    return told


def column(setup: dict[str, Any], name: str) -> Reals:
    """A column of a setup's curve."""
    return np.array([point[name] for point in setup["curve"]])


def needed_db(preset: dict[str, Any], setup: dict[str, Any], hz: Reals) -> Reals:
    """What is lost in a setup against the take as recorded, by nodal analysis."""
    (recorded,) = responses(preset, preset["recorded"], hz).values()
    (heard,) = responses(preset, setup, hz).values()
    return -20 * np.log10(np.abs(heard / recorded))


@pytest.mark.parametrize("rate_hz", [44_100, 48_000, 96_000])
@pytest.mark.parametrize("name", ["courtyard", "passive", "loads", "magnetic-single"])
def test_the_sheet_tells_what_its_settings_do(program: Program, name: str, rate_hz: int) -> None:
    """Needed, given and left over the band, to 1e-9 dB of the cookbook's filters and 1e-6 dB of nodal analysis, and the rms of it."""
    path = PRESETS / f"{name}.toml"
    preset = tomllib.loads(path.read_text().replace("Ω", ""))
    told = sheet(program, "--setups", path, "--rate", str(rate_hz))
    assert [setup["name"] for setup in told["setups"]] == [setup["name"] for setup in preset["setup"]]
    for setup, asked in zip(told["setups"], preset["setup"], strict=True):
        hz = column(setup, "hz")
        lowest = min(string["hz"] for string in setup["strings"])
        assert hz[0] == pytest.approx(lowest * 2 ** (-1 / 3), rel=1e-12)
        assert hz[-1] == 16e3
        assert np.ptp(np.diff(np.log(hz))) < 1e-9, "each octave alike"
        needed = needed_db(preset, asked, hz)
        assert np.abs(column(setup, "needed_db") - needed).max() < 1e-6
        given = setup["level_db"] + sum(
            band_db(band["kind"], band["hz"], band["gain_db"], band["q"], hz, rate_hz) for band in setup["bands"]
        )
        assert np.abs(column(setup, "given_db") - given).max() < 1e-9
        left = needed - given
        assert np.abs(column(setup, "left_db") - left).max() < 1e-6
        assert setup["left_rms_db"] == pytest.approx(np.sqrt(np.mean(left**2)), abs=1e-6)
        assert abs(left.mean()) < 1e-6, "the best level"
        assert abs(setup["worst"]["left_db"]) == pytest.approx(np.abs(left).max(), abs=1e-6)
        for string in setup["strings"]:
            at = needed_db(preset, asked, np.array([string["hz"]]))[0]
            assert string["needed_db"] == pytest.approx(at, abs=1e-6)
            assert string["left_db"] == pytest.approx(string["needed_db"] - string["given_db"], abs=1e-9)


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("courtyard", []),
        ("courtyard", ["--desk-gain", "12", "--desk-q", "0.7-2", "--rate", "44100"]),
        ("passive", []),
        ("passive", ["--desk-gain", "6", "--desk-shelf", "80-80", "--rate", "96000"]),
        ("loads", ["--desk-bells", "100-10k"]),
        ("magnetic-single", []),
        ("magnetic-double", []),
        ("blocking", ["--desk-gain", "18"]),
    ],
)
def test_no_setting_comes_closer(program: Program, name: str, typed: list[str]) -> None:
    """With no bell, one and two: what ours leaves is at most 0.02 dB rms above the best that scipy finds; a bell that is used is worth
    0.1 dB, and no setting is outside of the desk."""
    path = PRESETS / f"{name}.toml"
    told = sheet(program, "--setups", path, *typed)
    desk = told["desk"]
    # Bounds of scipy need room.
    roomy = {**desk, "shelf_hz": [desk["shelf_hz"][0] * (1 - 1e-9), desk["shelf_hz"][1] * (1 + 1e-9)]}
    for setup in told["setups"]:
        hz, needed = column(setup, "hz"), column(setup, "needed_db")
        ours = setup["left_rms_by_bells_db"]
        for bells in range(3):
            theirs = best_rms_db(needed, hz, told["rate_hz"], roomy, bells)
            assert ours[bells] <= theirs + BAR_DB, f"{setup['name']}, {bells} bells: {ours[bells]}, scipy {theirs}"
        used = len(setup["bands"]) - 1
        assert ours[used] == setup["left_rms_db"] <= min(ours) + ENOUGH_DB
        assert all(fewer > min(ours) + ENOUGH_DB for fewer in ours[:used])
        shelf, *others = setup["bands"]
        assert shelf["kind"] == "low_shelf"
        for band, range_hz in [(shelf, desk["shelf_hz"]), *((bell, desk["bell_hz"]) for bell in others)]:
            assert range_hz[0] * (1 - 1e-9) <= band["hz"] <= range_hz[1] * (1 + 1e-9)
            assert abs(band["gain_db"]) <= desk["most_gain_db"] * (1 + 1e-9)
        assert all(desk["bell_q"][0] * (1 - 1e-9) <= bell["q"] <= desk["bell_q"][1] * (1 + 1e-9) for bell in others)
