"""The page of `firstjack pack` in a browser: it asks for nothing, plays, and can be used by everyone.

axe-core (by `selenium-axe-python`) judges accessibility.
"""

from __future__ import annotations

import base64
import io
import re
from pathlib import Path

import pypdf
import pytest
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.remote.webelement import WebElement
from selenium_axe_python import Axe

import page as pages
from browser import Browser
from conftest import Program
from listener import heard, listed, place, play, states, unfold

WIDTHS = [320, 768, 1440]
# What fingers press.
TARGETS = (
    "button, select, summary, textarea, .tick, .choices label, [role=slider], "
    "input[type=text], input[type=number]"
)
# WCAG 2.2, 2.5.5 (from memory), less what rounding takes.
SMALLEST_PX = 43.9


def test_plays_and_asks_for_nothing(window: Browser, open_page: Path) -> None:
    """From disk; the fixture looks at requests and console."""
    window.open(open_page)
    play(window)
    before = place(window)
    window.wait(lambda: place(window) > before + 0.5, "it stands still")
    window.button("Pause").click()
    stopped = place(window)
    assert window.wait(lambda: window.button("Play"), "no Play")
    assert place(window) == stopped


def test_every_sound_is_told_and_marked_by_key_and_click(window: Browser, open_page: Path) -> None:
    """Digits and clicks; the live region says the name and what belongs to it is marked."""
    window.open(open_page)
    play(window)
    sealed = pages.secret(open_page)
    names = [sealed["sounds"][key]["name"] for key in sealed["order"]]
    assert listed(window) == names
    for index, (key, name) in enumerate(zip(sealed["order"], names)):
        if index % 2:
            window.find_all(".choices label")[index].click()
        else:
            window.press(str(index))
        assert heard(window) == name
        marked = window.run("return Array.from(document.querySelectorAll('.heard'), (e) => e.dataset.key)")
        assert marked, "nothing is marked"
        assert set(marked) == {key}


def test_keys_seek_and_leave_controls_their_own(window: Browser, open_page: Path) -> None:
    """Arrows, Home and space; text fields keep what is typed."""
    window.open(open_page)
    window.press(Keys.ARROW_RIGHT)
    assert place(window) == 2.0
    unfold(window)
    window.run("document.querySelector('.scroll').focus()")
    window.press(Keys.ARROW_RIGHT)
    assert place(window) == 2.0, "a table cannot be scrolled by keys"
    window.run("document.activeElement.blur()")
    window.press(Keys.ARROW_LEFT)
    assert place(window) == 0.0
    window.press(Keys.SPACE)
    window.wait(lambda: window.button("Pause"), "space does not play")
    window.press(Keys.SPACE)
    window.wait(lambda: window.button("Play"), "space does not pause")
    window.find("[role=slider]").send_keys(Keys.END)
    assert place(window) == pages.SECONDS
    chosen = heard(window)
    window.find("input[type=text]").send_keys("Ada 1 2 x")
    assert window.find("input[type=text]").get_attribute("value") == "Ada 1 2 x"
    assert heard(window) == chosen
    window.find(".help input").click()
    window.press("3")
    assert heard(window) == chosen, "the keys were switched off"


def test_a_press_on_the_waveform_seeks(window: Browser, open_page: Path) -> None:
    """In the middle of it."""
    window.open(open_page)
    window.find("[role=slider]").click()
    assert abs(place(window) - pages.SECONDS / 2) < 0.1


def test_sound_that_cannot_be_decoded_is_told(window: Browser, open_page: Path, tmp_path: Path) -> None:
    """In words, and the page goes on."""
    first = pages.data(open_page)["sounds"][0]["block"]
    broken = tmp_path / "page.html"
    text = open_page.read_text(encoding="utf-8")
    broken.write_text(text.replace(pages.block(open_page, first), "bm8gc291bmQ="), encoding="utf-8")
    window.open(broken)
    sealed = pages.secret(broken)
    key = pages.data(broken)["sounds"][0]["key"]
    index = sealed["order"].index(key)
    window.press(str(index))
    window.button("Play").click()
    window.wait(lambda: "cannot be decoded" in window.find("#bar [role=status]").text, "nothing is said")
    window.press(str((index + 1) % len(sealed["order"])))
    play(window)


