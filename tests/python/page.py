"""Pages that `firstjack pack` made for the tests, the takes in them, and the format, written anew."""

from __future__ import annotations

import base64
import binascii
import html
import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

import sound
from circuit import Reals

if TYPE_CHECKING:
    from conftest import Program

RATE_HZ = 48_000
SECONDS = 6
PICKUP_FARADS = 680e-12

# Names of setups, and the resistance and the capacitance that each comes to.
SETUPS = {
    "passive box": ("56k", 56e3, 0.0),
    "combo": ("470k", 470e3, 0.0),
    "combo on a long cable": ("470k || 6 m", 470e3, 600e-12),
    "tuner": ("1M", 1e6, 0.0),
    "buffer box": ("10M", 10e6, 0.0),
}
RECORDED = ("22M", 22e6, 0.0)

HOSTILE = [
    "<img src=x onerror=\"window.hacked='img'\">",
    "</script><script>window.hacked='script'</script>",
    "\"&amp;' {name} ${1+1} `",
    "\u202eright to left\u202c",
]


@cache
def plucks(seed: int = 1) -> Reals:
    """Plucked strings from the low A up, with hiss, as a pickup might deliver them."""
    random = np.random.default_rng(seed)
    time = np.arange(SECONDS * RATE_HZ) / RATE_HZ
    take = 1e-6 * random.standard_normal(time.size)
    for start, hz in zip(np.arange(0.1, SECONDS - 0.5, 0.45), [55.0, 73.42, 98.0, 130.81, 164.81, 110.0] * 3):
        at = int(np.searchsorted(time, start))
        since = time[at:] - start
        attack = np.clip(since / 0.002, 0, 1)
        for partial in range(1, 40):
            decay = np.exp(-since * (1.5 + 0.35 * partial))
            phase = 2 * np.pi * hz * partial * np.sqrt(1 + 5e-5 * partial**2) * since
            take[at:] += 0.09 / partial**1.2 * attack * decay * np.sin(phase)
    return take


def tone() -> Reals:
    """55 Hz, the low A by itself."""
    return 0.25 * np.sin(2 * np.pi * 55 * np.arange(SECONDS * RATE_HZ) / RATE_HZ)


def preset(folder: Path, setups: dict[str, str]) -> Path:
    """A file of setups, each a plain load, of the first version that can say it."""
    version = 4 if any("±" in load for load in setups.values()) else 1
    lines = [f'version = {version}\nname = "Test"\ninstrument = "guitarron"\npickup = {{ capacitance = "680 pF" }}']
    lines.append(f'recorded = {{ load = "{RECORDED[0]}" }}')
    lines += [f'[[setup]]\nname = {json.dumps(name)}\nload = "{load}"' for name, load in setups.items()]
    path = folder / "setups.toml"
    path.write_text("\n".join(lines), encoding="utf-8")
    return path


def pack(program: Program, folder: Path, take: Reals, setups: dict[str, str], *options: str) -> Path:
    """The page of a take."""
    sound.write_float32(folder / "take.wav", RATE_HZ, take)
    page = folder / "page.html"
    program("pack", folder / "take.wav", "--setups", preset(folder, setups), *options, "-o", page)
    return page


def loads() -> dict[str, str]:
    """The setups as a file of setups has them."""
    return {name: load for name, (load, _, _) in SETUPS.items()}


def block(page: Path, name: str) -> str:
    """The text of a block of the page."""
    found = re.search(
        f'<script type="[^"]+" id="{name}">(.*?)</script>', page.read_text(encoding="utf-8"), re.DOTALL
    )
    assert found, f"no block {name}"
    return found[1]


def data(page: Path) -> dict[str, Any]:
    """What the page's script reads."""
    return json.loads(block(page, "data"))


def sequence(seed: int) -> Iterator[int]:
    """xorshift32 with shifts 13, 17, 5 (Marsaglia 2003), the first eight values left out."""
    state = seed or 1
    for index in range(2**32):
        state ^= state << 13 & 0xFFFFFFFF
        state ^= state >> 17
        state ^= state << 5 & 0xFFFFFFFF
        if index >= 8:
            yield state


def sides(seed: str, trials: int) -> str:
    """What X was in each trial: A if the top bit is 0."""
    return "".join("b" if value >> 31 else "a" for value, _ in zip(sequence(int(seed, 16)), range(trials)))


def secret(page: Path) -> dict[str, Any]:
    """What the page keeps sealed."""
    read = data(page)
    sealed = base64.b64decode(read["sealed"], validate=True)
    stream = sequence(int(read["pack"][:8], 16))
    return json.loads(bytes(byte ^ (value >> 24) for byte, value in zip(sealed, stream)))


def answers(code: str) -> dict[str, Any]:
    """The answers in a code; its check sum must be right."""
    tag, payload, check = code.split(".")
    text = base64.urlsafe_b64decode(payload + "=" * (-len(payload) % 4))
    assert tag == "fj1"
    assert int(check, 16) == binascii.crc32(text)
    return json.loads(text)


def spellings(name: str) -> list[bytes]:
    """How a name might stand in a file: as it is, escaped, and in base64 at each of three places."""
    plain = name.encode()
    coded = []
    for shift in range(3):
        whole = base64.b64encode(b"\0" * shift + plain)
        coded.append(whole[-(-8 * shift // 6) : 8 * (shift + len(plain)) // 6])
    return [plain, html.escape(name).encode(), json.dumps(name)[1:-1].encode(), *coded]
