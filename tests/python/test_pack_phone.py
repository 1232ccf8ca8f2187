"""The page of `firstjack pack` on a phone: a listener who knows nothing of it but what is written on it votes, and what is wanted in a
hurry is at hand.

The listener finds controls by their role and name, as the browser computes them for a screen reader (WAI-ARIA), and follows the sentences.
What sounds is taken where the page's audio graph ends, and compared with the sounds as libsndfile decodes them.
"""

from __future__ import annotations

import base64
import io
import json
import re
from pathlib import Path

import numpy as np
import pytest
import soundfile
from selenium.webdriver.remote.webelement import WebElement

import page as pages
from ballots import labels
from browser import Browser
from circuit import Reals
from conftest import Program
from listener import hear_all, play, start_ranking, unfold

WIDTHS = [360, 390, 768, 1280]
TRIALS = 6
# What is heard for so many frames is compared.
FRAMES = 4096
TAP = f"""
    const connect = AudioNode.prototype.connect;
    AudioNode.prototype.connect = function (to, ...rest) {{
        if (this.context instanceof AudioContext && to === this.context.destination) {{
            window.tap = new AnalyserNode(this.context, {{ fftSize: {FRAMES} }});
            connect.call(this, window.tap);
        }}
        return connect.call(this, to, ...rest);
    }};
"""


class Reader:
    """Somebody who reads and presses."""

    def __init__(self, window: Browser) -> None:
        self.window = window

    def text(self) -> str:
        """All that can be read."""
        return self.window.find("body").text

    def control(self, role: str, name: str) -> WebElement:
        """The one that can be seen. Only those with such a text about them are asked for their names, which takes time."""
        near = self.window.run(
            """
            const controls = [...document.querySelectorAll('button, input, textarea, a, summary')];
            const about = (part) => [part.innerText, part.ariaLabel, part.labels?.[0]?.innerText].join(' ');
            return controls.filter((part) => part.checkVisibility() && about(part).includes(given[0]));
            """,
            name,
        )
        fits = [found for found in near if found.aria_role == role and found.accessible_name == name]
        assert len(fits) == 1, (role, name, len(fits))
        return fits[0]

    def press(self, name: str, role: str = "button") -> None:
        """Scrolls there as a thumb does, and presses."""
        found = self.control(role, name)
        self.window.run("given[0].scrollIntoView({ block: 'center' })", found)
        found.click()

    def said(self, pattern: str) -> re.Match[str] | None:
        """A sentence that stands there."""
        return re.search(pattern, self.text())

    def waits_until(self, pattern: str) -> None:
        """Until it is said."""
        self.window.wait(lambda: self.said(pattern), f"nobody says {pattern}")

    def codes(self) -> list[str]:
        """What is said to be sent, the latest first."""
        found = [area for area in self.window.find_all("textarea") if area.is_displayed()]
        assert [area.accessible_name for area in found] == ["Code to send"] * len(found)
        return [str(area.get_attribute("value")) for area in found]


def playing(window: Browser) -> Reals:
    """What goes to the loudspeaker now."""
    raw = window.run(f"""
        if (!window.tap) return '';
        const samples = new Float32Array({FRAMES});
        window.tap.getFloatTimeDomainData(samples);
        return btoa(String.fromCharCode(...new Uint8Array(samples.buffer)));
    """)
    return np.frombuffer(base64.b64decode(raw), dtype="<f4").astype(np.float64)


def decoded(page: Path) -> dict[str, Reals]:
    """The page's sounds by key."""
    blocks = {sound["key"]: pages.block(page, sound["block"]) for sound in pages.data(page)["sounds"]}
    read = {key: soundfile.read(io.BytesIO(base64.b64decode(block))) for key, block in blocks.items()}
    return {key: samples for key, (samples, _) in read.items()}


def apart(heard: Reals, sound: Reals) -> float:
    """How far what is heard is from a sound at the place where they agree best, against its own level."""
    size = 2 ** int(np.ceil(np.log2(sound.size + heard.size)))
    product = np.fft.irfft(np.fft.rfft(sound, size) * np.conj(np.fft.rfft(heard, size)), size)
    energy = np.concatenate([[0.0], np.cumsum(sound**2)])
    energy = energy[heard.size :] - energy[: -heard.size]
    distance = energy + np.sum(heard**2) - 2 * product[: energy.size]
    return float(np.sqrt(max(distance.min(), 0) / np.sum(heard**2)))


