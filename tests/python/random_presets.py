"""Random files of setups, to the limit of what a chain may hold, from a seed.

Values spread evenly in their logarithm over the common ranges (common practice, no source) and about a decade beyond them.
"""

from __future__ import annotations

import random
from typing import Any

Fields = dict[str, Any]

# A chain's limit, as the program's error message states it.
MOST_PARTS = 8

# Suffix, and the ends of the range in units of it.
RANGES = {
    "pickup capacitance": ("pF", 50, 100e3),
    "leakage": ("k", 300, 10e6),
    "coil": ("H", 0.5, 20),
    "coil resistance": ("k", 1, 50),
    "winding": ("pF", 10, 1000),
    "loss": ("k", 30, 3000),
    "pot": ("k", 10, 2200),
    "tone capacitance": ("nF", 1, 100),
    "mixing": ("k", 1, 1000),
    "length": (" m", 0.1, 100),
    "per metre": ("pF", 30, 300),
    "input": ("k", 3, 100e3),
    "shunt": ("pF", 1, 1000),
    "blocking": ("nF", 0.1, 1000),
    "primary": ("H", 1, 2000),
    "primary winding": ("", 10, 20e3),
    "ratio": ("", 0.5, 30),
    "secondary": ("", 100, 100e3),
    "own capacitance": ("pF", 10, 5000),
    "leg": ("", 100, 1e6),
}


class Draw:
    """Draws presets from one seed."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)

    def size(self, name: str) -> str:
        """A value with its unit, of three to four figures."""
        suffix, low, high = RANGES[name]
        number = low * (high / low) ** self.random.random()
        return f"{float(f'{number:.4g}'):.10g}{suffix}"

    def maybe(self, share: float = 0.5) -> bool:
        """True in `share` of all cases."""
        return self.random.random() < share

    def some(self, **sizes: str) -> dict[str, str]:
        """Each of these fields in half of all cases."""
        return {field: self.size(name) for field, name in sizes.items() if self.maybe()}

    def position(self) -> str:
        """A control's position, in a quarter of all cases at one of its stops."""
        if self.maybe(0.25):
            return self.random.choice(["0 %", "100 %"])
        return f"{100 * self.random.random():.3g} %"

    def pot(self, **more: str) -> Fields:
        """A pot of either taper."""
        taper = self.random.choice([{}, {"taper": "linear"}, {"taper": "logarithmic"}])
        return {"resistance": self.size("pot"), "position": self.position(), **taper, **more}

    def pickup(self) -> Fields:
        """A pickup of either kind, perhaps with controls."""
        if self.maybe():
            pickup: Fields = {"capacitance": self.size("pickup capacitance"), **self.some(leakage="leakage")}
        else:
            pickup = {"inductance": self.size("coil"), "resistance": self.size("coil resistance")}
            pickup |= self.some(winding="winding", loss="loss")
        if self.maybe():
            pickup["tone"] = self.pot(capacitance=self.size("tone capacitance"))
        if self.maybe():
            pickup["volume"] = self.pot()
        return pickup

    def box(self, most_parts: int) -> tuple[Fields, int]:
        """A box, and its parts that store energy."""
        box: Fields = {"box": "box", **self.some(capacitance="shunt")}
        parts = 0
        if most_parts > 0 and self.maybe():
            box["blocking"] = self.size("blocking")
            parts += 1
        if most_parts - parts > 1 and self.maybe():
            box["transformer"] = {
                "primary": self.size("primary"),
                "ratio": self.size("ratio"),
                "secondary": self.size("secondary"),
                **self.some(winding="primary winding", capacitance="own capacitance", core="loss"),
            }
            return box, parts + 1 + ("capacitance" in box["transformer"] and "blocking" in box)
        return {**box, "input": self.size("input")}, parts

    def links(self, most_parts: int, depth: int) -> tuple[list[Fields], int]:
        """Links of a chain or a branch, and their parts that store energy."""
        links: list[Fields] = []
        parts = 0
        for _ in range(self.random.randint(1, 9 if depth == 0 else 3)):
            kind = self.random.choice(["cable", "box", "box", "splitter"])
            if kind == "cable":
                some = self.some(per_metre="per metre", leakage="leakage")
                links.append({"cable": self.size("length"), **some})
            elif kind == "box":
                box, own = self.box(most_parts - parts)
                links.append({**box, "thru": "before"})
                parts += own
            elif depth < 2:
                legs = 2 if most_parts - parts >= 2 and self.maybe() else 0
                branch, own = self.links(most_parts - parts - legs, depth + 1)
                resistor = {"resistor": self.size("leg")} if legs else {}
                links.append({"splitter": "splitter", **resistor, "branch": branch})
                parts += own + legs
        if not links or self.maybe(0.7):
            box, own = self.box(most_parts - parts)
            parts += own
            # What follows a buffer must not matter.
            thru = [{**box, "thru": "after"}, {"cable": "50 m"}, {"box": "behind", "input": "10k"}]
            links += thru if self.maybe(0.2) else [box]
        return links, parts

    def load(self) -> str:
        """A load as it is typed, with a path to ground at DC."""
        parts = [self.size("input")]
        for name in ("input", "shunt", "length", "primary"):
            if self.maybe(0.3):
                parts.append(self.size(name))
        self.random.shuffle(parts)
        return " || ".join(parts)

    def setup(self, name: str) -> Fields:
        """A setup, now and then with positions of its own."""
        setup: Fields = {"name": name}
        if self.maybe(0.3):
            setup |= {"volume": self.position(), "tone": self.position()}
        if self.maybe(0.1):
            return setup | {"load": self.load()}
        return setup | {"chain": self.links(MOST_PARTS, 0)[0]}

    def preset(self, setups: int) -> Fields:
        """A file of setups, as TOML's tables."""
        preset: Fields = {"version": 4, "name": "random", "recorded": {"load": "none"}}
        if self.maybe(0.4):
            preset["blend"] = [self.blended(), self.blended()]
        else:
            preset["pickup"] = self.pickup()
        preset["setup"] = [self.setup(f"setup {number}") for number in range(setups)]
        return preset

    def blended(self) -> Fields:
        """One of two pickups."""
        polarity = {"polarity": self.random.choice(["same", "reversed"])} if self.maybe() else {}
        return self.pickup() | self.some(mixing="mixing") | polarity


def toml(given: Any) -> str:
    """Inline TOML of texts, numbers, lists and tables."""
    if isinstance(given, dict):
        return "{ " + ", ".join(f"{key} = {toml(inner)}" for key, inner in given.items()) + " }"
    if isinstance(given, list):
        return "[" + ", ".join(map(toml, given)) + "]"
    return str(given) if isinstance(given, int) else f'"{given}"'


def text_of(preset: Fields) -> str:
    """A preset's file."""
    return "\n".join(f"{key} = {toml(inner)}" for key, inner in preset.items()) + "\n"
