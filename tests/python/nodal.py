"""Nodal analysis of a file of setups: an independent way from the same file to the same response.

The netlist is built here from the file's text, by what the format says of each field; the solution is one complex linear
system a frequency (textbook nodal analysis: the currents into every node sum to zero). No polynomial, no ladder,
no root takes part. `test_judges.py` holds it against ngspice's tables of netlists that were written by hand.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

Reals = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Fields = dict[str, Any]

GROUND = "ground"
# Cable default, common practice, no source.
CABLE_FARADS_PER_METRE = 100e-12
# Of a pot's resistance, this part stays below the wiper at its lower stop: common practice, no source.
POT_END_PART = 1e-3

POWERS = {"T": 12, "G": 9, "M": 6, "k": 3, "": 0, "m": -3, "u": -6, "n": -9, "p": -12}
UNITS = ("F", "H", "m", "%", "")


def value(text: str) -> float:
    """A number with prefix and unit in SI units: `4k7`, `4.7 H`, `680 pF`, `70 %`, `6 m`."""
    coded = re.fullmatch(r"(\d*)([TGMkmunp])(\d+)\s*[FH]?", text.strip())
    if coded:
        whole, prefix, tenths = coded.groups()
        return float(f"{whole}.{tenths}e{POWERS[prefix]}")
    plain = re.fullmatch(r"([\d.]+(?:e[+-]?\d+)?)\s*(.*)", text.strip())
    assert plain, f"cannot read '{text}'"
    number, suffix = plain.groups()
    if suffix in UNITS:
        return float(number)
    unit = suffix[-1] if suffix[-1] in "FH" else ""
    return float(f"{number}e{POWERS[suffix.removesuffix(unit)]}")


@dataclass
class Netlist:
    """Two-terminal parts between nodes; nodes that are joined are one."""

    parts: list[tuple[str, str, str, float]] = field(default_factory=list)
    joined: dict[str, str] = field(default_factory=dict)
    count: int = 0

    def node(self) -> str:
        """A new node."""
        self.count += 1
        return f"n{self.count}"

    def add(self, kind: str, a: str, b: str, size: float) -> None:
        """A part of kind R, C or L; a resistor of nothing joins its ends."""
        if kind == "R" and size == 0:
            self.joined[self.one(a)] = self.one(b)
        else:
            self.parts.append((kind, a, b, size))

    def some(self, kind: str, a: str, b: str, text: str | None) -> None:
        """A part that a file may leave away."""
        if text is not None:
            self.add(kind, a, b, value(text))

    def one(self, node: str) -> str:
        """What a node is called after all joining."""
        while node in self.joined:
            node = self.joined[node]
        return node

    def solve(self, sources: dict[str, float], output: str, hz: Reals) -> Complexes:
        """The output's voltage with these nodes held at these voltages, at each frequency."""
        held = {self.one(node): volts for node, volts in {GROUND: 0.0, **sources}.items()}
        ends = {self.one(node) for _, a, b, _ in self.parts for node in (a, b)} | {self.one(output)}
        free = {node: index for index, node in enumerate(sorted(ends - held.keys()))}
        s = 2j * np.pi * hz
        matrix = np.zeros((hz.size, len(free), len(free)), dtype=complex)
        currents = np.zeros((hz.size, len(free)), dtype=complex)
        for kind, *nodes, size in self.parts:
            siemens = {"R": 1 / size + 0 * s, "C": s * size, "L": 1 / (s * size)}[kind]
            a, b = map(self.one, nodes)
            for here, there in ((a, b), (b, a)):
                if here not in free or here == there:
                    continue
                matrix[:, free[here], free[here]] += siemens
                if there in free:
                    matrix[:, free[here], free[there]] -= siemens
                else:
                    currents[:, free[here]] += siemens * held[there]
        # Rows to one size: conductances span twenty decades.
        largest = np.abs(matrix).max(axis=2)
        solution = np.linalg.solve(matrix / largest[:, :, None], (currents / largest)[:, :, None])
        return solution[:, free[self.one(output)], 0]


def part_below(pot: Fields, position: str | None) -> float:
    """The part of a pot's resistance below its wiper."""
    x = value(position or pot.get("position", "100 %")) / 100
    return (81**x - 1) / 80 if pot.get("taper") == "logarithmic" else x


