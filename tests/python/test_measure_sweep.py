"""`firstjack measure pickup`, `box` and `coil` on simulated sweeps: the circuit by nodal analysis, the interface in `interface.py`.

Bars: pickup by a resistor of 100k: median error 1.5 %, nine of ten within 4 %, the interval holds the value 92 times in 100; a box's
resistance 3 % and 7 %; no wrong circuit gives a number more than once in 28.
"""

from __future__ import annotations

import re
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
import pytest

from conftest import Program
from interface import Interface, Pickup, log_uniform
from sweeps import CAPACITOR, RESISTOR, Box, Coil, Lead, Sounds, Take, drawn_pickup, seeds

COVERAGE = 0.92
KEYS = ["capacitance_f", "total_capacitance_f", "input_ohms", "input_f", "blocking_f", "primary_h"]
KEYS += ["inductance_h", "resistance_ohms", "loss_ohms", "winding_f"]


@pytest.fixture(scope="module")
def sounds(program: Program, tmp_path_factory: pytest.TempPathFactory) -> Sounds:
    """The program's own test sounds."""
    return Sounds(program, tmp_path_factory.mktemp("sounds"))


class Trials:
    """What many came to: errors of the value, and whether the interval holds the truth."""

    def __init__(self) -> None:
        self.errors: list[float] = []
        self.held: list[bool] = []
        self.refused: list[str] = []

    def add(self, seed: int, told: dict[str, Any], key: str, truth: float) -> None:
        """One more."""
        estimate = told[key]
        if estimate is None:
            self.refused.append(f"seed {seed}: {told['refused']}")
            return
        self.errors.append(abs(estimate["value"] / truth - 1))
        self.held.append(bool(estimate["low"] <= truth <= estimate["high"]))

    def figures(self) -> str:
        """In words."""
        median, most = np.median(self.errors), np.quantile(self.errors, 0.9)
        return f"{len(self.errors)} told: median {median:.4f}, 90 % {most:.4f}, held {np.mean(self.held):.3f}; {self.refused}"

    def meet(self, median: float, most: float, refused: float = 0.02) -> None:
        """The bars."""
        print(self.figures())
        assert np.median(self.errors) <= median, self.figures()
        assert np.quantile(self.errors, 0.9) <= most, self.figures()
        assert np.mean(self.held) >= COVERAGE, self.figures()
        assert len(self.refused) <= refused * len(self.errors) + 1, self.figures()


def each(program: Program, seed: int, take: Take, method: str, known: str) -> dict[str, Any]:
    """One measurement in a folder of its own."""
    with TemporaryDirectory() as folder:
        told = take.measured(program, Path(folder), method, known)
    if told["refused"] is not None:
        assert all(told[key] is None for key in KEYS), f"seed {seed}: refused and told: {told}"
    return told


@pytest.mark.parametrize(("known", "fewest", "median", "most"), [(RESISTOR, 24, 0.015, 0.04), (CAPACITOR, 8, 0.04, 0.08)])
def test_pickups(program: Program, sounds: Sounds, known: str, fewest: int, median: float, most: float) -> None:
    """Any pickup from 200 pF to 5 nF, on any interface."""
    trials = Trials()
    for seed in seeds(f"pickup {known}", fewest):
        pickup, _, take = drawn_pickup(np.random.default_rng(seed), known, sounds)
        trials.add(seed, each(program, seed, take, "pickup", known), "capacitance_f", pickup.farads)
    trials.meet(median, most)


@pytest.mark.parametrize(("rate", "bits"), [(44_100, 16), (88_200, 24), (96_000, 16), (192_000, 24)])
def test_rates(program: Program, sounds: Sounds, rate: int, bits: int) -> None:
    """The same at every rate, to 4 %; the input as well."""
    seed = rate + bits
    pickup, lead, take = drawn_pickup(np.random.default_rng(seed), RESISTOR, sounds, rate=rate, bits=bits)
    told = each(program, seed, take, "pickup", RESISTOR)
    assert told["capacitance_f"]["value"] == pytest.approx(pickup.farads, rel=0.04)
    assert told["input_f"]["value"] == pytest.approx(lead.face.input_farads + lead.farads, rel=0.04)
    assert told["input_ohms"]["low"] <= lead.face.input_ohms <= told["input_ohms"]["high"]


KINDS = {"plain": None, "blocked": "blocking_f", "transformer": "primary_h"}


