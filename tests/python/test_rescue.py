"""`firstjack rescue --json` against scipy: the filters, what they are asked for, and that no setting of the desk comes closer.

Sources: the filters are those of the "Audio EQ Cookbook" (R. Bristow-Johnson, W3C Working Group Note, 2021; coefficients from
memory), evaluated on the unit circle; what is needed comes from nodal analysis (nodal.py); the settings from
`scipy.optimize.least_squares` with bounds (trust region reflective), from many random starts, each brought to the desk's steps by trying
all that are next to it. Steps of frequencies are preferred numbers (ISO 3, R40, from memory).
"""

from __future__ import annotations

import itertools
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

# How far our best may be from scipy's on the same steps, and a bell from being worth it, in dB rms.
BAR_DB = 0.03
ENOUGH_DB = 0.1
STARTS = 15
# So many of what scipy finds are brought to steps.
ROUNDED = 4
# Closer than an octave, less what preferred numbers are rounded by, two bells are one.
APART = 1.95

# fmt: off
R40 = [
    1.0, 1.06, 1.12, 1.18, 1.25, 1.32, 1.4, 1.5, 1.6, 1.7, 1.8, 1.9, 2.0, 2.12, 2.24, 2.36, 2.5, 2.65, 2.8, 3.0,
    3.15, 3.35, 3.55, 3.75, 4.0, 4.25, 4.5, 4.75, 5.0, 5.3, 5.6, 6.0, 6.3, 6.7, 7.1, 7.5, 8.0, 8.5, 9.0, 9.5,
]
# fmt: on
EACH = {"third": 4, "sixth": 2, "twelfth": 1}


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


def bands_db(bands: list[dict[str, Any]], at_hz: Reals, rate_hz: float) -> Reals:
    """The response of all bands that were told."""
    return np.sum([band_db(band["kind"], band["hz"], band["gain_db"], band["q"], at_hz, rate_hz) for band in bands], axis=0)


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


def positions(desk: dict[str, Any], bells: int) -> list[Reals]:
    """Where each control can stand: preferred numbers and multiples of the gain's step between its stops, and these."""

    def preferred(series: str, ends: list[float]) -> Reals:
        numbers = np.array([10.0**decade * number for decade in range(-2, 5) for number in R40[:: EACH[series]]])
        inside = numbers[(numbers > ends[0] * (1 + 1e-6)) & (numbers < ends[1] * (1 - 1e-6))]
        return np.log(np.unique([ends[0], *inside, ends[1]]))

    most, step = desk["most_gain_db"], desk["gain_step_db"]
    gains = np.arange(-np.floor(most / step), np.floor(most / step) + 1) * step
    gain = np.unique([-most, *gains, most])
    bell = [preferred(desk["hz_steps"], desk["bell_hz"]), gain, preferred(desk["q_steps"], desk["bell_q"])]
    return [preferred(desk["hz_steps"], desk["shelf_hz"]), gain, *(bell * bells)]


class Steps:
    """Settings that a desk can have, and what they leave of `asked_db`."""

    def __init__(self, told: dict[str, Any], asked_db: Reals, at_hz: Reals, bells: int) -> None:
        desk = told["desk"]
        self.dials = positions(desk, bells)
        self.asked_db, self.points, self.rate_hz = asked_db, at_hz.size, told["rate_hz"]
        # No boost beyond the limit anywhere that can be heard, judged at semitones.
        self.at_hz = np.concatenate([at_hz, 20 * 2 ** (np.arange(121) / 12)])
        self.most_db = max(0.0, asked_db.min()) + desk["most_boost_db"]

    def cost(self, given: Reals) -> Reals:
        """Of each row: rms of what is left at the best level, and what is forbidden."""
        left = self.asked_db - given[:, : self.points]
        level = np.round(left.mean(axis=1) * 10) / 10
        too_much = np.maximum(given.max(axis=1) + level - self.most_db, 0)
        return np.sqrt(np.mean((left - level[:, None]) ** 2, axis=1)) + 1e3 * too_much

    def best_near(self, controls: Reals) -> float:
        """Goes to the best of all settings one step away, or none, as long as that is better."""
        at = [int(np.abs(dial - control).argmin()) for dial, control in zip(self.dials, controls, strict=True)]
        cost = np.inf
        while True:
            bands = [self.around(at, 0, 2), *(self.around(at, first, 3) for first in range(2, len(at), 3))]
            rows, choices = bands[0][1], [[place] for place in bands[0][0]]
            for places, responses_db in bands[1:]:
                rows = (rows[:, None] + responses_db[None]).reshape(-1, rows.shape[1])
                choices = [[*before, place] for before in choices for place in places]
            costs = self.cost(rows) + [1e3 * self.too_close([i for place in c for i in place]) for c in choices]
            best = int(costs.argmin())
            if costs[best] >= cost:
                return float(cost)
            cost, at = costs[best], [index for place in choices[best] for index in place]

    def around(self, at: list[int], first: int, count: int) -> tuple[list[tuple[int, ...]], Reals]:
        """All places of one band next to where it stands, and the responses there."""
        dials = self.dials[first : first + count]
        near = [
            range(max(i - 1, 0), min(i + 2, d.size)) for i, d in zip(at[first : first + count], dials, strict=True)
        ]
        places = list(itertools.product(*near))
        return places, np.array([self.response_db(place, dials) for place in places])

    def response_db(self, place: tuple[int, ...], dials: list[Reals]) -> Reals:
        values = [dial[index] for dial, index in zip(dials, place, strict=True)]
        kind, q = ("low_shelf", np.sqrt(0.5)) if len(values) == 2 else ("bell", np.exp(values[2]))
        # Beyond half the sample rate there is nothing.
        at_hz = np.minimum(self.at_hz, 0.4999 * self.rate_hz)
        return band_db(kind, np.exp(values[0]), values[1], q, at_hz, self.rate_hz)

    def too_close(self, at: list[int]) -> float:
        if len(at) < 8:
            return 0.0
        a, b = self.dials[2][at[2]], self.dials[5][at[5]]
        return max(0.0, float(np.log(APART) - abs(a - b)))