def test_hostile_names_stay_text(window: Browser, hostile_page: Path) -> None:
    """Nothing of them runs or becomes an element, and they read as they were written, but for marks of writing direction, which would turn
    the page's own text round: those are shown as escapes."""
    window.open(hostile_page)
    shown = [re.sub("[\u202a-\u202e\u2066-\u2069]", lambda mark: f"\\u{{{ord(mark[0]):x}}}", name) for name in pages.HOSTILE]
    assert listed(window)[1:5] == shown
    assert window.driver.title == pages.HOSTILE[0]
    assert window.run("return window.hacked ?? null") is None
    assert window.find_all("img") == []
    expected = 2 + len(pages.data(hostile_page)["sounds"])
    assert len(window.find_all("script")) == expected


def test_axe_finds_nothing(window: Browser, open_page: Path, blind_page: Path) -> None:
    """axe-core in every state, light and dark, narrow and wide."""
    for state in states(window, open_page, blind_page):
        for width, dark in [(1440, False), (1440, True), (320, False)]:
            window.resize(width, 900, dark)
            axe = Axe(window.driver)
            axe.inject()
            found = axe.run()
            assert len(found["passes"]) > 15, "axe looked at nothing"
            assert found["violations"] == [], (state, width, dark, axe.report(found["violations"]))


def is_small(target: WebElement) -> bool:
    """Whether it shows and is too small to be hit."""
    return target.is_displayed() and min(target.rect["width"], target.rect["height"]) < SMALLEST_PX


@pytest.mark.parametrize("width", WIDTHS)
def test_fits_its_window_and_can_be_touched(
    window: Browser, open_page: Path, blind_page: Path, width: int
) -> None:
    """No sideways scrolling of the page, and controls of at least 44 pixels."""
    for state in states(window, open_page, blind_page):
        window.resize(width, 800)
        wide = window.run(
            "return document.documentElement.scrollWidth - document.documentElement.clientWidth"
        )
        assert wide <= 0, (state, wide)
        targets = window.find_all(TARGETS)
        small = [found.get_attribute("outerHTML") for found in targets if is_small(found)]
        assert small == [], state


@pytest.fixture(scope="module")
def wide_page(program: Program, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A page whose tables have long names and ranges in them."""
    loads = {
        "combo with an input that may be anything": "470k ±20 %",
        "Verstärkereingangsbuchsenadapter": "1M ±10 %",
        "box": "56k ±5 %",
    }
    return pages.pack(program, tmp_path_factory.mktemp("wide"), pages.plucks(), loads, "--anchor")


@pytest.mark.parametrize("width", [320, 360, 390])
def test_no_table_is_cut(window: Browser, open_page: Path, wide_page: Path, width: int) -> None:
    """Every figure of every table ends inside of the box that shows it, and no box has anything to scroll to."""
    for path, least in [(open_page, 50), (wide_page, 40)]:
        window.open(path, width, 844)
        unfold(window)
        cells = window.run("""
            const box = (cell) => cell.closest('.scroll') ?? cell.closest('table').parentElement;
            const text = (cell) => { const range = document.createRange(); range.selectNodeContents(cell); return range; };
            return Array.from(document.querySelectorAll('main td, main tbody th'), (cell) => [
                cell.textContent,
                text(cell).getBoundingClientRect().right - box(cell).getBoundingClientRect().right,
                box(cell).scrollWidth - box(cell).clientWidth,
                cell.getBoundingClientRect().width,
            ]);
        """)
        assert len(cells) > least
        assert [cell for cell in cells if cell[1] > 0 or cell[2] > 0] == []
        assert all(width > 0 for *_, width in cells), "some are not shown"


def test_print_has_all_but_what_paper_cannot_do(window: Browser, open_page: Path) -> None:
    """What is folded is printed whole, as pypdf reads it; player, vote, bar and links stay away. Then all is as it was."""
    window.open(open_page)
    printed = window.driver.execute_cdp_cmd("Page.printToPDF", {"preferCSSPageSize": True})["data"]
    pages_of = pypdf.PdfReader(io.BytesIO(base64.b64decode(printed))).pages
    text = " ".join(" ".join(page.extract_text() for page in pages_of).split())
    for said in ["What each setup loses", "Lost at each string", "Settings of the desk", "What there is", "error below"]:
        assert said in text, said
    for missing in ["Start ranking", "Whole take", "Heard:", "Blind vote"]:
        assert missing not in text, missing
    assert window.run("return document.querySelectorAll('main details[open]').length") == 0


def test_without_script_the_figures_are_there(window: Browser, open_page: Path) -> None:
    """And the page says what is missing."""
    window.driver.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    try:
        window.open(open_page)
        text = window.find("main").text
    finally:
        window.driver.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})
    assert "passive box" in text
    assert "JavaScript" in text
