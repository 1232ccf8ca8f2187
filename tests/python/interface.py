"""An audio interface with a measuring lead, simulated: what it would record of the test sound through a circuit.

The circuit is a netlist of `nodal.py`, solved in the frequency domain; the interface has a gain, a latency, an output's and an input's
impedance, couplings, noise, hum with harmonics, and rounds to 16 or 24 bits. Ranges of values: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.fft import irfft, next_fast_len, rfft, rfftfreq
from scipy.interpolate import CubicSpline

from nodal import GROUND, Netlist

Reals = NDArray[np.float64]
Complexes = NDArray[np.complex128]

SOURCE, OUTPUT, NODE = "source", "output", "node"
POINTS_PER_OCTAVE = 100


@dataclass
class Interface:
    """What stays as it is from step to step."""

    rate: int
    bits: int
    noise_db: float
    hum_db: float
    mains_hz: float
    output_ohms: float
    input_ohms: float
    input_farads: float
    gain: float
    draw: np.random.Generator
    harmonics: Reals = field(init=False)

    def __post_init__(self) -> None:
        """Amplitudes of the mains' multiples: odd ones stronger, all falling."""
        n = np.arange(1, 21)
        self.harmonics = self.draw.uniform(0.3, 1.0, n.size) * np.where(n % 2, 1.0, 0.3) / n**1.2
        self.harmonics /= np.sqrt(np.sum(self.harmonics**2) / 2)

    @classmethod
    def drawn(cls, draw: np.random.Generator, **fixed: float) -> Interface:
        """One of many, with some values as given."""
        drawn = {
            "rate": 48_000,
            "bits": int(draw.choice([16, 24])),
            "noise_db": draw.uniform(-100, -80),
            "hum_db": draw.uniform(-60, -30),
            "mains_hz": float(draw.choice([50, 60])) + draw.uniform(-0.05, 0.05),
            "output_ohms": draw.uniform(50, 300),
            "input_ohms": log_uniform(draw, 470e3, 10e6),
            "input_farads": draw.uniform(20e-12, 200e-12),
            "gain": draw.uniform(0.7, 1.3),
        }
        return cls(**{**drawn, **fixed}, draw=draw)

    def record(self, sweep: Reals, response: Complexes, hz: Reals, gain: float = 1.0) -> Reals:
        """The sweep through a response known at some frequencies, as a file would have it; `gain` is a knob that somebody turned."""
        # Recording begins by hand: before the sound, and ends after it.
        lead = int(self.draw.integers(0, self.rate // 3))
        frames = sweep.size + lead + int(self.draw.uniform(0.05, 0.5) * self.rate)
        length = next_fast_len(frames + self.rate // 4, real=True)
        bins = rfftfreq(length, 1 / self.rate)
        places = np.log(np.maximum(bins, hz[0]))
        through = CubicSpline(np.log(hz), response)(places)
        # Couplings of output and input, first order.
        coupled = (bins / (bins - 2j)) * (bins / (bins - 3j))
        delay = np.exp(-2j * np.pi * bins * (lead + 0.37) / self.rate)
        sound = irfft(rfft(sweep, length) * through * coupled * delay, length)[:frames]
        hum = self.hum(np.arange(frames) * (self.mains_hz / self.rate))
        noise = 10 ** (self.noise_db / 20) * self.draw.standard_normal(frames)
        heard = gain * (self.gain * sound + 10 ** (self.hum_db / 20) * hum + noise)
        return self.converted(heard)

    def hum(self, periods: Reals) -> Reals:
        """The mains' multiples in any phases, of which one period is made and read at many places."""
        place = np.linspace(0, 1, 65_537)
        phases = self.draw.uniform(0, 1, self.harmonics.size)
        each = (a * np.cos(2 * np.pi * (n * place + p)) for n, (a, p) in enumerate(zip(self.harmonics, phases), 1))
        return np.interp(periods % 1, place, np.sum(list(each), axis=0))

    def converted(self, heard: Reals) -> Reals:
        """Rounded to the bits that the file has, and cut off at full scale."""
        steps = 2.0 ** (self.bits - 1)
        return np.clip(np.round(heard * steps), -steps, steps - 1) / steps


def log_uniform(draw: np.random.Generator, low: float, high: float) -> float:
    """A value whose logarithm is as likely anywhere."""
    return float(np.exp(draw.uniform(np.log(low), np.log(high))))


def grid(rate: int) -> Reals:
    """Frequencies to solve a circuit at, from 1 Hz to half the rate."""
    octaves = np.log2(rate / 2)
    return np.geomspace(1.0, rate / 2, int(octaves * POINTS_PER_OCTAVE))


class Bench:
    """The circuit from the output on: `with_` parts at the node, listened to there."""

    def __init__(self, output_ohms: float) -> None:
        self.net = Netlist()
        self.net.add("R", SOURCE, OUTPUT, output_ohms)

    def known(self, kind: str, size: float) -> Bench:
        """The known part between output and node; a resistor of nothing is a plain lead."""
        self.net.add(kind, OUTPUT, NODE, size)
        return self

    def at_node(self, kind: str, size: float) -> Bench:
        """A part from the node to ground."""
        self.net.add(kind, NODE, GROUND, size)
        return self

    def pickup(self, pickup: Pickup) -> Bench:
        """A capacitive pickup: its own capacitance, and two branches that resonate (Butterworth and Van Dyke's circuit)."""
        self.at_node("C", pickup.clamped_farads)
        for farads, hz, q in pickup.resonances:
            henries = 1 / ((2 * np.pi * hz) ** 2 * farads)
            first, second = self.net.node(), self.net.node()
            self.net.add("C", NODE, first, farads)
            self.net.add("L", first, second, henries)
            self.net.add("R", second, GROUND, 2 * np.pi * hz * henries / q)
        return self

    def coil(self, henries: float, ohms: float, loss_ohms: float, winding_farads: float) -> Bench:
        """A magnetic pickup."""
        inside = self.net.node()
        self.net.add("R", NODE, inside, ohms)
        self.net.add("L", inside, GROUND, henries)
        self.net.add("R", inside, GROUND, loss_ohms)
        return self.at_node("C", winding_farads)

    def solve(self, hz: Reals, listens: str = NODE) -> Complexes:
        """The voltage where it is listened to."""
        return self.net.solve({SOURCE: 1.0}, listens, hz)


@dataclass
class Pickup:
    """A capacitive pickup that moves: farads, Hz and Q of each branch that resonates."""

    clamped_farads: float
    resonances: list[tuple[float, float, float]]

    @classmethod
    def drawn(cls, draw: np.random.Generator, farads: float | None = None) -> Pickup:
        """200 pF to 5 nF at low frequencies, of which two resonances have 0.1 to 1 per cent each: little of what moves is in a stiff pickup."""
        whole = farads or log_uniform(draw, 200e-12, 5e-9)
        parts = draw.uniform(0.001, 0.01, 2)
        places = (log_uniform(draw, 150, 1_000), log_uniform(draw, 1_000, 6_000))
        resonances = [(whole * part, hz, log_uniform(draw, 5, 40)) for part, hz in zip(parts, places)]
        return cls(whole * (1 - parts.sum()), resonances)

    @property
    def farads(self) -> float:
        """Its capacitance at low frequencies, where it loses them."""
        return self.clamped_farads + sum(farads for farads, _, _ in self.resonances)
