"""How often `firstjack votes` finds a preference among setups: where there is none, and where one was planted.

Listeners are drawn by numpy. Every page has the take as recorded, which listeners put anywhere, and an anchor, which they
put last. What a test at 5 % may do comes from the distribution of Friedman's statistic itself, counted through or drawn
here with numpy, and from `scipy.stats.permutation_test`.

One call of the program judges one set of rankings. Its verdict on a set depends only on the statistic and rises with it, so
the least statistic that comes out is found by bisection over those that were drawn, and the share of all draws that reach it
is the share of draws that come out. `test_no_preference_one_by_one` takes no such short cut.
"""

from __future__ import annotations

import itertools
import json
import math
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy import stats

from ballots import Ballot
from conftest import Program

Integers = np.ndarray[Any, np.dtype[np.int64]]

ALPHA = 0.05
DRAWS = 20_000
# Rows of sums that counting through may come to.
MOST_ROWS = 400_000
CELLS = list(itertools.product(range(3, 13), range(3, 8)))


def page_of(setups: int) -> Ballot:
    """A page with so many setups, as README's recipe makes it."""
    names = ("as recorded", *(f"setup {at}" for at in range(setups)), "anchor")
    return Ballot(names, {"as recorded": "recorded", "anchor": "anchor"})


def ranks_without_preference(random: np.random.Generator, listeners: int, setups: int, draws: int) -> Integers:
    """Ranks from one on: draws, listeners, setups."""
    ranks = np.broadcast_to(np.arange(1, setups + 1), (draws, listeners, setups))
    return random.permuted(ranks, axis=2)


def spreads(ranks: Integers) -> Integers:
    """What Friedman's statistic grows with where nothing ties: the sum of squares of rank sums."""
    return (ranks.sum(axis=-2) ** 2).sum(axis=-1)


class Judge:
    """The program as a judge of rankings."""

    def __init__(self, program: Program, folder: Path, setups: int) -> None:
        self.program, self.folder = program, folder
        self.ballot = page_of(setups)
        self.page = self.ballot.page(folder)
        self.random = np.random.default_rng(7)

    def p(self, ranks: Integers) -> float:
        """Its chance of these ranks of setups; the anchor last, the take as recorded anywhere before it."""
        lines = []
        for at, row in enumerate(ranks):
            order = [int(setup) + 1 for setup in np.argsort(row)]
            order.insert(int(self.random.integers(0, len(order) + 1)), 0)
            order.append(len(row) + 1)
            lines.append(json.dumps(self.ballot.ranking(f"listener {at}", at + 1, order)))
        answers = self.folder / "answers.txt"
        answers.write_text("\n".join(lines))
        told = json.loads(self.program("votes", self.page, answers, "--json"))
        assert told["ranking"]["all"]["listeners"] == len(ranks)
        return float(told["ranking"]["all"]["friedman"]["p"])

    def least(self, ranks: Integers) -> float:
        """The least spread among these draws that comes out; infinite if none does."""
        drawn = spreads(ranks)
        values, first = np.unique(drawn, return_index=True)
        low, high = 0, len(values)
        while low < high:
            middle = (low + high) // 2
            if self.p(ranks[first[middle]]) <= ALPHA:
                high = middle
            else:
                low = middle + 1
        return float(values[low]) if low < len(values) else math.inf


@cache
def counted(listeners: int, setups: int) -> tuple[Integers, np.ndarray[Any, Any]] | None:
    """All spreads that can come about, and the chance of each or more; None where there are too many ways."""
    orders = np.array(list(itertools.permutations(range(1, setups + 1))))
    sums, chances = np.arange(1, setups + 1)[None, :], np.ones(1)
    for _ in range(listeners - 1):
        if len(sums) * len(orders) > MOST_ROWS:
            return None
        every = np.sort(sums[:, None, :] + orders, axis=2).reshape(-1, setups)
        sums, where = np.unique(every, axis=0, return_inverse=True)
        chances = np.bincount(where.ravel(), np.repeat(chances / len(orders), len(orders)))
    values, where = np.unique((sums**2).sum(axis=1), return_inverse=True)
    at_least = np.bincount(where.ravel(), chances)[::-1].cumsum()[::-1]
    return values, at_least


