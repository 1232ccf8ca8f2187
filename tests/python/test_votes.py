"""`firstjack votes --json` against scipy, counting through, and a published data set.

Sources: scipy.stats (binomtest with its exact interval by Clopper and Pearson, friedmanchisquare, rankdata, binom);
Holm's correction and permutation chances by their definitions, written out here; Hollander and Wolfe's times of
rounding first base. Pages and answers are made by `ballots.py`.
"""

from __future__ import annotations

import itertools
import json
import re
import unicodedata
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy import stats

from ballots import Ballot, code, labels
from conftest import Program

BAND = Ballot(("as recorded", "combo", "buffer box", "anchor"), {"as recorded": "recorded", "anchor": "anchor"})


def votes(program: Program, folder: Path, ballot: Ballot, answers: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """What the program tells a script of these answers to a page with these sounds."""
    (folder / "answers.txt").write_text("".join(f"{code(answer)}\n" for answer in answers))
    told: dict[str, Any] = json.loads(
        program("votes", ballot.page(folder), folder / "answers.txt", "--json")
    )
    return told


def holm(chances: Sequence[float]) -> list[float]:
    """Step down: the i-th smallest of m counts (m - i + 1) times, and no less than those before it."""
    order, m = np.argsort(chances, kind="stable"), len(chances)
    steps = np.minimum(1, np.maximum.accumulate([(m - i) * chances[at] for i, at in enumerate(order)]))
    corrected = np.empty(m)
    corrected[order] = steps
    return list(corrected)


def same_tally(tally: dict[str, Any], right: int, trials: int) -> None:
    """Chance and interval are scipy's."""
    assert (tally["right"], tally["trials"]) == (right, trials)
    expected = stats.binomtest(right, trials, 0.5, alternative="greater").pvalue
    assert tally["p"] == pytest.approx(expected, rel=1e-10, abs=0)
    interval = stats.binomtest(right, trials).proportion_ci(0.95, "exact")
    assert (tally["low"], tally["high"]) == pytest.approx((interval.low, interval.high), rel=1e-9, abs=0)


RANDOM = np.random.default_rng(20)
RUNS = [(right, count) for count in range(1, 31) for right in range(count + 1)]
LONG_RUNS = [(int(RANDOM.integers(0, count + 1)), int(count)) for count in RANDOM.integers(31, 1001, 150)]
NEAR_RUNS = [(int(RANDOM.binomial(count, 0.6)), int(count)) for count in RANDOM.integers(31, 1001, 150)]


@pytest.mark.parametrize("runs", [RUNS, LONG_RUNS, NEAR_RUNS, [(0, 1000), (1000, 1000), (1, 1000), (999, 1000)]])
def test_runs(program: Program, tmp_path: Path, runs: list[tuple[int, int]]) -> None:
    """Each line, and all together: up to some 80 000 trials."""
    told = votes(
        program,
        tmp_path,
        BAND,
        [BAND.run(f"listener {at}", at + 1, 1, 2, *run) for at, run in enumerate(runs)],
    )
    (pair,) = told["abx"]
    for line, (right, count) in zip(pair["listeners"], runs, strict=True):
        same_tally(line, right, count)
    same_tally(pair["together"], sum(right for right, _ in runs), sum(count for _, count in runs))
    chances = [line["p"] for line in pair["listeners"]]
    assert [line["p_holm"] for line in pair["listeners"]] == pytest.approx(holm(chances), rel=1e-12)


def test_holm_over_pairs(program: Program, tmp_path: Path) -> None:
    """Every pair of four sounds."""
    pairs = list(itertools.combinations(range(4), 2))
    right = [16, 12, 14, 12, 13, 8]
    answers = [BAND.run("cello", at + 1, *pair, right[at], 16) for at, pair in enumerate(pairs)]
    told = votes(program, tmp_path, BAND, answers)
    chances = [stats.binomtest(count, 16, 0.5, alternative="greater").pvalue for count in right]
    assert [pair["together"]["p_holm"] for pair in told["abx"]] == pytest.approx(holm(chances), rel=1e-10)


def stays_from(share: float, alpha: float, power: float) -> int:
    """The number from which on a share of right answers always comes out at a level with a power, looked at up to 1000."""
    counts = np.arange(1, 1001)
    # scipy's quantile is the least c with P(X <= c) >= q, so the least that comes out is one more.
    critical = stats.binom.ppf(1 - alpha, counts, 0.5) + 1
    assert (stats.binom.sf(critical - 1, counts, 0.5) <= alpha).all()
    falls_short = counts[stats.binom.sf(critical - 1, counts, share) < power]
    return int(falls_short[-1]) + 1


@pytest.mark.parametrize("pairs", [1, 2, 6])
def test_trials_that_are_needed(program: Program, tmp_path: Path, pairs: int) -> None:
    tried = list(itertools.combinations(range(4), 2))[:pairs]
    answers = [BAND.run("cello", at + 1, *pair, 9, 16) for at, pair in enumerate(tried)]
    said = " ".join(votes(program, tmp_path, BAND, answers)["conclusions"])
    (needed,) = re.findall(r"power of 80 % or more from (\d+) trials on", said)
    assert int(needed) == stays_from(0.75, 0.05 / pairs, 0.8)


def several(count: int) -> Ballot:
    """A page of so many setups."""
    return Ballot(tuple(f"setup {at}" for at in range(count)), {})


def places(order: Sequence[int]) -> list[int]:
    """The place of each sound, from one on."""
    return [list(order).index(sound) + 1 for sound in range(len(order))]


def as_rankings(ballot: Ballot, listener: int, row: Sequence[float]) -> list[dict[str, Any]]:
    """A row that may tie, smallest first: with ties as two rankings, in which those that tie swap places."""
    sounds = range(len(row))
    orders = [sorted(sounds, key=lambda at: (row[at], at)), sorted(sounds, key=lambda at: (row[at], -at))]
    orders = orders if orders[0] != orders[1] else orders[:1]
    return [
        ballot.ranking(f"listener {listener}", 2 * listener + at + 1, order) for at, order in enumerate(orders)
    ]


def friedman(ranks: np.ndarray[Any, Any]) -> Any:
    """scipy's takes no fewer than three things; of two it is chi-square of their counts, (a - b)^2 / (a + b)."""
    if ranks.shape[1] > 2:
        return stats.friedmanchisquare(*ranks.T)
    won = int((ranks[:, 0] < ranks[:, 1]).sum())
    lost = int((ranks[:, 0] > ranks[:, 1]).sum())
    return stats.chisquare([won, lost])


def same_orders(told: dict[str, Any], ballot: Ballot, rows: Sequence[Sequence[float]]) -> None:
    """Ranks, Friedman's test, Kendall's W and sign tests are scipy's, of setups only."""
    ranks = np.array([stats.rankdata(row) for row in rows])
    means = dict(zip(ballot.names, ranks.mean(axis=0), strict=True))
    assert {sound["name"]: sound["mean_rank"] for sound in told["sounds"]} == pytest.approx(means, rel=1e-12)
    setups = [at for at, name in enumerate(ballot.names) if name not in ballot.kinds]
    ranks = np.array([stats.rankdata(row) for row in ranks[:, setups]])
    names = [ballot.names[at] for at in setups]
    means = dict(zip(names, ranks.mean(axis=0), strict=True))
    assert {sound["name"]: sound["mean_rank"] for sound in told["candidates"]} == pytest.approx(means, rel=1e-12)
    for which in ("sounds", "candidates"):
        ordered = [sound["mean_rank"] for sound in told[which]]
        assert ordered == sorted(ordered)
    test = told["friedman"]
    expected = friedman(ranks)
    assert test["chi_square"] == pytest.approx(expected.statistic, rel=1e-9, abs=1e-12)
    assert test["p_chi_square"] == pytest.approx(expected.pvalue, rel=1e-9)
    listeners, sounds = ranks.shape
    assert test["degrees"] == sounds - 1
    assert test["kendalls_w"] == pytest.approx(expected.statistic / listeners / (sounds - 1), rel=1e-9, abs=1e-12)
    at = {name: index for index, name in enumerate(names)}
    chances = []
    for pair in told["pairs"]:
        one, other = (ranks[:, at[pair[which]["name"]]] for which in ("better", "other"))
        won, lost = int((one < other).sum()), int((other < one).sum())
        assert (pair["for_better"], pair["for_other"]) == (won, lost) and won >= lost
        chances.append(stats.binomtest(won, won + lost).pvalue if won + lost else 1.0)
    assert len(chances) == sounds * (sounds - 1) // 2
    assert [pair["p"] for pair in told["pairs"]] == pytest.approx(chances, rel=1e-10)
    assert [pair["p_holm"] for pair in told["pairs"]] == pytest.approx(holm(chances), rel=1e-10)


@pytest.mark.parametrize("seed", range(24))
def test_rankings(program: Program, tmp_path: Path, seed: int) -> None:
    """2 to 15 listeners, 3 to 9 sounds, with a common taste or none; every third case ties."""
    random = np.random.default_rng(seed)
    listeners, sounds = int(random.integers(2, 16)), int(random.integers(3, 10))
    liked = np.arange(sounds) * float(random.choice([0, 0.3, 1]))
    rows = liked + random.normal(size=(listeners, sounds))
    if seed % 3 == 0:
        rows = np.round(rows)
    ballot = several(sounds)
    answers = [answer for at, row in enumerate(rows) for answer in as_rankings(ballot, at, row)]
    told = votes(program, tmp_path, ballot, answers)["ranking"]
    same_orders(told["all"], ballot, rows)
    for sent, given in zip(told["sent"], answers, strict=True):
        page = [ballot.keys.index(key) for key in sorted(ballot.keys)]
        numbered = [page[at] for at in labels(int(given["seed"], 16), sounds)]
        assert [numbered[sound["label"] - 1] for sound in sent["order"]] == [
            ballot.keys.index(key) for key in given["order"]
        ]


def spread(ranks: np.ndarray[Any, Any]) -> float:
    """How far rank sums are from each other: what Friedman's statistic grows with, whatever ties."""
    return float(((ranks.sum(axis=0) - ranks.sum() / ranks.shape[1]) ** 2).sum())


@pytest.mark.parametrize("ties", [False, True])
@pytest.mark.parametrize(("listeners", "sounds"), [(2, 3), (3, 3), (5, 3), (2, 4), (3, 4), (2, 5), (6, 2)])
def test_chance_by_counting(program: Program, tmp_path: Path, listeners: int, sounds: int, ties: bool) -> None:
    """All orders of all listeners but the first, one by one."""
    random = np.random.default_rng(100 * listeners + sounds)
    rows = random.normal(size=(listeners, sounds)) + np.arange(sounds)
    if ties:
        rows[0][:2] = rows[1][-2:] = 1
    ballot = several(sounds)
    answers = [answer for at, row in enumerate(rows) for answer in as_rankings(ballot, at, row)]
    test = votes(program, tmp_path, ballot, answers)["ranking"]["all"]["friedman"]
    ranks = np.array([stats.rankdata(row) for row in rows])
    orders = [list(itertools.permutations(row)) for row in ranks[1:]]
    spreads = [spread(np.array([ranks[0], *others])) for others in itertools.product(*orders)]
    assert test["draws"] is None
    assert test["p"] == pytest.approx(np.mean(np.array(spreads) >= spread(ranks) - 1e-9), rel=1e-9)


def test_chance_by_draws(program: Program, tmp_path: Path) -> None:
    """Where counting would take too long: within five standard errors of draws by numpy."""
    random = np.random.default_rng(9)
    rows = random.normal(size=(10, 8)) + 0.1 * np.arange(8)
    ballot = several(8)
    answers = [answer for at, row in enumerate(rows) for answer in as_rankings(ballot, at, row)]
    test = votes(program, tmp_path, ballot, answers)["ranking"]["all"]["friedman"]
    ranks = np.array([stats.rankdata(row) for row in rows])
    count = 50_000
    drawn = random.permuted(np.broadcast_to(ranks, (count, *ranks.shape)), axis=2).sum(axis=1)
    p = np.mean(((drawn - 45.0) ** 2).sum(axis=1) >= spread(ranks) - 1e-9)
    assert test["draws"] == 100_000
    assert 0.01 < p < 0.5
    assert test["p"] == pytest.approx(p, abs=5 * np.sqrt(p * (1 - p) * (1 / count + 1 / 100_000)))


# Seconds of 22 players who round first base in three ways: M. Hollander and D. A. Wolfe, Nonparametric Statistical
# Methods (1973), pages 140 ff., as the documentation of R's friedman.test gives them.
FIRST_BASE = """
5.40 5.50 5.55  5.85 5.70 5.75  5.20 5.60 5.50  5.55 5.50 5.40  5.90 5.85 5.70  5.45 5.55 5.60
5.40 5.40 5.35  5.45 5.50 5.35  5.25 5.15 5.00  5.85 5.80 5.70  5.25 5.20 5.10  5.65 5.55 5.45
5.60 5.35 5.45  5.05 5.00 4.95  5.50 5.50 5.40  5.45 5.55 5.50  5.55 5.55 5.35  5.45 5.50 5.55
5.50 5.45 5.25  5.65 5.60 5.40  5.70 5.65 5.55  6.30 6.30 6.25
"""


def test_rounding_first_base(program: Program, tmp_path: Path) -> None:
    """R prints for these times: Friedman chi-squared = 11.143, df = 2, p-value = 0.003805. Four rows tie."""
    rows = np.array(FIRST_BASE.split(), dtype=float).reshape(22, 3)
    ballot = Ballot(("round out", "narrow angle", "wide angle"), {})
    answers = [answer for at, row in enumerate(rows) for answer in as_rankings(ballot, at, row)]
    told = votes(program, tmp_path, ballot, answers)["ranking"]["all"]
    same_orders(told, ballot, rows)
    assert told["listeners"] == 22
    assert told["friedman"]["chi_square"] == pytest.approx(11.143, abs=5e-4)
    assert told["friedman"]["degrees"] == 2
    assert told["friedman"]["p_chi_square"] == pytest.approx(0.003805, abs=5e-7)
    # Counted, not drawn, and near to what the distribution for many says.
    assert told["friedman"]["draws"] is None
    assert told["friedman"]["p"] == pytest.approx(0.0038, rel=0.3)


def test_with_and_without_the_doubtful(program: Program, tmp_path: Path) -> None:
    """Who puts the anchor before the take as recorded."""
    orders = [[0, 2, 1, 3], [3, 0, 1, 2], [0, 1, 2, 3], [1, 3, 2, 0], [2, 0, 1, 3]]
    answers = [BAND.ranking(f"listener {at}", at + 1, order) for at, order in enumerate(orders)]
    told = votes(program, tmp_path, BAND, answers)["ranking"]
    assert told["doubtful"] == ["listener 1", "listener 3"]
    same_orders(told["all"], BAND, [places(order) for order in orders])
    same_orders(told["without_doubtful"], BAND, [places(orders[at]) for at in (0, 2, 4)])


RESCUED = Ballot(
    ("as recorded", "コンボ", "tuner", "buffer box", "コンボ, rescued at the desk", "anchor"),
    {"as recorded": "recorded", "コンボ, rescued at the desk": "rescue", "anchor": "anchor"},
)


def test_where_a_rescued_setup_stands(program: Program, tmp_path: Path) -> None:
    """It changes nothing in what is said of the setups, and has its own place and its own tests."""
    random = np.random.default_rng(4)
    rows = np.array([0, 4, 3, 1, 2, 5]) + random.normal(scale=0.7, size=(12, 6))
    answers = [answer for at, row in enumerate(rows) for answer in as_rankings(RESCUED, at, row)]
    told = votes(program, tmp_path, RESCUED, answers)
    same_orders(told["ranking"]["all"], RESCUED, rows)
    (rescued,) = told["ranking"]["all"]["rescued"]
    among = rows[:, 1:5]
    ranks = np.array([stats.rankdata(row) for row in among])
    assert rescued["mean_rank"] == pytest.approx(ranks[:, 3].mean(), rel=1e-12)
    ordered = [RESCUED.names[1 + at] for at in np.argsort(ranks.mean(axis=0))]
    assert ordered == ["buffer box", RESCUED.names[4], "tuner", RESCUED.names[1]], "the case is another"
    assert (rescued["behind"]["name"], rescued["before"]["name"]) == ("buffer box", "tuner")
    chances = {}
    for setup in range(3):
        won = int((among[:, 3] < among[:, setup]).sum())
        chances[RESCUED.names[1 + setup]] = stats.binomtest(won, 12).pvalue
    named = [({pair["better"]["name"], pair["other"]["name"]} - {rescued["name"]}).pop() for pair in rescued["pairs"]]
    assert [pair["p"] for pair in rescued["pairs"]] == pytest.approx([chances[name] for name in named], rel=1e-10)
    holms = holm([chances[name] for name in named])
    assert [pair["p_holm"] for pair in rescued["pairs"]] == pytest.approx(holms, rel=1e-10)
    said = " ".join(told["conclusions"])
    assert "No pair of 4 setups" not in said
    assert f"{rescued['name']} is a setup and what to do at the desk" in said
    assert "it stands between buffer box and tuner on average" in said
    assert f"{rescued['name']} before コンボ: 12 of 12" in said


def columns(line: str) -> int:
    """How many columns of a terminal a line takes (Unicode Standard Annex #11: wide letters take two)."""
    return sum(2 if unicodedata.east_asian_width(letter) in "WF" else 1 for letter in line)


def test_columns_are_aligned_whatever_the_names(program: Program, tmp_path: Path) -> None:
    """Figures of all lines end in the same column: names of 60 letters, of wide letters, of one."""
    listeners = ["x" * 60, "ベース", "a"]
    answers = [RESCUED.run(name, at + 1, 1, 2, 9, 16) for at, name in enumerate(listeners)]
    answers += [RESCUED.ranking(name, 9 + at, [0, 3, 4, 2, 1, 5]) for at, name in enumerate(listeners)]
    (tmp_path / "answers.txt").write_text("".join(f"{code(answer)}\n" for answer in answers))
    lines = program("votes", RESCUED.page(tmp_path), tmp_path / "answers.txt").splitlines()
    runs = [line for line in lines if re.search(r"to \d+ %$", line)]
    heads = [line for line in lines if line.endswith("right, 95 %")]
    assert (len(runs), len(heads)) == (4, 1)
    for pattern in [r" of \d+(?= )", r"0\.\d+(?= )", r" %$"]:
        assert len({columns(line[: re.search(pattern, line).end()]) for line in runs}) == 1, runs
    assert len({columns(line) for line in runs + heads}) == 1, heads
    ranks = [re.search(r"^  .*  +\d\.\d\d(?=$|  put)", line) for line in lines]
    ends = [columns(found[0]) for found in ranks if found]
    (head,) = [columns(line) for line in lines if line.endswith("mean rank")]
    assert ends == 4 * [head], lines


@pytest.mark.parametrize("sounds", [2, 4, 7])
def test_listeners_that_are_needed(program: Program, tmp_path: Path, sounds: int) -> None:
    """For one of all pairs, by the sign test, in both directions."""
    ballot = several(sounds)
    answers = [ballot.ranking(f"listener {at}", at + 1, range(sounds)) for at in range(2)]
    said = " ".join(votes(program, tmp_path, ballot, answers)["conclusions"])
    pairs = sounds * (sounds - 1) // 2
    (needed,) = re.findall(r"power of 80 % or more from (\d+) listeners on", said)
    assert int(needed) == stays_from(0.75, 0.05 / pairs / 2, 0.8)
    (least,) = re.findall(r"fewer than (\d+) listeners", said)
    all_agree = (n for n in itertools.count(1) if stats.binomtest(n, n).pvalue <= 0.05 / pairs)
    assert int(least) == next(all_agree)


def test_a_drawn_chance_is_never_zero(program: Program, tmp_path: Path) -> None:
    """All alike is beyond any draw: only the observed orders themselves count, one of 100 001."""
    ballot = several(8)
    answers = [ballot.ranking(f"listener {at}", at + 1, range(8)) for at in range(12)]
    test = votes(program, tmp_path, ballot, answers)["ranking"]["all"]["friedman"]
    assert (test["draws"], test["p"]) == (100_000, pytest.approx(1 / 100_001, rel=1e-12))
    assert test["kendalls_w"] == pytest.approx(1, rel=1e-12)