def best_rms_db(told: dict[str, Any], asked_db: Reals, at_hz: Reals, bells: int) -> float:
    """What scipy's best leave on the desk's steps, the level taken out."""
    desk = told["desk"]
    # Bounds of scipy need room.
    roomy = {key: [ends[0] * (1 - 1e-9), ends[1] * (1 + 1e-9)] for key, ends in desk.items() if isinstance(ends, list)}
    low, high = limits({**desk, **roomy}, bells)

    def left(controls: Reals) -> Reals:
        apart = total_db(controls, at_hz, told["rate_hz"]) - asked_db
        return apart - apart.mean()

    random = np.random.default_rng(2_026 + bells)
    found = []
    for _ in range(STARTS if bells else 5):
        start = low + (high - low) * random.uniform(0.05, 0.95, low.size)
        solved = least_squares(left, start, bounds=(low, high))
        found.append((float(np.sqrt(np.mean(left(solved.x) ** 2))), solved.x))
    found.sort(key=lambda solution: solution[0])
    steps = Steps(told, asked_db, at_hz, bells)
    return min(steps.best_near(controls) for _, controls in found[:ROUNDED])


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


def check_headroom(setup: dict[str, Any], passband_db: float, limit_db: float, rate_hz: float) -> None:
    """What is told of boost and noise against the filters: no more boost than the limit from 20 Hz to 20 kHz, and the noise by the trapezoidal
    rule."""
    dense_hz = np.geomspace(20, 20e3, 4001)
    boost = bands_db(setup["bands"], dense_hz, rate_hz) + setup["level_db"] - passband_db
    assert setup["headroom_db"] == pytest.approx(boost.max(), abs=0.1)
    assert boost.max() < limit_db + 0.1

    def noise_db(low_hz: float, high_hz: float, against_hz: float) -> float:
        at_hz = np.linspace(low_hz, high_hz, 20_001)
        power = 10 ** (bands_db(setup["bands"], at_hz, rate_hz) / 10)
        against = bands_db(setup["bands"], np.array([against_hz]), rate_hz)[0]
        return float(10 * np.log10(np.trapezoid(power, at_hz) / (high_hz - low_hz)) - against)

    expected = noise_db(20, 200, 20e3) if setup["noise"] == "rumble" else noise_db(2e3, 20e3, 1e3)
    assert setup["noise_rises_db"] == pytest.approx(expected, abs=1e-3)


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
        given = setup["level_db"] + bands_db(setup["bands"], hz, rate_hz)
        assert np.abs(column(setup, "given_db") - given).max() < 1e-9
        left = needed - given
        assert np.abs(column(setup, "left_db") - left).max() < 1e-6
        assert setup["left_rms_db"] == pytest.approx(np.sqrt(np.mean(left**2)), abs=1e-6)
        passband = max(0.0, needed.min())
        limit = told["desk"]["most_boost_db"]
        asked_for = np.minimum(needed, passband + limit)
        assert np.abs(column(setup, "asked_db") - asked_for).max() < 1e-6
        assert abs((asked_for - given).mean()) < 0.05 + 1e-6, "the best level, in tenths"
        used = len(setup["bands"]) - 1
        left_of_asked = np.sqrt(np.mean((asked_for - given) ** 2))
        assert setup["left_rms_by_bells_db"][used] == pytest.approx(left_of_asked, abs=1e-6)
        at_strings = [string["needed_db"] for string in setup["strings"]]
        needed_boost = max(needed[hz >= lowest].max(), *at_strings) - passband
        assert setup["needed_boost_db"] == pytest.approx(needed_boost, abs=1e-6)
        assert setup["advised"] == (needed_boost <= limit)
        check_headroom(setup, passband, limit, rate_hz)
        assert abs(setup["worst"]["left_db"]) == pytest.approx(np.abs(left).max(), abs=1e-6)
        for string in setup["strings"]:
            at = needed_db(preset, asked, np.array([string["hz"]]))[0]
            assert string["needed_db"] == pytest.approx(at, abs=1e-6)
            assert string["left_db"] == pytest.approx(string["needed_db"] - string["given_db"], abs=1e-9)


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("courtyard", []),
        ("courtyard", ["--desk-boost", "120", "--desk-gain", "12", "--desk-q", "0.7-2", "--rate", "44100"]),
        ("passive", ["--desk-boost", "120"]),
        ("passive", ["--desk-gain", "6", "--desk-shelf", "80", "--desk-gain-step", "1", "--rate", "96000"]),
        ("loads", ["--desk-bells", "100-10k", "--desk-hz-step", "third"]),
        ("magnetic-single", []),
        ("magnetic-double", ["--desk-gain-step", "3"]),
        ("blocking", ["--desk-gain", "18", "--desk-q", "0.7"]),
    ],
)
def test_no_setting_comes_closer(program: Program, name: str, typed: list[str]) -> None:
    """With no bell, one and two: what ours leaves is at most 0.03 dB rms above the best that scipy's solutions come to on the same steps; a
    bell that is used is worth 0.1 dB, bells stand apart, and each control stands at a place that the desk has."""
    told = sheet(program, "--setups", PRESETS / f"{name}.toml", *typed)
    desk = told["desk"]
    for setup in told["setups"]:
        hz, asked = column(setup, "hz"), column(setup, "asked_db")
        ours = setup["left_rms_by_bells_db"]
        for bells in range(3):
            theirs = best_rms_db(told, asked, hz, bells)
            assert ours[bells] <= theirs + BAR_DB, f"{setup['name']}, {bells} bells: {ours[bells]}, scipy {theirs}"
        used = len(setup["bands"]) - 1
        assert all(fewer > min(ours) + ENOUGH_DB for fewer in ours[:used])
        assert ours[used] <= min(ours) + ENOUGH_DB
        shelf, *others = setup["bands"]
        assert shelf["kind"] == "low_shelf"
        shelf_dials, bell_dials = positions(desk, 1)[:2], positions(desk, 1)[2:]
        for band, dials in [(shelf, shelf_dials), *((bell, bell_dials) for bell in others)]:
            stands = [np.log(band["hz"]), band["gain_db"], np.log(band["q"])]
            for place, dial in zip(stands, dials, strict=False):
                assert np.abs(dial - place).min() < 1e-9, band
        if len(others) == 2:
            assert others[1]["hz"] > APART * others[0]["hz"]


