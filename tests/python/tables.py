"""Reads the ngspice tables of tests/reference (format: its README)."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

REFERENCE = Path(__file__).resolve().parent.parent / "reference"


@dataclass(frozen=True)
class Table:
    """One table: the circuit's values, and the columns by name."""

    values: dict[str, float]
    columns: dict[str, NDArray[np.float64]]


def read(name: str) -> Table:
    """Reads `tests/reference/NAME.csv`."""
    lines = (REFERENCE / f"{name}.csv").read_text().splitlines()
    first = next(i for i, x in enumerate(lines) if not x.startswith("#"))
    machine = next(x for x in lines[:first] if "pickup_farads=" in x)
    values = {k: float(v) for k, v in (part.split("=") for part in machine[1:].split())}
    numbers = np.array([[float(x) for x in line.split(",")] for line in lines[first + 1 :]])
    return Table(values, dict(zip(lines[first].split(","), numbers.T, strict=True)))


def ac_names() -> list[str]:
    """The names of all `.ac` tables."""
    return sorted(x.stem for x in REFERENCE.glob("*.csv") if not x.stem.startswith("pluck_"))
