"""Voting on the page of `firstjack pack`: names are away, and `firstjack votes` reads what was said.

The sequence, the seal and the code are written anew in `page.py`; the exact p-value is scipy's.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from scipy import stats
from selenium.webdriver.common.keys import Keys

import page as pages
from browser import Browser
from conftest import Program
from listener import (
    SAID,
    TRIALS,
    assert_names_are_away,
    code,
    hear_all,
    listed,
    play,
    say,
    send_order,
    start_abx,
    start_ranking,
)
from page import SETUPS
from page_sound import SCRIPT


def test_the_sequence_is_the_programs(window: Browser, open_page: Path) -> None:
    """The same values as in the tests of `program/src/format/sequence.rs`."""
    window.open(open_page)
    parts = "\n".join((SCRIPT / f"{part}.js").read_text(encoding="utf-8") for part in ["base64", "sequence"])
    call = (
        f"{parts}\nreturn [sidesOf(given[0], 32).join(''), shuffled(given[0], [0, 1, 2, 3, 4, 5, 6, 7, 8])];"
    )
    said = ["babbbabbbbbabababbabaabaaabbaaaa", [6, 8, 4, 7, 3, 5, 1, 2, 0]]
    assert window.run(call, 0x1A2B3C4D) == said
    assert pages.sides("1a2b3c4d", 32) == said[0]


def test_names_are_away_while_blind_on_an_open_page(window: Browser, open_page: Path) -> None:
    """In a ranking and in a run, and back after it."""
    window.open(open_page)
    for start in [start_ranking, start_abx]:
        start(window)
        assert_names_are_away(window, list(SETUPS))
        window.button("Stop and show names").click()
        assert listed(window)[1] in SETUPS
        assert window.find("#verdicts").text
    assert window.find_all("[data-key]")


def test_a_vote_does_not_tell_what_an_earlier_one_told(window: Browser, open_page: Path) -> None:
    """What a result said of names goes away with them."""
    window.open(open_page)
    play(window)
    start_abx(window)
    for side in SAID:
        say(window, side)
    window.button("Show names").click()
    assert "passive box" in window.find(".result").text
    start_ranking(window)
    assert_names_are_away(window, list(SETUPS))


def test_names_are_nowhere_in_a_blind_page(window: Browser, blind_page: Path) -> None:
    """Not in the file, plain or in base64, and not in the document until asked for."""
    content = blind_page.read_bytes()
    for name in SETUPS:
        for spelling in pages.spellings(name):
            assert spelling not in content, (name, spelling)
    window.open(blind_page)
    assert_names_are_away(window, list(SETUPS))
    assert listed(window) == [f"Sound {i + 1}" for i in range(len(listed(window)))]
    window.button("Show names without voting").click()
    assert set(SETUPS) <= set(listed(window))
    assert window.find("#verdicts .verdict")


def test_a_run_is_said_coded_saved_scored_and_gathered(
    program: Program, window: Browser, open_page: Path
) -> None:
    """16 trials with scripted answers: the score is the sequence's, written anew, and p is scipy's."""
    window.open(open_page)
    window.find("input[type=text]").send_keys("Ada \u00e9")
    play(window)
    start_abx(window)
    for side in SAID:
        say(window, side)
    given = pages.answers(code(window))
    order = pages.secret(open_page)["order"]
    seed, ballot = given.pop("seed"), given.pop("ballot")
    assert re.fullmatch("[0-9a-f]{16}", ballot)
    assert given == {
        "firstjack": "answers",
        "version": 1,
        "pack": pages.data(open_page)["pack"],
        "listener": "Ada \u00e9",
        "kind": "abx",
        "a": order[0],
        "b": order[1],
        "said": SAID,
    }
    right = sum(said == side for said, side in zip(SAID, pages.sides(seed, TRIALS)))
    p = stats.binomtest(right, TRIALS, alternative="greater").pvalue
    assert f"{right} of {TRIALS} right" in window.find(".result").text
    assert f"p = {float(f'{p:.3g}'):g})" in window.find(".result").text
    assert_names_are_away(window, list(SETUPS))
    window.button("Save as a file").click()
    saved = window.wait(lambda: list(window.downloads.glob("firstjack-answers-*.json")), "no file")
    assert json.loads(saved[0].read_text(encoding="utf-8")) == {**given, "seed": seed, "ballot": ballot}
    (pair,) = json.loads(program("votes", open_page, saved[0], "--json"))["abx"]
    assert [pair["together"]["right"], pair["together"]["trials"]] == [right, TRIALS]
    assert pair["together"]["p"] == pytest.approx(p, rel=1e-12)
    window.button("Copy").click()
    window.wait(lambda: window.find(".result [role=status]").text, "nothing is said of the copy")
    window.button("Show names").click()
    assert "passive box" in window.find(".result").text


@pytest.mark.parametrize("side", ["a", "b"])
def test_x_is_what_the_sequence_says(window: Browser, open_page: Path, side: str) -> None:
    """With a known seed, who knows the sequence is right 16 times, and who says the opposite never."""
    seed = 0x1A2B3C4D
    source = f"crypto.getRandomValues = (array) => array.fill({seed});"
    added = window.driver.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": source})
    try:
        window.open(open_page)
        play(window)
        start_abx(window)
        truth = pages.sides(f"{seed:08x}", TRIALS)
        for is_a in truth:
            opposite = "b" if is_a == "a" else "a"
            say(window, is_a if side == "a" else opposite)
        assert pages.answers(code(window))["seed"] == "1a2b3c4d"
        assert f"{16 if side == 'a' else 0} of 16 right" in window.find(".result").text
    finally:
        window.driver.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", added)


def test_nobody_answers_before_x_was_heard(window: Browser, open_page: Path) -> None:
    """Neither at first nor in the next trial."""
    window.open(open_page)
    play(window)
    start_abx(window)
    for trial in [1, 2]:
        window.press("b")
        window.button("X is A").click()
        assert window.find(".count").text == f"Trial {trial} of 16"
        say(window, "a")


def test_nothing_is_decoded_in_the_middle_of_a_run(window: Browser, open_page: Path, tmp_path: Path) -> None:
    """Where memory is short, sounds are decoded when they are chosen; in a run that would tell which one X is."""
    long = tmp_path / "page.html"
    text = open_page.read_text(encoding="utf-8")
    long.write_text(re.sub(r'"frames": ?\d+', '"frames":400000000', text, count=1), encoding="utf-8")
    window.open(long)
    window.run("""
        const decode = OfflineAudioContext.prototype.decodeAudioData;
        window.decoded = 0;
        OfflineAudioContext.prototype.decodeAudioData = function (...given) {
            window.decoded += 1;
            return decode.apply(this, given);
        };
    """)
    start_abx(window)
    assert window.run("return window.decoded") == 2
    play(window)
    for side in SAID:
        say(window, side)
    assert window.run("return window.decoded") == 2


def test_a_ranking_is_moved_coded_and_gathered(
    program: Program, window: Browser, open_page: Path, tmp_path: Path
) -> None:
    """All sounds must have been heard; buttons and keys move; the order is that of the list."""
    window.open(open_page)
    play(window)
    start_ranking(window)
    window.button("That is my order").click()
    assert window.find_all(".result") == []
    labels = listed(window)

    def rows() -> list[str]:
        return [found.text for found in window.find_all(".ranking .name")]

    assert rows() == labels
    window.find('[aria-label="Sound 2: one up"]').click()
    assert rows()[:2] == ["Sound 2", "Sound 1"]
    window.press(Keys.ARROW_DOWN, Keys.ARROW_DOWN)
    assert rows()[:3] == ["Sound 1", "Sound 3", "Sound 2"], "the focus went elsewhere"
    hear_all(window)
    send_order(window)
    given = pages.answers(code(window))
    assert given["kind"] == "ranking"
    assert sorted(given["order"]) == sorted(sound["key"] for sound in pages.data(open_page)["sounds"])
    window.button("Show names").click()
    sounds = pages.secret(open_page)["sounds"]
    told = [found.text for found in window.find_all(".result ol li")]
    assert told == [sounds[key]["name"] for key in given["order"]]
    votes = tmp_path / "votes.txt"
    votes.write_text(
        f"Here you are: {window.find('.result textarea').get_attribute('value')} Ada", encoding="utf-8"
    )
    (sent,) = json.loads(program("votes", open_page, votes, "--json"))["ranking"]["sent"]
    assert [place["name"] for place in sent["order"]] == told
    # The labels that this listener saw, first to last, were 1, 3, 2, 4, ...
    assert [place["label"] for place in sent["order"]][:3] == [1, 3, 2]


def test_an_asked_pair_is_compared(window: Browser, program: Program, tmp_path: Path) -> None:
    """The pair that the organiser chose, in that order, is what A and B are."""
    path = pages.pack(program, tmp_path, pages.plucks(), pages.loads(), "--abx", "combo", "tuner")
    window.open(path)
    play(window)
    start_abx(window)
    for side in SAID:
        say(window, side)
    given = pages.answers(code(window))
    sounds = pages.secret(path)["sounds"]
    assert [sounds[given["a"]]["name"], sounds[given["b"]]["name"]] == ["combo", "tuner"]
