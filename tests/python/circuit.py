"""The formulas that the suite judges by, written for it alone.

Source: textbook circuit theory. A voltage behind an admittance Ys, shunted by YL, gives H = Ys / (Ys + YL)
at its terminals; a first-order high-pass loses 10 log10(1 + (fc / f)^2) dB at f. `test_judges.py` holds
both against ngspice and scipy, so that a slip here cannot hide one in the program.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Reals = NDArray[np.float64]
Complexes = NDArray[np.complex128]

# Cable default, common practice, no source.
CABLE_FARADS_PER_METRE = 100e-12


@dataclass(frozen=True)
class Circuit:
    """A capacitive pickup into one load; infinite ohms mean that the resistor is absent."""

    pickup_farads: float
    load_ohms: float = math.inf
    load_farads: float = 0.0
    leak_ohms: float = math.inf

    @property
    def corner_rad(self) -> float:
        """The pole w of H, in rad/s: all resistances in parallel, all capacitances in parallel."""
        siemens = 1 / self.load_ohms + 1 / self.leak_ohms
        return siemens / (self.pickup_farads + self.load_farads)

    @property
    def corner_hz(self) -> float:
        """The -3 dB frequency of the pickup into this load."""
        return self.corner_rad / (2 * math.pi)

    def at(self, hz: Reals) -> Complexes:
        """H at these frequencies."""
        s = 2j * np.pi * hz
        source = s * self.pickup_farads
        return source / (source + 1 / self.leak_ohms + 1 / self.load_ohms + s * self.load_farads)


def parallel(*ohms: float) -> float:
    """Resistors in parallel (Ohm)."""
    return 1 / sum(1 / r for r in ohms)


def through(take: Circuit, heard: Circuit, hz: Reals) -> Complexes:
    """K = H_heard / H_take: what makes a take through one load into that through another."""
    return heard.at(hz) / take.at(hz)


def ceiling_corner_rad(take: Circuit, ceiling_db: float) -> float:
    """The corner wc of s/(s + wc) with which undoing `take` (leak-free) boosts by `ceiling_db` at most.

    1/H = (s + w) / (k s), k being the divider of pickup and shunt capacitance; times s/(s + wc) its
    largest boost is at DC, w / (k wc).
    """
    divider = take.pickup_farads / (take.pickup_farads + take.load_farads)
    return take.corner_rad / (divider * 10 ** (ceiling_db / 20))


def undone(take: Circuit, ceiling_db: float, hz: Reals) -> Complexes:
    """1/H of a leak-free take, held to a ceiling."""
    s = 2j * np.pi * hz
    return s / (s + ceiling_corner_rad(take, ceiling_db)) / take.at(hz)


def loss_db(corner_hz: float, hz: float) -> float:
    """Loss of a first-order high-pass, in dB, positive."""
    return 10 * math.log10(1 + (corner_hz / hz) ** 2)


def ohms_for_loss(pickup_farads: float, hz: float, most_db: float) -> float:
    """The load with which `pickup_farads` loses `most_db` at `hz`: `loss_db` solved for R."""
    corner_hz = hz * math.sqrt(10 ** (most_db / 10) - 1)
    return 1 / (2 * math.pi * corner_hz * pickup_farads)


def pitch_hz(name: str, a4_hz: float = 440.0) -> float:
    """Equal temperament on A4 (ISO 16) of a natural note such as `A1`."""
    steps_from_c = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
    semitones = steps_from_c[name[0]] - 9 + 12 * (int(name[1:]) - 4)
    return a4_hz * 2 ** (semitones / 12)