def test_boxes(program: Program, sounds: Sounds) -> None:
    """Inputs from 20 kΩ to 3 MΩ; a third value only of a box that has one, and then right. The known part is anywhere within its 5 %, evenly."""
    trials, third = Trials(), Trials()
    tried = seeds("box", 24)
    places = np.random.default_rng(1).permutation(np.linspace(-0.05, 0.05, len(tried)))
    for index, (seed, off) in enumerate(zip(tried, places)):
        kind, key = list(KINDS.items())[index % 3]
        draw = np.random.default_rng(seed)
        face, box = Interface.drawn(draw), Box.drawn(draw, kind)
        told = each(program, seed, box.take(face, sounds.at(face.rate), "C", 1e-9 * (1 + off)), "box", CAPACITOR)
        trials.add(seed, told, "input_ohms", box.ohms)
        others = {"blocking_f", "primary_h"} - {key}
        assert all(told[other] is None for other in others), f"seed {seed}: {told}"
        if key and told[key]:
            third.add(seed, told, key, box.third)
    trials.meet(0.03, 0.07)
    third.meet(0.05, 0.08)


def test_coils(program: Program, sounds: Sounds) -> None:
    """All four values."""
    trials = {key: Trials() for key in ("inductance_h", "resistance_ohms", "loss_ohms", "winding_f")}
    for seed in seeds("coil", 8):
        draw = np.random.default_rng(seed)
        lead, coil = Lead.drawn(draw, RESISTOR), Coil.drawn(draw)
        told = each(program, seed, lead.take(sounds.at(lead.face.rate), coil.plug), "coil", RESISTOR)
        for (key, of), truth in zip(trials.items(), (coil.henries, coil.ohms, coil.loss_ohms, coil.winding_farads)):
            of.add(seed, told, key, truth)
    for of in trials.values():
        of.meet(0.015, 0.04)


def active(draw: np.random.Generator, sounds: Sounds) -> Take:
    """A buffer of 100 Ω to 10 kΩ behind the pickup."""
    ohms = log_uniform(draw, 100, 10e3)
    return Lead.drawn(draw, RESISTOR).take(sounds.at(48_000), lambda bench: bench.at_node("R", ohms).at_node("C", 300e-12))


def coil_as_pickup(draw: np.random.Generator, sounds: Sounds) -> Take:
    """A magnetic pickup."""
    return Lead.drawn(draw, RESISTOR).take(sounds.at(48_000), Coil.drawn(draw).plug)


def nothing_plugged(draw: np.random.Generator, sounds: Sounds) -> Take:
    """A lead with nothing on it."""
    return Lead.drawn(draw, RESISTOR).take(sounds.at(48_000), lambda bench: None)


def gain_changed(draw: np.random.Generator, sounds: Sounds) -> Take:
    """The input's knob, turned by 3 to 12 dB, between any two steps."""
    gain = 10 ** (draw.choice([-1, 1]) * draw.uniform(3, 12) / 20)
    gains = [(gain, 1, 1), (1, gain, 1), (1, 1, gain)][int(draw.integers(3))]
    pickup = Pickup.drawn(draw)
    return Lead.drawn(draw, RESISTOR).take(sounds.at(48_000), lambda bench: bench.pickup(pickup), gains)


def good(draw: np.random.Generator, sounds: Sounds, **fixed: float) -> Take:
    """What is right until something is done to it."""
    return drawn_pickup(draw, RESISTOR, sounds, **fixed)[2]


def one_of(draw: np.random.Generator, take: Take) -> str:
    """The name of any step."""
    return str(draw.choice(list(take.recordings)))


def clipped(draw: np.random.Generator, sounds: Sounds) -> Take:
    """One step cut off at a part of its peak, and perhaps made quieter afterwards."""
    take = good(draw, sounds)
    name = one_of(draw, take)
    peak = draw.uniform(0.5, 0.93) * np.abs(take.recordings[name]).max()
    take.recordings[name] = np.clip(take.recordings[name], -peak, peak) * draw.choice([1, draw.uniform(0.5, 1)])
    return take


def saturated(draw: np.random.Generator, sounds: Sounds) -> Take:
    """One step through a stage that bends."""
    take = good(draw, sounds, hum_db=-60)
    name = one_of(draw, take)
    bend = draw.uniform(1, 2) / np.abs(take.recordings[name]).max()
    take.recordings[name] = np.tanh(bend * take.recordings[name]) / bend
    return take


def swapped(draw: np.random.Generator, sounds: Sounds) -> Take:
    """Two files in each other's place."""
    take = good(draw, sounds)
    one, other = draw.choice(list(take.recordings), 2, replace=False)
    take.recordings[one], take.recordings[other] = take.recordings[other], take.recordings[one]
    return take