def test_who_only_reads_votes(program: Program, window: Browser, blind_page: Path, tmp_path: Path) -> None:
    """A ranking and a run, 390 pixels wide, in which *Listen* sounds and *Play* is never looked for; `votes` counts both."""
    window.open(blind_page, 390, 844)
    window.run(TAP)
    reader, sounds = Reader(window), decoded(blind_page)
    reader.press("Start ranking")
    heard: dict[int, Reals] = {}
    while missing := reader.said(r"Before you can send it, listen to ([^.]*)\."):
        label = missing[1].split(", ")[0]
        reader.press(f"Listen to {label}")
        window.wait(lambda: not reader.said(rf"listen to .*\b{label}[,.]"), f"{label} does not count")
        assert reader.said(f"Heard: {label}\n"), "the bar says something else"
        heard[int(label.removeprefix("Sound "))] = playing(window)
    assert reader.said("Nothing was moved yet: this is not an order")
    reader.press("Sound 2: one up")
    assert not reader.said("Nothing was moved"), "it was moved"
    reader.press("That is my order")
    (code,) = codes = reader.codes()
    given = pages.answers(code)
    keys = [sound["key"] for sound in pages.data(blind_page)["sounds"]]
    for label, index in enumerate(labels(int(given["seed"], 16), len(keys)), start=1):
        away = {key: apart(heard[label], sound) for key, sound in sounds.items()}
        assert min(away, key=lambda key: away[key]) == keys[index], (label, away)
        assert away[keys[index]] < 1e-3, "something else is heard besides"
    reader.press("Vote once more")
    assert reader.said("Pair 1 of 2")
    trials = reader.control("spinbutton", "Trials")
    trials.clear()
    trials.send_keys(str(TRIALS))
    reader.press("Pause")
    reader.press("Start ABX")
    for trial in range(1, TRIALS + 1):
        reader.waits_until(f"Trial {trial} of {TRIALS}")
        assert reader.said("Before you can answer, listen to X")
        reader.press("Listen to X")
        reader.waits_until("You have heard X: say which one it is")
        reader.press("X is A")
    reader.waits_until("Your ABX answers")
    codes += reader.codes()
    (tmp_path / "answers.txt").write_text("\n".join(codes))
    told = json.loads(program("votes", blind_page, tmp_path / "answers.txt", "--json"))
    assert told["refused"] == []
    assert told["ranking"]["all"]["listeners"] == 1
    (pair,) = told["abx"]
    # The best setup against the take: the page was packed without --abx.
    assert {sound["name"] for sound in pair["sounds"]} == {"as recorded", "buffer box"}
    assert pair["together"]["trials"] == TRIALS
    reader.press("Vote once more")
    assert reader.said("Pair 2 of 2")


def test_an_order_that_nobody_made_is_asked_about(window: Browser, blind_page: Path) -> None:
    """Once; and names are the last that is offered, before and after."""
    window.open(blind_page, 390, 844)
    reader = Reader(window)

    def buttons() -> list[str]:
        return [found.text for found in window.find_all("#bar button, #vote button") if found.is_displayed()]

    assert buttons() == ["Play", "Start ranking", "Start ABX", "Show names without voting"]
    play(window)
    start_ranking(window)
    hear_all(window)
    reader.press("That is my order")
    assert reader.said("You moved nothing: that would send .* Press again")
    reader.press("That is my order")
    assert len(reader.codes()) == 1
    assert buttons() == ["Pause", "Copy", "Save as a file", "Next listener", "Vote once more", "Show names"]


@pytest.mark.parametrize("width", WIDTHS)
def test_the_bar_stays_in_sight_and_covers_nothing(
    window: Browser, open_page: Path, blind_page: Path, width: int
) -> None:
    """Wherever the page is scrolled to, and whatever has the focus."""
    for path in [open_page, blind_page]:
        window.open(path, width, 800)
        unfold(window)
        places = window.run("""
            const bar = document.getElementById('bar');
            const end = document.documentElement.scrollHeight - innerHeight;
            const places = [];
            for (let step = 0; step <= 20; step += 1) {
                scrollTo({ top: end * step / 20, behavior: 'instant' });
                const { top, bottom, left, right } = bar.getBoundingClientRect();
                const inside = Array.from(bar.querySelectorAll('button, .heard-now, .time'), (part) => {
                    const { x, y, width, height } = part.getBoundingClientRect();
                    const hit = document.elementFromPoint(x + width / 2, y + height / 2);
                    return bar.contains(hit) && part.scrollWidth <= part.clientWidth + 1;
                });
                places.push(top >= 0 && bottom <= 120 && left >= 0 && right <= innerWidth && inside.length === 3 && inside.every(Boolean));
            }
            return places;
        """)
        assert places == 21 * [True]
        covered = window.run("""
            const bar = document.getElementById('bar');
            const all = [...document.querySelectorAll('a[href], button, input, select, textarea, summary, [tabindex="0"]')];
            const covered = [];
            // From the last to the first, since what comes in from above goes under the bar.
            for (const part of all.reverse()) {
                part.focus();
                const { top, bottom, height } = part.getBoundingClientRect();
                const under = bar.getBoundingClientRect().bottom;
                // What is higher than the window cannot be seen whole anyway.
                const isUnder = top < under - 1 && bottom > 0 && height < innerHeight - under;
                if (document.activeElement === part && isUnder && !bar.contains(part) && !part.matches('.skip'))
                    covered.push(part.outerHTML.slice(0, 80));
            }
            return [all.length, covered];
        """)
        assert covered[0] > 20
        assert covered[1] == []


@pytest.mark.parametrize(("section", "link"), [("note", "Crew note"), ("rescue", "What the desk can put right")])
def test_note_and_rescue_are_one_tap_away(window: Browser, open_page: Path, section: str, link: str) -> None:
    """From the top of the page, on a phone: the link is in sight, and one press shows what it says, below the bar."""
    window.open(open_page, 390, 844)
    found = Reader(window).control("link", link)
    assert found.rect["y"] + found.rect["height"] < 844 / 2
    found.click()
    window.wait(lambda: window.find(f"#{section} .body").is_displayed(), "it is not unfolded")
    top, under = window.run(f"""
        const top = (selector) => document.querySelector(selector).getBoundingClientRect().top;
        return [top('#{section} h2'), document.getElementById('bar').getBoundingClientRect().bottom];
    """)
    assert under <= top < under + 40
