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
from scipy import fft

from circuit import Circuit
from interface import Pickup

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


def steady(played: Performance, responses: list[Response]) -> list[Reals]:
    """Through each response, exactly, with enough room that nothing comes round."""
    size = fft.next_fast_len(played.open_volts.size + played.rate // 2, real=True)
    spectrum = fft.rfft(played.open_volts, size)
    hz = fft.rfftfreq(size, 1 / played.rate)
    return [fft.irfft(spectrum * response(hz), size)[: played.open_volts.size] for response in responses]


def moving(pickup: Pickup, circuit: Circuit) -> Response:
    """Of a pickup that resonates mechanically, into what is beside it: a current `jw C` into its own admittance (C and two branches of
    R, L and C) and the conductance."""

    def at(hz: Reals) -> NDArray[np.complex128]:
        s = 2j * np.pi * np.maximum(hz, 1e-3)
        own = s * pickup.clamped_farads
        for farads, place, q in pickup.resonances:
            w = 2 * np.pi * place
            own = own + s * farads / (1 + s / (w * q) + (s / w) ** 2)
        return s * pickup.farads / (own + 1 / circuit.load_ohms + s * circuit.load_farads)

    return at


def switched(played: Performance, loads: Loads, pickup: Pickup | None = None) -> Reals:
    """What arrives at the input of a pickup that is a capacitance, or nearly one."""
    circuits = [loads.circuit(False), loads.circuit(True)]
    ways = steady(played, [moving(pickup, circuit) if pickup else circuit.at for circuit in circuits])
    out = between(played, ways)
    leftover, before = 0.0, 0.0
    for number, switch in enumerate(played.switches):
        # With nothing but resistances switched, the voltage does not jump.
        at = math.ceil(switch * played.rate)
        on, next_ = number % 2, 1 - number % 2
        leftover *= math.exp(-circuits[on].corner_rad * (switch - before))
        leftover += ways[on][at] - ways[next_][at]
        before = switch
        end = min(at + played.rate // 2, out.size)
        seconds = np.arange(at, end) / played.rate - switch
        out[at:end] += leftover * np.exp(-circuits[next_].corner_rad * seconds)
    return out


def between(played: Performance, ways: list[Reals]) -> Reals:
    """One of two ways up to the first switch, the other up to the second, and so on; a click at each."""
    which = np.zeros(played.open_volts.size, dtype=bool)
    for switch in played.switches:
        which[math.ceil(switch * played.rate) :] ^= True
    return np.where(which, ways[1], ways[0])


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


def smooth(random: np.random.Generator, hz: Reals, count: int, octaves: float = 0.6) -> Reals:
    """`count` curves of standard deviation 1 over frequency, alike over so many octaves: Gaussian, correlation exp(-|d|/octaves)."""
    knots = np.arange(4, 15, 0.15)
    kernel = np.exp(-np.abs(knots[:, None] - knots) / octaves)
    drawn = random.standard_normal((count, knots.size)) @ np.linalg.cholesky(kernel).T
    place = np.log2(np.maximum(hz, 1))
    return np.array([np.interp(place, knots, row) for row in drawn])


def rubbed(random: np.random.Generator, rate: int, turns: int = 12, seconds: float = 2.0) -> Performance:
    """Rubbing the top: noise with the colour of a top, no stroke like the one before; a switch every `seconds`."""
    frame, hop = 8192, 4096
    length = round((2 * turns * seconds) * rate)
    frames = length // hop + 1
    hz = np.fft.rfftfreq(frame, 1 / rate)
    colour = np.exp(0.7 * smooth(random, hz, 1)[0]) / (1 + hz / 300)
    # A hand's slow way (over half a second) and what each stroke has for itself.
    strokes = 0.15 * smooth(random, hz, frames) + 0.2 * random.standard_normal((frames, 1))
    kept = np.exp(-hop / rate / 0.5)
    for at in range(1, frames):
        strokes[at] = kept * strokes[at - 1] + math.sqrt(1 - kept**2) * strokes[at]
    window = np.sin(np.pi * (np.arange(frame) + 0.5) / frame)
    out = np.zeros((frames + 1) * hop)
    for at in range(frames):
        white = np.fft.rfft(window * random.standard_normal(frame))
        out[at * hop : at * hop + frame] += window * np.fft.irfft(white * colour * np.exp(strokes[at]))
    gap = np.zeros(round(SILENCE_SECONDS * rate))
    switches = [SILENCE_SECONDS + seconds * (at + 1) for at in range(2 * turns - 1)]
    return Performance(np.concatenate([gap, out[:length], gap]), rate, switches)


def coil(henries: float, ohms: float, winding_farads: float, loss_ohms: float) -> Callable[[float], Response]:
    """Of a magnetic pickup into resistances: textbook voltage divider of the coil's impedance, its winding's capacitance on the load's side."""

    def into(load_ohms: float) -> Response:
        def at(hz: Reals) -> NDArray[np.complex128]:
            s = 2j * np.pi * np.maximum(hz, 1e-3)
            source = ohms + 1 / (1 / (s * henries) + 1 / loss_ohms)
            return 1 / (1 + source * (1 / load_ohms + s * winding_farads))

        return at

    return into


def active(source_ohms: float) -> Callable[[float], Response]:
    """Of a preamplifier's output into resistances."""

    def into(load_ohms: float) -> Response:
        return lambda hz: np.full(hz.size, load_ohms / (load_ohms + source_ohms), dtype=complex)

    return into
