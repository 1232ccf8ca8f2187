"""Pages and answers to them, made without the program: the format and its chance written anew.

xorshift32 as in G. Marsaglia, "Xorshift RNGs", Journal of Statistical Software 8 (14), 2003, shifts 13, 17, 5;
base64 and CRC-32 by Python's own modules.
"""

from __future__ import annotations

import base64
import json
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any

PACK = "0123456789abcdef"


def chance(seed: int) -> Iterator[int]:
    """The sequence from a seed, after eight discarded values."""
    state = seed or 1
    for count in range(1 << 62):
        state ^= (state << 13) & 0xFFFFFFFF
        state ^= state >> 17
        state ^= (state << 5) & 0xFFFFFFFF
        if count >= 8:
            yield state


def trials(seed: int, count: int) -> str:
    """What X is, one letter a trial."""
    return "".join("ab"[value >> 31] for value in islice(chance(seed), count))


def labels(seed: int, count: int) -> list[int]:
    """Which sound of the page has label 1, 2, ..., counted from zero."""
    numbers, order = chance(seed ^ 0x5BD1E995), list(range(count))
    for last in range(count - 1, 0, -1):
        other = next(numbers) % (last + 1)
        order[last], order[other] = order[other], order[last]
    return order


def seal(pack: str, text: str) -> str:
    """Text behind the page's veil."""
    stream = chance(int(pack[:8], 16))
    return base64.b64encode(bytes(byte ^ (next(stream) >> 24) for byte in text.encode())).decode()


@dataclass(frozen=True)
class Ballot:
    """A page's sounds: names in order, keys, and what is not a setup."""

    names: tuple[str, ...]
    kinds: dict[str, str]

    @property
    def keys(self) -> list[str]:
        """A key each, from which no name can be read."""
        return [f"k{7 * at % 97:02d}z" for at in range(len(self.names))]

    def page(self, folder: Path) -> Path:
        """A page with these sounds and nothing else."""
        sounds = {
            key: {"name": name, "kind": self.kinds.get(name, "setup"), "verdict": "", "loss_db": 1.0}
            for key, name in zip(self.keys, self.names, strict=True)
        }
        sealed = json.dumps({"order": self.keys, "sounds": sounds, "sections": None})
        held = [{"key": key, "block": f"sound-{at}"} for at, key in enumerate(sorted(self.keys))]
        data = {"version": 1, "pack": PACK, "sounds": held, "abx": None, "sealed": seal(PACK, sealed)}
        path = folder / "page.html"
        text = json.dumps(data).replace("<", "\\u003c")
        path.write_text(
            f'<!doctype html><title>x</title><script type="application/json" id="data">{text}</script>'
        )
        return path

    def run(self, listener: str, seed: int, a: int, b: int, right: int, count: int) -> dict[str, Any]:
        """A run with the first so many answers right and the others wrong."""
        x = trials(seed, count)
        said = x[:right] + x[right:].translate(str.maketrans("ab", "ba"))
        pair = {"a": self.keys[a], "b": self.keys[b]}
        return answer(listener, seed, "abx", **pair, said=said)

    def ranking(self, listener: str, seed: int, order: Sequence[int]) -> dict[str, Any]:
        """A ranking, the best first."""
        return answer(listener, seed, "ranking", order=[self.keys[at] for at in order])


def answer(listener: str, seed: int, kind: str, **fields: Any) -> dict[str, Any]:
    """What the page gives."""
    head = {"firstjack": "answers", "version": 1, "pack": PACK, "seed": f"{seed:08x}"}
    return {**head, "listener": listener, "kind": kind, **fields}


def code(given: dict[str, Any]) -> str:
    """The same for pasting."""
    text = json.dumps(given, ensure_ascii=False).encode()
    return f"fj1.{base64.urlsafe_b64encode(text).decode().rstrip('=')}.{zlib.crc32(text):08x}"