def distribution(
    random: np.random.Generator, listeners: int, setups: int
) -> tuple[Integers, np.ndarray[Any, Any]]:
    """Spreads without a preference, and the chance of each or more: counted, or where that is too much of ten times the draws."""
    exact = counted(listeners, setups)
    if exact is not None:
        return exact
    drawn = spreads(ranks_without_preference(random, listeners, setups, 10 * DRAWS))
    values, counts = np.unique(drawn, return_counts=True)
    return values, counts[::-1].cumsum()[::-1] / drawn.size


@pytest.mark.parametrize(("listeners", "setups"), CELLS)
def test_no_preference(program: Program, tmp_path: Path, listeners: int, setups: int) -> None:
    """The share that comes out is no more than 5 % and, but for what whole numbers of listeners cannot do, no less."""
    random = np.random.default_rng(100 * listeners + setups)
    ranks = ranks_without_preference(random, listeners, setups, DRAWS)
    least = Judge(program, tmp_path, setups).least(ranks)
    others = spreads(ranks_without_preference(random, listeners, setups, DRAWS))
    out = int((others >= least).sum())
    assert out <= stats.binom.ppf(0.9999, DRAWS, ALPHA)
    _, at_least = distribution(random, listeners, setups)
    attainable = [*at_least[at_least <= ALPHA], 0.0]
    # Where nothing was counted the least that comes out may be one value off.
    low, high = (attainable[0], attainable[0]) if counted(listeners, setups) else (attainable[1], ALPHA)
    assert stats.binom.ppf(0.0001, DRAWS, low) <= out <= stats.binom.ppf(0.9999, DRAWS, high)


@pytest.mark.parametrize(("listeners", "setups"), [(4, 2), (4, 3), (6, 3), (5, 4)])
def test_no_preference_one_by_one(program: Program, tmp_path: Path, listeners: int, setups: int) -> None:
    """A call for each of 400 draws."""
    draws = 400
    random = np.random.default_rng(listeners)
    judge = Judge(program, tmp_path, setups)
    out = sum(
        judge.p(ranks) <= ALPHA for ranks in ranks_without_preference(random, listeners, setups, draws)
    )
    exact = counted(listeners, setups)
    assert exact is not None
    low, high = stats.binom.ppf([0.0001, 0.9999], draws, exact[1][exact[1] <= ALPHA].max(initial=0.0))
    assert low <= out <= high


def planted(random: np.random.Generator, listeners: int, setups: int, draws: int) -> Integers:
    """Ranks of listeners who like each setup a bit less than the one before, and are not sure of it."""
    liking = 0.9 * np.arange(setups) / (setups - 1) + random.normal(size=(draws, listeners, setups))
    return liking.argsort(axis=2).argsort(axis=2) + 1


@pytest.mark.parametrize(("listeners", "setups"), [(4, 3), (8, 3), (12, 3), (6, 4), (10, 5), (12, 7)])
def test_power(program: Program, tmp_path: Path, listeners: int, setups: int) -> None:
    """A planted preference is found as often as by the statistic's own distribution."""
    random = np.random.default_rng(1000 * listeners + setups)
    ranks = planted(random, listeners, setups, DRAWS)
    found = float(np.mean(spreads(ranks) >= Judge(program, tmp_path, setups).least(ranks)))
    values, at_least = distribution(random, listeners, setups)
    critical = values[at_least <= ALPHA].min()
    power = float(np.mean(spreads(ranks) >= critical))
    assert found == pytest.approx(power, abs=0.01)
    assert 0.1 < power < 0.9


@pytest.mark.parametrize(("listeners", "setups"), [(4, 3), (8, 4), (12, 7)])
def test_chance_is_scipy_s(program: Program, tmp_path: Path, listeners: int, setups: int) -> None:
    """On 25 sets with a planted preference: the permutation test of scipy, within five standard errors of its draws."""
    random = np.random.default_rng(listeners + setups)
    judge = Judge(program, tmp_path, setups)
    resamples = 20_000

    def statistic(*samples: Integers, axis: int = -1) -> Any:
        return sum(sample.sum(axis=axis) ** 2 for sample in samples)

    for ranks in planted(random, listeners, setups, 25):
        expected = stats.permutation_test(
            tuple(ranks.T),
            statistic,
            permutation_type="samples",
            vectorized=True,
            n_resamples=resamples,
            alternative="greater",
            rng=random,
        ).pvalue
        spread = math.sqrt(expected * (1 - expected) / resamples)
        assert judge.p(ranks) == pytest.approx(expected, abs=5 * spread + 2 / resamples)
