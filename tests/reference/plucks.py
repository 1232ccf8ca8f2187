"""The `.tran` circuits: a plucked-note-like input, three circuits, and the exact answer of each.

Textbook circuit theory: an RC, and two circuits of second order, all of them with known poles.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

# The .tran input, a plucked-note-like voltage. Partials of a slightly stiff string on A1 (55 Hz,
# ISO 16): (hz, volts, decay per second). All of them start with the same smooth attack
# (1 - exp(-ATTACK t))^2 and in sine phase, so v grows as t^3 and nothing matters near Nyquist.
PARTIALS = [
    (55.0, 0.50, 4.0),
    (110.1, 0.30, 5.0),
    (165.5, 0.20, 7.0),
    (221.3, 0.12, 9.0),
    (332.0, 0.08, 14.0),
    (445.0, 0.05, 20.0),
]
ATTACK_PER_SECOND = 400.0
RATE_HZ = 48_000
FRAMES = 6_000
STEPS_PER_FRAME = 64
PLUCK_PREFIX = "pluck_"


@dataclass(frozen=True)
class Response:
    """A transfer function by its numerator's coefficients, highest power first, and its simple poles."""

    numerator: tuple[float, ...]
    poles: tuple[complex, ...]

    def over(self, s: complex) -> complex:
        """The numerator at s."""
        value = complex(0)
        for coefficient in self.numerator:
            value = value * s + coefficient
        return value

    def terms(self, p: complex) -> Iterator[tuple[complex, complex]]:
        """(factor, exponent) of what an input exp(p t), t > 0, becomes: H(s)/(s - p) in partial fractions."""
        for i, pole in enumerate((p, *self.poles)):
            others = math.prod(pole - x for j, x in enumerate((p, *self.poles)) if j != i)
            yield self.over(pole) / others, pole


STRAIGHT = Response((1.0,), ())


def quadratic(numerator: tuple[float, ...], a: float, b: float, c: float) -> Response:
    """numerator / (a s^2 + b s + c)."""
    root = cmath.sqrt(b * b - 4 * a * c)
    return Response(tuple(x / a for x in numerator), ((-b + root) / (2 * a), (-b - root) / (2 * a)))


@dataclass(frozen=True)
class Pluck:
    """A .tran circuit: its netlist from the node `oc` on, and the columns of its table."""

    title: str
    parts: tuple[str, ...]
    # Name of the column, node, and the response from `oc` to it.
    columns: tuple[tuple[str, str, Response], ...]
    head: tuple[str, ...]


def pluck_capacitive() -> Pluck:
    """One capacitive pickup into three loads: H = s / (s + w), w = 1 / (R C)."""
    farads = 680e-12
    parts, columns = [], [("open_volts", "oc", STRAIGHT)]
    for name, ohms in {"22m": 22e6, "470k": 470e3, "56k": 56e3}.items():
        parts += [f"Cp{name} oc t{name} {farads:g}", f"Rin{name} t{name} 0 {ohms:.6g}"]
        high_pass = Response((1.0, 0.0), (complex(-1 / (ohms * farads)),))
        columns.append((f"load_{name}_volts", f"t{name}", high_pass))
    return Pluck(
        "plucked-note-like input into three loads",
        tuple(parts),
        tuple(columns),
        (
            "# plucked-note-like input (make_tables.py) through one pickup into three loads",
            f"# pickup_farads={farads!r} rate_hz={RATE_HZ} frames={FRAMES}",
        ),
    )


def described(stem: str, title: str) -> tuple[str, ...]:
    """Header lines of a table whose circuit is described in a TOML file."""
    return (f"# {title}", f"# circuit: {stem}.toml", f"# rate_hz={RATE_HZ} frames={FRAMES}")