def add_pickup(net: Netlist, pickup: Fields, source: str, jack: str, at: Fields) -> None:
    """From a held node to the jack, with the controls at a setup's own positions."""
    element = net.node()
    if "capacitance" in pickup:
        net.some("C", source, element, pickup["capacitance"])
        net.some("R", element, GROUND, pickup.get("leakage"))
    else:
        inside = net.node()
        net.some("R", source, inside, pickup["resistance"])
        net.some("L", inside, element, pickup["inductance"])
        net.some("R", inside, element, pickup.get("loss"))
        net.some("C", element, GROUND, pickup.get("winding"))
    if tone := pickup.get("tone"):
        top = net.node()
        net.add("R", element, top, value(tone["resistance"]) * part_below(tone, at.get("tone")))
        net.some("C", top, GROUND, tone["capacitance"])
    above = 0.0
    if volume := pickup.get("volume"):
        below = max(part_below(volume, at.get("volume")), POT_END_PART)
        above = value(volume["resistance"]) * (1 - below)
        net.add("R", jack, GROUND, value(volume["resistance"]) * below)
    net.add("R", element, jack, above)


def add_box(net: Netlist, box: Fields, jack: str) -> str:
    """A box at its jack; where it listens."""
    net.some("C", jack, GROUND, box.get("capacitance"))
    inside = jack
    if "blocking" in box:
        inside = net.node()
        net.some("C", jack, inside, box["blocking"])
    if "input" in box:
        net.some("R", inside, GROUND, box["input"])
        return inside
    core, transformer = net.node(), box["transformer"]
    net.some("C", inside, GROUND, transformer.get("capacitance"))
    net.add("R", inside, core, value(transformer.get("winding", "0")))
    net.some("L", core, GROUND, transformer["primary"])
    net.some("R", core, GROUND, transformer.get("core"))
    net.add("R", core, GROUND, value(transformer["ratio"]) ** 2 * value(transformer["secondary"]))
    return core


def add_load(net: Netlist, load: str, jack: str) -> str:
    """Parts in parallel, as typed; where they are."""
    for part in load.split("||") if load != "none" else []:
        text = part.strip()
        if text.endswith(" m"):
            net.add("C", jack, GROUND, value(text) * CABLE_FARADS_PER_METRE)
        else:
            kind = "L" if text.endswith("H") else "C" if text[-1] in "FpnuP" else "R"
            net.add(kind, jack, GROUND, value(text))
    return jack


def add_links(net: Netlist, links: list[Fields], at: str) -> str:
    """Links in order up to the first buffer; where the last box on the way listens, or the end of the way."""
    listens = None
    for link in links:
        if "cable" in link:
            farads = value(link["per_metre"]) if "per_metre" in link else CABLE_FARADS_PER_METRE
            net.add("C", at, GROUND, value(link["cable"]) * farads)
            net.some("R", at, GROUND, link.get("leakage"))
        elif "box" in link:
            listens = add_box(net, link, at)
            if link.get("thru") == "after":
                break
        else:
            branch, on = net.node(), net.node()
            for leg in (branch, on):
                net.add("R", at, leg, value(link.get("resistor", "0")))
            add_links(net, link["branch"], branch)
            at = on
    return listens or at


def responses(preset: Fields, setup: Fields, hz: Reals) -> dict[str, Complexes]:
    """The responses of one setup by the names of the program's CSV: `1`, and of a blend also `2` and `both`."""
    net, jack = Netlist(), "jack"
    pickups = preset.get("blend") or [preset["pickup"]]
    for number, pickup in enumerate(pickups, 1):
        own = net.node()
        add_pickup(net, pickup, f"source {number}", own, setup)
        net.add("R", own, jack, value(pickup.get("mixing", "0")))
    output = add_load(net, setup["load"], jack) if "load" in setup else add_links(net, setup["chain"], jack)
    signs = [-1.0 if pickup.get("polarity") == "reversed" else 1.0 for pickup in pickups]
    alone = {}
    for number, sign in enumerate(signs, 1):
        volts = {f"source {other}": sign * (other == number) for other in range(1, len(pickups) + 1)}
        alone[str(number)] = net.solve(volts, output, hz)
    if len(pickups) == 2:
        # Solved anew, not added up.
        volts = {f"source {number}": sign for number, sign in enumerate(signs, 1)}
        alone["both"] = net.solve(volts, output, hz)
    return alone
