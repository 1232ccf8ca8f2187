"""Takes of a pickup across which something is switched, made from notes by the exact solution of the circuit.

A pickup is a voltage `e` behind its capacitance Cp; Ct is all capacitance at the node, G the conductance. `Ct v' = Cp e' - G v` has, with
`v = (Cp/Ct) e + z`, the state `z' = -(G/Ct) (v)`, which a switch does not move: charge is continuous. Each load's steady response is
computed by FFT from the formula of `circuit.py`; where it is switched the difference of the two solutions dies away as exp(-G t/Ct).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from circuit import Circuit

Reals = NDArray[np.float64]
Response = Callable[[Reals], NDArray[np.complex128]]

SILENCE_SECONDS = 1.0
FADE_SECONDS = 0.03


@dataclass(frozen=True)
class Loads:
    """What is there all the time, and what is switched in beside it."""

    total_farads: float
    ohms: float
    added_ohms: float
    added_farads: float = 0.0

    def circuit(self, switched: bool) -> Circuit:
        """With what is switched in, or without; as a pickup of all capacitance, whose level nobody knows."""
        ohms = 1 / (1 / self.ohms + 1 / self.added_ohms) if switched else self.ohms
        return Circuit(self.total_farads, ohms, self.added_farads if switched else 0.0)


@dataclass
class Performance:
    """What is played, and when what is switched."""

    open_volts: Reals
    rate: int
    switches: list[float] = field(default_factory=list)


def damped(note: Reals, rate: int) -> Reals:
    """A note that is damped at its end."""
    length = round(FADE_SECONDS * rate)
    out = note.copy()
    out[-length:] *= 0.5 + 0.5 * np.cos(np.pi * np.arange(length) / length)
    return out


def held(random: np.random.Generator, notes: list[Reals], rate: int, count: int, each: int, seconds: float = 3.15) -> Performance:
    """`count` notes one after the other, silence at both ends, and `each` switches in each note."""
    gap = np.zeros(round(SILENCE_SECONDS * rate))
    length = round(seconds * rate)
    chosen = [notes[at] for at in random.integers(len(notes), size=count)]
    loud = 10 ** (random.uniform(-6, 0, count) / 20)
    parts = [level * damped(note[:length], rate) for level, note in zip(loud, chosen, strict=True)]
    switches = [
        SILENCE_SECONDS + number * length / rate + (at + 1) * seconds / (each + 0.9) + random.uniform(-0.05, 0.05)
        for number in range(count)
        for at in range(each)
    ]
    return Performance(np.concatenate([gap, *parts, gap]), rate, switches)


def steady(open_volts: Reals, rate: int, response: Response) -> Reals:
    """Through a response, exactly, with enough room that nothing comes round."""
    size = 2 ** math.ceil(math.log2(open_volts.size + rate))
    spectrum = np.fft.rfft(open_volts, size)
    hz = np.fft.rfftfreq(size, 1 / rate)
    return np.fft.irfft(spectrum * response(hz), size)[: open_volts.size]


def switched(played: Performance, loads: Loads) -> Reals:
    """What arrives at the input."""
    circuits = [loads.circuit(False), loads.circuit(True)]
    ways = [steady(played.open_volts, played.rate, circuit.at) for circuit in circuits]
    out = ways[0].copy()
    seconds = np.arange(out.size) / played.rate
    at, leftover, on = 0.0, 0.0, 0
    for number, switch in enumerate([*played.switches, seconds[-1] + 1]):
        begin, end = np.searchsorted(seconds, [at, switch])
        decay = leftover * np.exp(-circuits[on].corner_rad * (seconds[begin:end] - at))
        out[begin:end] = ways[on][begin:end] + decay
        if number == len(played.switches):
            break
        # z = v - (Cp/Ct) e; with nothing but resistances switched, it is v that does not jump.
        before = ways[on][end] + leftover * math.exp(-circuits[on].corner_rad * (switch - at))
        on = 1 - on
        leftover, at = before - ways[on][end], switch
    return out


def interface(
    random: np.random.Generator, volts: Reals, rate: int, *, noise_db: float, hum_db: float, mains_hz: float = 50.0, peak: float | None = None
) -> Reals:
    """What an interface makes of it: a gain that nobody knows, hum with harmonics, noise; levels in dB below full scale."""
    peak = peak or random.uniform(0.2, 0.9)
    seconds = np.arange(volts.size) / rate
    out = volts * (peak / np.abs(volts).max())
    for harmonic in range(1, 10):
        level = 10 ** (hum_db / 20) * math.sqrt(2) / harmonic ** 1.5
        out += level * np.sin(2 * np.pi * mains_hz * harmonic * seconds + random.uniform(0, 2 * np.pi))
    return out + 10 ** (noise_db / 20) * random.standard_normal(out.size)


def marks(random: np.random.Generator, switches: list[float], most_seconds: float = 0.1) -> list[float]:
    """When somebody says that it was switched."""
    return [switch + random.uniform(-most_seconds, most_seconds) for switch in switches]