def pluck_transformer() -> Pluck:
    """A capacitive pickup, cable and a primary: s C_p / (s C_p + s C + 1/R + 1/(s L))."""
    pickup, shunt, henries, ohms = 1e-9, 300e-12 + 330e-12, 47.0, 12**2 * 1500.0
    title = "plucked-note-like input (make_tables.py) through a cable into a transformer"
    response = quadratic((pickup, 0.0, 0.0), pickup + shunt, 1 / ohms, 1 / henries)
    return Pluck(
        "plucked-note-like input through a cable into a transformer",
        (
            "Cp oc terminal 1n",
            "Ccable terminal 0 300p",
            "Cown terminal 0 330p",
            "Lprimary terminal 0 47",
            "Rreflected terminal 0 216k",
        ),
        (("open_volts", "oc", STRAIGHT), ("heard_volts", "terminal", response)),
        described("pluck_transformer", title),
    )


def pluck_coil() -> Pluck:
    """A coil with a volume pot at full, alone and loaded: 1 / (1 + (R + s L)(1/R_load + s C))."""
    ohms, henries, pot, winding = 8.2e3, 4.7, 220e3, 120e-12
    title = "plucked-note-like input (make_tables.py) through a coil, alone and loaded"

    def low_pass(siemens: float, farads: float) -> Response:
        linear = ohms * farads + henries * siemens
        return quadratic((1.0,), henries * farads, linear, 1 + ohms * siemens)

    alone, loaded = low_pass(1 / pot, winding), low_pass(1 / pot + 1 / 56e3, winding + 2e-9)
    parts: list[str] = []
    for x in ("bare", "terminal"):
        parts += [f"Rcoil{x} oc inside{x} 8.2k", f"Lcoil{x} inside{x} {x} 4.7"]
        parts += [f"Cwinding{x} {x} 0 120p", f"Rpot{x} {x} 0 220k"]
    return Pluck(
        "plucked-note-like input through a coil, alone and loaded",
        (*parts, "Ccable terminal 0 2n", "Rin terminal 0 56k"),
        (("bare_volts", "bare", alone), ("heard_volts", "terminal", loaded)),
        described("pluck_coil", title),
    )


PLUCKS: dict[str, Callable[[], Pluck]] = {
    "pluck_680p": pluck_capacitive,
    "pluck_coil": pluck_coil,
    "pluck_transformer": pluck_transformer,
}


def exponentials() -> Iterator[tuple[float, float, float]]:
    """The input as damped sines (hz, volts, decay per second): the squared attack, multiplied out."""
    for hz, volts, decay in PARTIALS:
        for share, extra in ((1.0, 0.0), (-2.0, 1.0), (1.0, 2.0)):
            yield hz, share * volts, decay + extra * ATTACK_PER_SECOND


def answer(t: float, response: Response) -> float:
    """Exact voltage at time t after a response from rest.

    An input exp(p t), t > 0, becomes the inverse Laplace transform of H(s) / (s - p), a sum of
    exponentials; sines are imaginary parts. The response is real: with exp(conj(p) t) it gives the conjugate.
    """
    total = 0.0
    for hz, volts, decay in exponentials():
        p = complex(-decay, 2 * math.pi * hz)
        for sign, exponent in ((1, p), (-1, p.conjugate())):
            for factor, pole in response.terms(exponent):
                total += volts * (sign * factor * cmath.exp(pole * t) / 2j).real
    return total


def pluck_netlist(stem: str, pluck: Pluck) -> str:
    """The .tran circuit: the sources in series, and the parts."""
    lines = [f"* {stem}: {pluck.title}, written by make_tables.py"]
    node = "0"
    terms = list(exponentials())
    for i, (hz, volts, decay) in enumerate(terms, 1):
        top = "oc" if i == len(terms) else f"n{i}"
        lines.append(f"V{i} {top} {node} SIN(0 {volts:.6g} {hz:.6g} 0 {decay:.6g})")
        node = top
    lines += pluck.parts
    lines.append(".options method=trap reltol=1e-9 abstol=1e-15 vntol=1e-12 chgtol=1e-20")
    step = 1 / (RATE_HZ * STEPS_PER_FRAME)
    lines.append(f".tran {1 / RATE_HZ:.15g} {FRAMES / RATE_HZ:.15g} 0 {step:.15g} uic")
    return "\n".join([*lines, ".end", ""])