def wrong_rate(draw: np.random.Generator, sounds: Sounds) -> Take:
    """Files whose headers say another rate."""
    rate, told = map(int, draw.choice([44_100, 48_000, 88_200, 96_000], 2, replace=False))
    return Take(told, 24, good(draw, sounds, rate=rate).recordings)


def another_sweep(draw: np.random.Generator, sounds: Sounds) -> Take:
    """Linear, of another length or range, backwards, or noise."""
    seconds = [2, float(draw.choice([0.5, 1, 1.5, 3, 5])), 2, 2, 2][kind := int(draw.integers(5))]
    low, high = (20, 20_000) if kind == 2 else (15, 21_000)
    t = np.arange(int(seconds * 48_000)) / 48_000
    octaves = np.log(high / low)
    once = 0.1 * np.sin(2 * np.pi * low * seconds / octaves * np.expm1(octaves * t / seconds))
    once = [0.1 * np.sin(2 * np.pi * (15 * t + 5_246 * t**2)), once, once, once[::-1], 0.05 * draw.standard_normal(t.size)][kind]
    gap = np.zeros(19_200)
    lead, pickup = Lead.drawn(draw, RESISTOR), Pickup.drawn(draw)
    return lead.take(np.concatenate([gap, *[once, gap] * 3]), lambda bench: bench.pickup(pickup))


def cut_short(draw: np.random.Generator, sounds: Sounds) -> Take:
    """A step that was begun too late or ended too soon."""
    take = good(draw, sounds)
    name, at = one_of(draw, take), int(draw.uniform(1, 4.6) * take.rate)
    sides = (take.recordings[name][:at], take.recordings[name][at:])
    take.recordings[name] = sides[int(draw.integers(2))]
    return take


def other_sound(draw: np.random.Generator, sounds: Sounds) -> Take:
    """A step that is silent, or hiss."""
    take = good(draw, sounds)
    name, level = one_of(draw, take), 10 ** (draw.choice([-120, draw.uniform(-75, -20)]) / 20)
    take.recordings[name] = level * draw.standard_normal(take.recordings[name].size)
    return take


def automatic_gain(draw: np.random.Generator, sounds: Sounds) -> Take:
    """A gain that creeps by 1 to 6 dB within a step."""
    take = good(draw, sounds)
    name = one_of(draw, take)
    take.recordings[name] *= np.geomspace(1, 10 ** (-draw.uniform(1, 6) / 20), take.recordings[name].size)
    return take


WRONG = [
    (active, "active source"),
    (coil_as_pickup, "coil"),
    (nothing_plugged, "nothing was plugged in"),
    (gain_changed, "gain"),
    (clipped, "clip"),
    (saturated, ""),
    (swapped, "swapped"),
    (wrong_rate, "sweeps|test sound"),
    (another_sweep, "test sound"),
    (cut_short, "sweeps|test sound"),
    (other_sound, ""),
    (automatic_gain, "differ by"),
]


@pytest.mark.parametrize(("wrong", "says"), WRONG, ids=[wrong.__name__ for wrong, _ in WRONG])
def test_wrong(program: Program, sounds: Sounds, wrong: Any, says: str) -> None:
    """None gives a number (once in 28 may), and the message names what is wrong."""
    told, mute = [], []
    tried = seeds(wrong.__name__, 4)
    for seed in tried:
        take = wrong(np.random.default_rng(seed), sounds)
        answer = each(program, seed, take, "pickup", RESISTOR)
        if answer["refused"] is None:
            told.append(f"seed {seed}: {answer['capacitance_f']}")
        elif not re.search(says, answer["refused"]):
            mute.append(f"seed {seed}: {answer['refused']}")
            # A few cannot tell one in six from none: then a dozen more that were never seen.
            if len(mute) == 1 and len(tried) < 16:
                tried += seeds(wrong.__name__, 24)[12:]
    print(f"{wrong.__name__}: {len(told)} of {len(tried)} told, {len(mute)} by another name")
    assert len(told) <= len(tried) // 28, told
    assert len(mute) <= len(tried) // 6, mute


def test_capacitor_as_coil(program: Program, sounds: Sounds) -> None:
    """And the reverse of a coil as a pickup."""
    for seed in seeds("capacitor as coil", 4):
        take = good(np.random.default_rng(seed), sounds)
        answer = each(program, seed, take, "coil", RESISTOR)
        assert answer["refused"] and "capacitor" in answer["refused"], f"seed {seed}: {answer}"
