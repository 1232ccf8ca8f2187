"""A listener at a page: what a person would press and read."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from browser import Browser
import page as pages

TRIALS = 16
SAID = "abbabaabbbaababa"
# Parts of the page that tell names or what a setup does.
TELLING = ["verdicts", "curves", "strings", "rescue", "note", "about"]


def play(window: Browser) -> None:
    """Presses Play and waits until it plays."""
    window.button("Play").click()
    window.wait(lambda: place(window) > 0.1, "the place does not move")


def place(window: Browser) -> float:
    """Seconds of the take."""
    return float(window.find("[role=slider]").get_attribute("aria-valuenow"))


def listed(window: Browser) -> list[str]:
    """The names in the list of sounds."""
    return [found.text for found in window.find_all(".choices .name")]


def heard(window: Browser) -> str:
    """The name of the sound that is heard, from the live region."""
    return window.find("[aria-live=polite].heard-now").text.removeprefix("Heard: ")


def start_ranking(window: Browser) -> None:
    """From the open page into the ranking."""
    window.button("Start ranking").click()


def start_abx(window: Browser) -> None:
    """From the open page into a run of the trials that are asked unless told otherwise."""
    window.button("Start ABX").click()
    window.wait(lambda: window.find_all(".count"), "the run does not begin")


def unheard(window: Browser) -> list[str]:
    """The labels that a ranking still waits for."""
    return re.findall(r"Sound \d+", window.find_all("#ranking-missing")[0].text)


def hear_all(window: Browser) -> None:
    """Hears every sound of a ranking for a moment."""
    for number in range(1, len(listed(window)) + 1):
        window.press(str(number))
        window.wait(
            lambda name=f"Sound {number}": name not in unheard(window), f"Sound {number} does not count"
        )


def send_order(window: Browser) -> None:
    """Sends the order, twice if nothing was moved."""
    window.button("That is my order").click()
    if not window.find_all("#vote .panel > .line"):
        window.button("That is my order").click()


def unfold(window: Browser) -> None:
    """Opens all that is folded, and everything that is kept."""
    window.run("for (const folded of document.querySelectorAll('details')) folded.open = true;")


def say(window: Browser, side: str) -> None:
    """Hears X and says which it is."""
    window.press("x")
    answer = window.button(f"X is {side.upper()}")
    window.wait(lambda: answer.get_attribute("aria-disabled") == "false", "X cannot be answered")
    answer.click()


def code(window: Browser) -> str:
    """The code to paste."""
    return window.find(".result textarea").get_attribute("value")


def assert_names_are_away(window: Browser, names: list[str]) -> None:
    """No name, no key of a sound's elements and none of the telling sections' content is in the document."""
    markup = window.run("return document.documentElement.outerHTML")
    for name in names:
        assert [spelling for spelling in pages.spellings(name) if spelling.decode() in markup] == []
    for section in TELLING:
        (body,) = window.find_all(f"#{section} .body")
        assert body.get_attribute("textContent").strip() == ""
    assert window.find_all("[data-key]") == []


def states(window: Browser, open_page: Path, blind_page: Path) -> Iterator[str]:
    """Brings the page into one state after another."""
    window.open(open_page)
    unfold(window)
    yield "open"
    play(window)
    start_abx(window)
    yield "run"
    for side in SAID:
        say(window, side)
    yield "result"
    window.open(open_page)
    start_ranking(window)
    window.find('[aria-label="Listen to Sound 2"]').click()
    yield "ranking"
    window.button("Stop and show names").click()
    window.open(blind_page)
    yield "blind"
    window.button("Show names without voting").click()
    unfold(window)
    yield "told"
