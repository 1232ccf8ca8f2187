"""The page of `firstjack pack` goes round: every listener has a ballot, and closing or reloading the page loses none.

In Chromium, from disk and from a server on this machine; `firstjack votes` counts what was sent.
"""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest

import page as pages
from browser import Browser, browser
from conftest import Program
from listener import (
    SAID,
    assert_names_are_away,
    code,
    hear_all,
    listed,
    play,
    say,
    send_order,
    start_abx,
    start_ranking,
    unheard,
)
from page import SETUPS

WILL_KEEP = "Answers will be kept in this browser"
KEPT = "Answers are kept in this browser until you forget them"
CANNOT_KEEP = "This browser does not let the page keep answers"


@pytest.fixture(scope="session")
def served(blind_page: Path) -> Iterator[str]:
    """The address of the blind page on a server."""

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            content = blind_page.read_bytes() if self.path == "/page.html" else b""
            self.send_response(200 if content else 204)
            self.send_header("Content-Type", "text/html; charset=utf-8")
            self.send_header("Content-Length", str(len(content)))
            self.end_headers()
            self.wfile.write(content)

        def log_message(self, format: str, *args: Any) -> None:
            """Says nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}/page.html"
    server.shutdown()


@pytest.fixture(params=["file", "http"])
def opened(request: pytest.FixtureRequest, shared: Browser, blind_page: Path) -> Iterator[Browser]:
    """The blind page, from disk or from a server, where nothing is kept yet."""
    shared.complaints()
    if request.param == "file":
        shared.open(blind_page)
    else:
        address = request.getfixturevalue("served")
        shared.forget(address.removesuffix("/page.html"))
        shared.driver.get(address)
    yield shared
    assert shared.complaints() == []


def kept_said(window: Browser) -> str:
    """What the page says of what it keeps."""
    return window.run("return document.querySelector('#vote .kept').previousElementSibling.textContent")


def kept_codes(window: Browser) -> list[str]:
    """The codes of all ballots so far."""
    value: str = window.run("return document.querySelector('.kept textarea').value")
    return value.split()


def rank(window: Browser, name: str) -> str:
    """Ranks without moving anything, and gives the code."""
    window.find("#vote input[type=text]").send_keys(name)
    start_ranking(window)
    hear_all(window)
    send_order(window)
    return code(window)


def gathered(program: Program, folder: Path, page: Path, codes: list[str]) -> dict[str, Any]:
    """What these come to."""
    (folder / "answers.txt").write_text("\n".join(codes))
    told: dict[str, Any] = json.loads(program("votes", page, folder / "answers.txt", "--json"))
    return told


@pytest.mark.parametrize("names", [("Ada", "Bo"), ("", "")])
def test_the_phone_goes_round(
    opened: Browser, program: Program, blind_page: Path, tmp_path: Path, names: tuple[str, str]
) -> None:
    """Two listeners, a reload, and what both sent twice over: two ballots."""
    window = opened
    assert kept_said(window).startswith(WILL_KEEP)
    play(window)
    first = rank(window, names[0])
    assert kept_said(window).startswith(KEPT)
    assert kept_codes(window) == [first]
    window.button("Next listener").click()
    assert window.find("#vote input[type=text]").get_attribute("value") == ""
    assert_names_are_away(window, list(SETUPS))
    assert [found for found in window.find_all(".result") if found.is_displayed()] == []
    second = rank(window, names[1])
    one, other = pages.answers(first), pages.answers(second)
    assert one["ballot"] != other["ballot"]
    assert one["seed"] != other["seed"], "the labels were the same"
    window.driver.refresh()
    assert kept_codes(window) == [first, second]
    window.find(".kept summary").click()
    assert window.find(".kept textarea").is_displayed()
    told = gathered(program, tmp_path, blind_page, [first, *kept_codes(window), second])
    assert told["ranking"]["all"]["listeners"] == 2
    assert len(told["ranking"]["sent"]) == 2
    assert told["refused"] == []


def test_equal_orders_on_one_phone_count_as_two(
    opened: Browser, program: Program, blind_page: Path, tmp_path: Path
) -> None:
    """With chance taken away, both listeners have one seed and one order, and still a ballot each."""
    window = opened
    window.run("""
        let count = 0;
        crypto.getRandomValues = (array) => array.length === 1 ? array.fill(5) : array.fill(count += 1);
    """)
    play(window)
    for _ in range(3):
        rank(window, "Ada")
        window.button("Next listener").click()
    # The first seed is older than this script.
    codes = kept_codes(window)[1:]
    one, other = [pages.answers(sent) for sent in codes]
    assert (one["seed"], one["order"]) == (other["seed"], other["order"])
    told = gathered(program, tmp_path, blind_page, codes)
    assert len(told["ranking"]["sent"]) == 2
    assert told["ranking"]["same_names"][0]["alike"] is True


def test_forgetting_takes_two_presses(opened: Browser) -> None:
    """And is for good."""
    window = opened
    play(window)
    rank(window, "Ada")
    window.find(".kept summary").click()
    window.button("Forget all ballots").click()
    window.button("Keep them").click()
    assert len(kept_codes(window)) == 1
    window.button("Forget all ballots").click()
    window.button("Forget them").click()
    assert kept_said(window) == "All ballots are forgotten."
    assert [found for found in window.find_all(".result") if found.is_displayed()] == []
    window.driver.refresh()
    assert kept_codes(window) == []
    assert kept_said(window).startswith(WILL_KEEP)


def test_a_run_goes_on_after_a_reload(opened: Browser) -> None:
    """What was said stays said, and X stays what it was."""
    window = opened
    window.find("#vote input[type=text]").send_keys("Ada")
    play(window)
    start_abx(window)
    for side in SAID[:5]:
        say(window, side)
    window.driver.refresh()
    assert "5 of 16 trials are kept." in window.find("#vote .panel").text
    window.button("Go on").click()
    window.wait(lambda: window.find_all(".count"), "the run does not go on")
    assert window.find(".count").text == "Trial 6 of 16"
    play(window)
    for side in SAID[5:]:
        say(window, side)
    given = pages.answers(code(window))
    assert (given["said"], given["listener"]) == (SAID, "Ada")
    right = sum(said == side for said, side in zip(SAID, pages.sides(given["seed"], len(SAID))))
    assert f"{right} of 16 right" in window.find(".result").text


def test_a_ranking_goes_on_after_a_reload(opened: Browser) -> None:
    """The order so far, what was heard, and the labels."""
    window = opened
    play(window)
    start_ranking(window)
    window.press("2")
    window.wait(lambda: "Sound 2" not in unheard(window), "Sound 2 does not count")
    window.find('[aria-label="Sound 3: one up"]').click()
    missing = unheard(window)
    window.driver.refresh()
    window.button("Go on").click()
    assert [found.text for found in window.find_all(".ranking .name")][:3] == ["Sound 1", "Sound 3", "Sound 2"]
    assert unheard(window) == missing
    window.button("Stop this vote").click()
    window.driver.refresh()
    assert window.button("Start ranking")


def test_names_go_away_again_for_the_next_listener(window: Browser, blind_page: Path) -> None:
    """Also where the one before has looked at them."""
    window.open(blind_page)
    play(window)
    rank(window, "Ada")
    window.button("Show names").click()
    assert set(SETUPS) <= set(listed(window))
    window.button("Next listener").click()
    assert_names_are_away(window, list(SETUPS))
    start_ranking(window)
    hear_all(window)
    send_order(window)
    window.button("Show names").click()
    assert window.find("#verdicts .verdict")


@pytest.mark.parametrize(
    "damage",
    [
        "text => text.slice(0, 40)",
        "() => '[]'",
        "() => 'null'",
        '() => \'{"ballots": [7, "x", "{}"], "running": {"kind": "abx", "seed": 1, "pair": ["a", "b"], "trials": 9, "said": ""}}\'',
        '() => \'{"ballots": {}, "running": {"kind": "ranking", "seed": 1, "order": [0, 0], "unheard": 1}}\'',
    ],
)
def test_damage_to_what_is_kept_stops_nothing(window: Browser, blind_page: Path, damage: str) -> None:
    """Whatever stands there."""
    window.open(blind_page)
    window.run(f"const [key] = Object.keys(localStorage); localStorage[key] = ({damage})(localStorage[key]);")
    window.driver.refresh()
    assert kept_codes(window) == []
    play(window)
    rank(window, "Ada")
    window.driver.refresh()
    assert len(kept_codes(window)) == 1


def test_a_browser_that_keeps_nothing(program: Program, blind_page: Path, tmp_path: Path) -> None:
    """It is told from the start, and votes are made all the same."""
    with browser(tmp_path / "browser", keeps=False) as window:
        window.driver.get(blind_page.resolve().as_uri())
        assert kept_said(window).startswith(CANNOT_KEEP)
        play(window)
        first = rank(window, "Ada")
        window.button("Next listener").click()
        second = rank(window, "Bo")
        assert kept_codes(window) == [first, second]
        assert kept_said(window).startswith(CANNOT_KEEP)
        told = gathered(program, tmp_path, blind_page, [first, second])
        assert told["ranking"]["all"]["listeners"] == 2
        window.driver.refresh()
        assert kept_codes(window) == []
