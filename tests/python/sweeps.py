"""Recordings of a sweep, simulated, and what `firstjack measure` makes of them."""

from __future__ import annotations

import json
import os
import subprocess
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import soundfile

from conftest import Program
from interface import Bench, Interface, Pickup, Reals, grid, log_uniform

RESISTOR, CAPACITOR = "100k ±1%", "1n ±5%"
CANNOT_TELL = 3
# More on request: the figures of long runs are in the messages of the commits.
TRIALS = int(os.environ.get("FIRSTJACK_TRIALS", "0"))

Parts = Callable[[Bench], object]


def seeds(name: str, fewest: int) -> list[int]:
    """Half of them always the same, half never seen; a failure prints its own."""
    count = max(TRIALS, fewest)
    fixed = [sum(map(ord, name)) * 1000 + k for k in range(count - count // 2)]
    fresh = np.random.SeedSequence().generate_state(count // 2)
    return fixed + [int(seed) for seed in fresh]


@dataclass
class Take:
    """Three recordings of the measuring lead, or two of a box."""

    rate: int
    bits: int
    recordings: dict[str, Reals]

    def measured(self, program: Program, folder: Path, method: str, known: str) -> dict[str, Any]:
        """What the program prints as JSON."""
        files: list[str | Path] = []
        for name, samples in self.recordings.items():
            soundfile.write(folder / f"{name}.wav", samples, self.rate, subtype=f"PCM_{self.bits}")
            files += [f"--{name}", folder / f"{name}.wav"]
        part = "--resistor" if "k" in known else "--capacitor"
        return measure(program, method, *files, part, known)


def measure(program: Program, *arguments: str | Path) -> dict[str, Any]:
    """`firstjack measure ... --json`; exit code 3 goes with a refusal, and nothing else does."""
    command = [str(program.path), "measure", *map(str, arguments), "--json"]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode in (0, CANNOT_TELL), f"{command}: {done.returncode}\n{done.stderr}"
    told: dict[str, Any] = json.loads(done.stdout)
    assert (done.returncode == CANNOT_TELL) == (told["refused"] is not None), told
    return told


class Sounds:
    """The test sounds, as the program writes them."""

    def __init__(self, program: Program, folder: Path) -> None:
        self.program, self.folder = program, folder
        self.kept: dict[int, Reals] = {}

    def at(self, rate: int) -> Reals:
        """At a rate, -20 dBFS."""
        if rate not in self.kept:
            path = self.folder / f"sweep {rate}.wav"
            self.program("measure", "sweep", "-o", path, "--rate", str(rate))
            self.kept[rate] = soundfile.read(path)[0]
        return self.kept[rate]


@dataclass
class Lead:
    """The measuring lead on an interface: the known part, and the cable on the node."""

    face: Interface
    kind: str
    size: float
    farads: float

    @classmethod
    def drawn(cls, draw: np.random.Generator, known: str, **fixed: float) -> Lead:
        """Any interface, any lead of 1 to 3 m, of half that with a capacitor; the part within its tolerance."""
        face = Interface.drawn(draw, **fixed)
        farads = draw.uniform(1, 3) * draw.uniform(60e-12, 150e-12)
        if known == RESISTOR:
            return cls(face, "R", 100e3 * draw.uniform(0.99, 1.01), farads)
        return cls(face, "C", 1e-9 * draw.uniform(0.95, 1.05), farads / 2)

    def take(self, sound: Reals, plugged: Parts, gains: tuple[float, float, float] = (1, 1, 1)) -> Take:
        """Reference, empty, and with something plugged in."""
        face = self.face

        def bench(kind: str, size: float, farads: float) -> Bench:
            at = Bench(face.output_ohms).known(kind, size)
            return at.at_node("R", face.input_ohms).at_node("C", face.input_farads + farads)

        beside = bench(self.kind, self.size, self.farads)
        plugged(beside)
        circuits = {
            "reference": bench("R", 0, 0),
            "empty": bench(self.kind, self.size, self.farads),
            "plugged": beside,
        }
        hz = grid(face.rate)
        steps = zip(circuits.items(), gains)
        recordings = {name: face.record(sound, at.solve(hz), hz, gain) for (name, at), gain in steps}
        return Take(face.rate, face.bits, recordings)


@dataclass
class Box:
    """A box at the end of a cable, by kind: `plain`, `blocked` or `transformer`."""

    kind: str
    ohms: float
    farads: float
    third: float
    winding_ohms: float

    @classmethod
    def drawn(cls, draw: np.random.Generator, kind: str) -> Box:
        """20 kΩ to 3 MΩ; a transformer's 50 to 300 kΩ beside 10 to 300 H, its winding a fiftieth."""
        farads = draw.uniform(10e-12, 150e-12) + draw.uniform(0.5, 1.5) * draw.uniform(60e-12, 150e-12)
        if kind == "transformer":
            ohms = log_uniform(draw, 50e3, 300e3)
            return cls(kind, ohms, farads, log_uniform(draw, 10, 300), ohms * draw.uniform(0.01, 0.03))
        return cls(kind, log_uniform(draw, 20e3, 3e6), farads, log_uniform(draw, 2e-9, 100e-9), 0)

    @property
    def input_ohms(self) -> float:
        """Where neither blocking nor primary counts."""
        return self.ohms + self.winding_ohms

    def take(self, face: Interface, sound: Reals, kind: str, size: float) -> Take:
        """Driven directly, and through the known part."""
        hz = grid(face.rate)

        def heard(part: str, amount: float) -> Reals:
            bench = Bench(face.output_ohms).known(part, amount).at_node("C", self.farads)
            return face.record(sound, bench.solve(hz, self.inside(bench)), hz)

        return Take(face.rate, face.bits, {"reference": heard("R", 0), "box": heard(kind, size)})

    def inside(self, bench: Bench) -> str:
        """Adds the box; where it listens."""
        if self.kind == "plain":
            bench.at_node("R", self.ohms)
            return "node"
        inside = bench.net.node()
        if self.kind == "blocked":
            bench.net.add("C", "node", inside, self.third)
        else:
            bench.net.add("R", "node", inside, self.winding_ohms)
            bench.net.add("L", inside, "ground", self.third)
        bench.net.add("R", inside, "ground", self.ohms)
        return inside


@dataclass
class Coil:
    """A magnetic pickup."""

    henries: float
    ohms: float
    loss_ohms: float
    winding_farads: float

    @classmethod
    def drawn(cls, draw: np.random.Generator) -> Coil:
        """1.5 to 8 H."""
        winding = draw.uniform(50e-12, 200e-12)
        return cls(log_uniform(draw, 1.5, 8), log_uniform(draw, 4e3, 14e3), log_uniform(draw, 150e3, 1e6), winding)

    def plug(self, bench: Bench) -> None:
        """Puts it on the node."""
        bench.coil(self.henries, self.ohms, self.loss_ohms, self.winding_farads)


def drawn_pickup(draw: np.random.Generator, known: str, sounds: Sounds, **fixed: float) -> tuple[Pickup, Lead, Take]:
    """Any pickup on any lead."""
    lead, pickup = Lead.drawn(draw, known, **fixed), Pickup.drawn(draw)
    return pickup, lead, lead.take(sounds.at(lead.face.rate), lambda bench: bench.pickup(pickup))
