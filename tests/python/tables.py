"""Reads the ngspice tables of tests/reference (format: its README), and the program's own."""

from __future__ import annotations

import csv
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

Reals = NDArray[np.float64]
Complexes = NDArray[np.complex128]

REFERENCE = Path(__file__).resolve().parent.parent / "reference"


@dataclass(frozen=True)
class Table:
    """One table: the values in its header, and the columns by name."""

    values: dict[str, float]
    columns: dict[str, Reals]

    def responses(self) -> dict[str, Complexes]:
        """The complex columns of an `.ac` table: `1`, and of a blend also `2`."""
        names = {name.removeprefix("re") for name in self.columns if name.startswith("re")}
        return {name or "1": self.columns[f"re{name}"] + 1j * self.columns[f"im{name}"] for name in names}


def read(name: str) -> Table:
    """Reads `tests/reference/NAME.csv`."""
    lines = (REFERENCE / f"{name}.csv").read_text().splitlines()
    first = next(i for i, x in enumerate(lines) if not x.startswith("#"))
    machine = [x for x in lines[:first] if "pickup_farads=" in x or "rate_hz=" in x]
    values = {k: float(v) for x in machine for k, v in (part.split("=") for part in x[1:].split())}
    numbers = np.array([[float(x) for x in line.split(",")] for line in lines[first + 1 :]])
    return Table(values, dict(zip(lines[first].split(","), numbers.T, strict=True)))


def ac_names() -> list[str]:
    """The names of all `.ac` tables."""
    return sorted(x.stem for x in REFERENCE.glob("*.csv") if not x.stem.startswith("pluck_"))


def rc_names() -> list[str]:
    """The names of the `.ac` tables of RC circuits, whose headers carry the circuit's values."""
    return [name for name in ac_names() if "pickup_farads" in read(name).values]


def described_names() -> list[str]:
    """The names of the `.ac` tables whose circuit is a file of setups."""
    return [name for name in ac_names() if path_of_preset(name).exists()]


def path_of_preset(name: str) -> Path:
    """The file of setups that describes a table's circuit."""
    return REFERENCE / f"{name}.toml"


def preset(name: str) -> dict[str, Any]:
    """What is in it."""
    return tomllib.loads(path_of_preset(name).read_text())


def curves(table: Path) -> dict[tuple[str, str], tuple[Reals, Complexes]]:
    """Frequencies and responses of each setup and pickup in a table of `firstjack curve`."""
    rows: dict[tuple[str, str], list[list[float]]] = {}
    with table.open(newline="") as file:
        for row in csv.DictReader(file):
            numbers = [float(row[name]) for name in ("hz", "re", "im")]
            rows.setdefault((row["setup"], row["pickup"]), []).append(numbers)
    arrays = {key: np.array(numbers) for key, numbers in rows.items()}
    return {key: (array[:, 0], array[:, 1] + 1j * array[:, 2]) for key, array in arrays.items()}
