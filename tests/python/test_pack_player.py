"""What a page plays: in step, matched, and switched without a click.

The player's own graph renders in the browser. What it should sound like comes from textbook RC (`circuit.py`)
applied to the take by FFT; loudness is `pyloudnorm`'s (ITU-R BS.1770); the residue of a switch is what lies above
5 kHz, by scipy's Butterworth filter of 8th order.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pyloudnorm
import pytest
from scipy import signal

import page as pages
from browser import Browser
from circuit import Circuit, Reals, through
from conftest import Program
from page import PICKUP_FARADS, RATE_HZ, RECORDED, SECONDS, SETUPS
from page_sound import Rendered, render

RESIDUE_BAR_DB = -80.0
RESIDUE_FROM_HZ = 5_000.0
LOUDNESS_BAR_LU = 0.2


class Played:
    """A page that is open, and its sounds by name."""

    def __init__(self, window: Browser, path: Path, take: Reals) -> None:
        self.window = window
        self.take = take
        window.open(path)
        self.sealed = pages.secret(path)
        self.keys = {sound["name"]: key for key, sound in self.sealed["sounds"].items()}
        self.recorded = self.sealed["sounds"][self.sealed["order"][0]]["name"]

    def render(self, seconds: float, *acts: list[Any]) -> Rendered:
        """Plays from the start while `acts` happen."""
        return render(self.window, RATE_HZ, seconds, [*acts[:1], [0, "play"], *acts[1:]])

    def alone(self, name: str, seconds: float = SECONDS, gain: float = 1.0) -> Rendered:
        """One sound from the start."""
        return self.render(seconds, [0, "hear", self.keys[name], gain])

    def expected(self, name: str) -> Reals:
        """The take as it should sound through this setup, not matched."""
        if name == self.recorded:
            return self.take
        _, ohms, farads = SETUPS[name]
        padded = np.concatenate([self.take, np.zeros(RATE_HZ)])
        hz = np.fft.rfftfreq(padded.size, 1 / RATE_HZ)
        take, heard = Circuit(PICKUP_FARADS, RECORDED[1]), Circuit(PICKUP_FARADS, ohms, farads)
        change = np.ones_like(hz, dtype=complex)
        change[1:] = through(take, heard, hz[1:])
        return np.fft.irfft(np.fft.rfft(padded) * change)[: self.take.size]


def played(program: Program, window: Browser, folder: Path, take: Reals) -> Played:
    """The lossless page of a take."""
    options = ["--audio", "flac", "--rescue", "none"]
    return Played(window, pages.pack(program, folder, take, pages.loads(), *options), take)


@pytest.fixture
def plucked(program: Program, window: Browser, tmp_path: Path) -> Played:
    """A page of plucked strings."""
    return played(program, window, tmp_path, pages.plucks())


@pytest.fixture
def toned(program: Program, window: Browser, tmp_path: Path) -> Played:
    """A page of the low A by itself."""
    return played(program, window, tmp_path, pages.tone())


def above(samples: Reals) -> Reals:
    """What lies above 5 kHz; it tells when, so it must not delay."""
    sections = signal.butter(8, RESIDUE_FROM_HZ, "high", fs=RATE_HZ, output="sos")
    return signal.sosfiltfilt(sections, samples)


def decibels(ratio: float) -> float:
    """A ratio of amplitudes in dB; nothing is -400 dB."""
    return 20 * float(np.log10(max(ratio, 1e-20)))


def lag(reference: Reals, got: Reals) -> float:
    """By how many frames `got` comes late: the peak of the cross-correlation, between frames by a parabola."""
    correlation = signal.correlate(got, reference, method="fft")
    at = int(np.argmax(correlation))
    left, middle, right = correlation[at - 1 : at + 2]
    return at + (left - right) / (2 * (left - 2 * middle + right)) - (reference.size - 1)


def test_all_sounds_are_in_step(plucked: Played) -> None:
    """Each against the take through textbook RC: within half a frame, so within one frame of each other."""
    for name in plucked.keys:
        got = plucked.alone(name, SECONDS - 0.5)
        samples = got.samples[got.begun :]
        assert abs(lag(plucked.expected(name)[: samples.size], samples)) < 0.5, name


def test_a_sound_switched_to_goes_on_in_step(plucked: Played) -> None:
    """After each switch the sound is what it is alone, sample by sample."""
    names = list(plucked.keys)
    switches = [[0.5 + 0.5 * i, "hear", plucked.keys[name], 1.0] for i, name in enumerate(names[1:])]
    got = plucked.render(SECONDS - 1, [0, "hear", plucked.keys[names[0]], 1.0], *switches)
    for (when, *_), name in zip(switches, names[1:]):
        alone = plucked.alone(name, SECONDS - 1)
        # The switch is asked for, waits for the sound's thread, and takes 25 ms.
        steady = slice(round((when + 0.1) * RATE_HZ), round((when + 0.5) * RATE_HZ))
        assert np.max(np.abs(alone.samples[steady])) > 0.01
        assert np.max(np.abs(got.samples[steady] - alone.samples[steady])) < 1e-6, name


def test_matched_sounds_are_equally_loud(plucked: Played) -> None:
    """Integrated loudness of each, of the whole take."""
    meter = pyloudnorm.Meter(RATE_HZ)
    heard = {name: plucked.alone(name) for name in plucked.keys}
    loudness = {name: meter.integrated_loudness(got.samples[got.begun :]) for name, got in heard.items()}
    assert max(loudness.values()) - min(loudness.values()) <= LOUDNESS_BAR_LU, loudness


def test_unmatched_sounds_differ_as_they_really_do(plucked: Played) -> None:
    """With `truth_gain` the differences in loudness are those of the take through textbook RC."""
    meter = pyloudnorm.Meter(RATE_HZ)
    off = {}
    for name, key in plucked.keys.items():
        gain = plucked.sealed["sounds"][key]["truth_gain"]
        assert 0 < gain <= 1
        got = plucked.alone(name, gain=gain)
        true = meter.integrated_loudness(plucked.expected(name))
        off[name] = meter.integrated_loudness(got.samples[got.begun :]) - true
    assert max(off.values()) - min(off.values()) <= LOUDNESS_BAR_LU, off


# One at a time, and some in the middle of a switch; before a pluck, where a take is quietest.
PRESSES = [0.5, 0.95, 1.4, 1.85, 2.27, 2.28, 2.29, 2.72, 2.74, 3.2]


def switching(of: Played) -> tuple[Rendered, list[Reals]]:
    """A render with switches between far sounds, and each sound alone."""
    names = list(of.keys)
    order = [names[(i * 2 + 1) % len(names)] for i in range(len(PRESSES))]
    presses = [[when, "hear", of.keys[name], 1.0] for when, name in zip(PRESSES, order)]
    got = of.render(4, [0, "hear", of.keys[names[0]], 1.0], *presses)
    return got, [of.alone(name, 4).samples for name in names]


def steady(samples: Reals) -> Reals:
    """Without the fade at the beginning, and without what the filter makes of the ends."""
    return samples[round(0.3 * RATE_HZ) : round(3.7 * RATE_HZ)]


def test_a_switch_on_the_low_string_makes_no_click(toned: Played) -> None:
    """Re the loudest of the steady sounds. The tone has nothing up there itself; that it has not is checked."""
    got, alone = switching(toned)
    peak = max(np.max(np.abs(steady(samples))) for samples in alone)
    floor = max(np.max(np.abs(steady(above(samples)))) for samples in alone)
    assert decibels(floor / peak) < RESIDUE_BAR_DB - 10, "the sounds themselves reach up there"
    apart = max(np.max(np.abs(steady(samples - alone[0]))) for samples in alone)
    assert apart > 0.5 * peak, "there is nothing to switch between"
    assert decibels(np.max(np.abs(steady(above(got.samples)))) / peak) <= RESIDUE_BAR_DB


def test_a_switch_on_a_take_makes_no_click(plucked: Played) -> None:
    """The take reaches up there itself. The residue is what goes beyond the largest of the sounds' own highs within
    a millisecond."""
    got, alone = switching(plucked)
    peak = max(np.max(np.abs(steady(samples))) for samples in alone)
    width = RATE_HZ // 500
    highs = [np.abs(above(samples)) for samples in alone]
    padded = np.pad(np.max(highs, axis=0), width // 2)
    around = np.lib.stride_tricks.sliding_window_view(padded, width + 1).max(axis=1)
    beyond = np.abs(above(got.samples)) - around
    assert decibels(max(0.0, np.max(steady(beyond))) / peak) <= RESIDUE_BAR_DB


def test_sounds_that_join_are_not_heard_to(toned: Played) -> None:
    """A sound that has just been decoded restarts all of them at the same place."""
    first = next(iter(toned.keys))
    acts = [[0, "hear", toned.keys[first], 1.0], *([when, "join"] for when in [1.0, 1.004, 2.0])]
    got, alone = toned.render(4, *acts), toned.alone(first, 4)
    assert np.max(np.abs(steady(got.samples - alone.samples))) < 1e-5


@pytest.mark.parametrize(
    "acts",
    [
        [[1.0, "seek", 3.3], [1.004, "seek", 4.2], [1.008, "seek", 0.7], [2.0, "seek", 5.0]],
        [[1.0, "pause"], [2.0, "play"]],
        [[1.0, "region", 0.9037, 1.2011], [2.0, "look"], [3.0, "look"]],
    ],
    ids=["seek", "pause", "loop"],
)
def test_jumps_make_no_click(toned: Played, acts: list[list[Any]]) -> None:
    """Seeking, pausing and the seam of a loop, on the low string."""
    first = next(iter(toned.keys))
    got = toned.render(4, [0, "hear", toned.keys[first], 1.0], *acts)
    peak = np.max(np.abs(steady(got.samples)))
    assert decibels(np.max(np.abs(steady(above(got.samples)))) / peak) <= RESIDUE_BAR_DB


def test_a_loop_keeps_its_length(plucked: Played) -> None:
    """A region of 0.4 s repeats every 0.4 s, to the frame."""
    first = next(iter(plucked.keys))
    looks = [[1 + 0.5 * i, "look"] for i in range(1, 5)]
    got = plucked.render(4, [0, "hear", plucked.keys[first], 1.0], [1.0, "region", 0.6, 1.0], *looks)
    frames = round(0.4 * RATE_HZ)
    edge = round(0.02 * RATE_HZ)
    # The place 1.0 s is past by then, so that it goes back to 0.6 s at once.
    start = got.begun + round(1.0 * RATE_HZ)
    rounds = [got.samples[start + i * frames + edge : start + (i + 1) * frames - edge] for i in range(4)]
    expected = plucked.alone(first).samples[got.begun + round(0.6 * RATE_HZ) :][edge : frames - edge]
    for number, round_ in enumerate(rounds):
        assert np.max(np.abs(round_ - expected)) < 1e-6, number
