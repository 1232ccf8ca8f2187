"""Steps at switches, drawn here, and how likely each capacitance makes them: by `scipy.stats` and integrals that are computed as sums.

`python steps.py > ../reference/toggle_steps.json` makes the table that `measure/src/toggle/likelihood.rs` is held to.
"""

from __future__ import annotations

import json
import sys
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import optimize, special, stats

from circuit import Circuit, parallel

Reals = NDArray[np.float64]

OHMS, ADDED_OHMS, FARADS = 1e6, 56e3, 680e-12
LEVEL, TILT, EACH = 0.1, 0.03, 0.03
SWITCHES, PARTIALS = 8, 14
# Integrals go to so many standard deviations of the level and the tilt, in so many steps.
WIDTHS, STEPS = 5.0, 121
PLACES = np.geomspace(0.8, 1.25, 7)


def step(farads: float, hz: Reals) -> Reals:
    """What the resistor does to the level, in nepers: the formula of `circuit.py`."""
    with_, without = (Circuit(farads, ohms) for ohms in (parallel(OHMS, ADDED_OHMS), OHMS))
    return np.log(np.abs(with_.at(hz) / without.at(hz)))


def drawn() -> list[dict[str, Any]]:
    """Steps of one pickup, whose errors are Student's with 4 degrees of freedom."""
    random = np.random.default_rng(680)
    groups = []
    for _ in range(SWITCHES):
        hz = random.uniform(41, 110) * np.arange(1, PARTIALS + 1)
        variance = random.uniform(0.01, 0.06, PARTIALS) ** 2
        error = random.standard_t(4, PARTIALS) * np.sqrt(variance + EACH**2)
        beside = LEVEL * random.standard_normal() + TILT * random.standard_normal() * np.log2(hz / 400)
        nepers = step(FARADS, hz) + beside + error
        groups.append({"hz": hz.tolist(), "nepers": nepers.tolist(), "variance": variance.tolist()})
    return groups


def log_likelihood(group: dict[str, Any], farads: float) -> float:
    """Of one switch: level and tilt are integrated away."""
    hz, nepers, variance = (np.array(group[key]) for key in ("hz", "nepers", "variance"))
    levels, tilts = (np.linspace(-WIDTHS, WIDTHS, STEPS) * width for width in (LEVEL, TILT))
    cell = (levels[1] - levels[0]) * (tilts[1] - tilts[0])
    left = nepers - step(farads, hz)
    total = stats.norm.logpdf(levels, scale=LEVEL)[:, None] + stats.norm.logpdf(tilts, scale=TILT)
    for value, octaves, scale in zip(left, np.log2(hz / 400), np.sqrt(variance + EACH**2), strict=True):
        total = total + stats.t.logpdf(value - levels[:, None] - tilts * octaves, 4, scale=scale)
    return float(special.logsumexp(total) + np.log(cell))


def table() -> dict[str, Any]:
    """All of it."""
    groups = drawn()
    total = lambda log_farads: sum(log_likelihood(group, np.exp(log_farads)) for group in groups)
    best = optimize.minimize_scalar(
        lambda place: -total(place), bounds=(np.log(500e-12), np.log(900e-12)), method="bounded", options={"xatol": 1e-5}
    )
    farads = (FARADS * PLACES).tolist()
    return {
        "load_ohms": OHMS,
        "added_ohms": ADDED_OHMS,
        "scatter": {"level": LEVEL, "tilt": TILT, "each": EACH},
        "groups": groups,
        "farads": farads,
        "log_likelihood": [[log_likelihood(group, value) for value in farads] for group in groups],
        "likeliest_farads": float(np.exp(best.x)),
        "quantiles": {str(freedom): float(stats.t.ppf(0.975, freedom)) for freedom in (5, 11, 23)},
    }


if __name__ == "__main__":
    json.dump(table(), sys.stdout, indent=1)