def test_an_upright_bass_into_a_passive_box_is_told_not_to(program: Program) -> None:
    """50 dB at the low E: no desk, and what may be set raises no bass by more than the 20 dB of the limit."""
    passive = sheet(program, "--setups", PRESETS / "passive.toml")["setups"][0]
    assert passive["strings"][0]["needed_db"] > 45
    assert not passive["advised"]
    assert passive["input_takes_it"]
    low_hz = np.geomspace(20, 400, 500)
    assert bands_db(passive["bands"], low_hz, 48_000).max() + passive["level_db"] < 20 + passive["curve"][-1]["needed_db"] + 0.1
    told = program("rescue", "--setups", PRESETS / "passive.toml").splitlines()
    assert told[0].startswith("passive box: don't: low E lacks 50 dB")
    assert told[1].startswith("Instead put a buffer box first")


def test_a_coil_aims_at_its_usual_amplifier(program: Program) -> None:
    """Into 1 MOhm and 6 m of cable (600 pF), by nodal analysis; not at an unloaded resonance."""
    typed = "--coil 4.7H --coil-resistance 8k2 --winding 120p --coil-loss 470k --volume none --tone none --instrument guitar"
    coil = typed.split()
    told = sheet(program, *coil, "--load", "22k || 6 m")
    assert told["aim"] == {"kind": "usual", "load": "1 MΩ || 6 m"}
    hz = column(told["setups"][0], "hz")

    def ratio(load_ohms: float) -> Reals:
        s = 2j * np.pi * hz
        source = 8.2e3 + 1 / (1 / (s * 4.7) + 1 / 470e3)
        load = 1 / load_ohms + s * (120e-12 + 600e-12)
        return np.abs(1 / (1 + source * load))

    expected = 20 * np.log10(ratio(1e6) / ratio(22e3))
    assert np.abs(column(told["setups"][0], "needed_db") - expected).max() < 1e-6
    usual = sheet(program, *coil, "--load", "1M || 6 m")["setups"][0]
    assert usual["needed_at_most_db"] < 1e-9
