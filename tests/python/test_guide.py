"""README and guide: what they tell people to type is typed, in their order, and what they say is printed is printed.

The guide as one HTML file is opened in Chromium and judged by axe-core.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from selenium_axe_python import Axe

import guide
import page as pages
import sound
from ballots import code, trials
from browser import Browser
from conftest import Program, named_by
from test_jobs import record

TAKES = ["take", "monday", "tuesday", "first", "second"]

# Three listeners, and how many of 16 trials each has right.
LISTENERS = {"cello": 14, "mandolin": 13, "tambourine": 9}
BEST_FIRST = [
    "as recorded",
    "buffer box",
    "tuner",
    "combo",
    "combo on a long cable",
    "tuner's unbuffered thru",
    "passive box, rescued at the desk",
    "passive box",
    "anchor",
]


def answers(page: Path) -> str:
    """A mail with what they voted: each changes places of two neighbours, and compares the pair that the page asks about last."""
    data, secret = pages.data(page), pages.secret(page)
    keys = {sound["name"]: key for key, sound in secret["sounds"].items()}
    head = {"firstjack": "answers", "version": 1, "pack": data["pack"]}
    lines = ["Here are ours, see you at six!"]
    for number, (listener, right) in enumerate(LISTENERS.items(), 1):
        order = [keys[name] for name in BEST_FIRST]
        order[number], order[number + 1] = order[number + 1], order[number]
        named = {**head, "listener": listener}
        lines.append(code({**named, "kind": "ranking", "seed": f"{number:08x}", "order": order}))
        pair = dict(zip("ab", data["abx_pairs"][-1]))
        x = trials(number + 16, 16)
        said = x[:right] + x[right:].translate(str.maketrans("ab", "ba"))
        lines.append(code({**named, "kind": "abx", "seed": f"{number + 16:08x}", **pair, "said": said}))
    return "\n".join(lines) + "\n"


class Desk:
    """A folder with what a reader has before the first command, and what people do between two of them."""

    def __init__(self, program: Program, takes: Path, folder: Path) -> None:
        self.folder = folder
        shutil.copytree(takes, folder, dirs_exist_ok=True)
        shutil.copytree(guide.ROOT / "presets", folder / "presets")
        (folder / "bin").mkdir()
        (folder / "bin" / "firstjack").symlink_to(program.path)
        path = f"{folder / 'bin'}{os.pathsep}{os.environ['PATH']}"
        self.environment = {**os.environ, "PATH": path, "FIRSTJACK_KIT": str(folder / "kit.toml")}

    def run(self, commands: str) -> tuple[int, str]:
        """The code that they end with, and what they print."""
        self.do_by_hand(commands)
        done = subprocess.run(
            ["bash", "-euo", "pipefail", "-c", commands],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            encoding="utf-8",
            timeout=120,
            check=False,
            cwd=self.folder,
            env=self.environment,
        )
        return done.returncode, done.stdout

    def do_by_hand(self, commands: str) -> None:
        """Recordings of the test sound, and votes, where a command reads them."""
        if "--reference" in commands:
            parts = {"1": "straight", "2": "lead", "3": "lead pickup", "4": "straight", "5": "capacitor"}
            for name, through in parts.items():
                if f" {name}.wav" in commands:
                    record(self.folder / "sweep.wav", self.folder / f"{name}.wav", through.split())
        if "answers.txt" in commands:
            (self.folder / "answers.txt").write_text(answers(self.folder / "vote.html"), encoding="utf-8")


@pytest.fixture(scope="module")
def takes(demo_take: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Takes of one channel, and one of two: the first seconds of the demo's, each begun elsewhere."""
    folder = tmp_path_factory.mktemp("takes")
    rate, music = sound.read(demo_take)
    music = music[: 3 * rate, 0]
    played = {name: np.roll(music, at * rate // 2) for at, name in enumerate(TAKES)}
    played["both"] = np.stack([played["first"], played["second"]], axis=1)
    for name, frames in played.items():
        sound.write_float32(folder / f"{name}.wav", rate, frames)
    return folder


@pytest.mark.parametrize("file", guide.FILES, ids=lambda file: file.stem)
def test_what_is_typed_does_what_is_said(program: Program, takes: Path, tmp_path: Path, file: Path) -> None:
    """Block by block, in one folder a file."""
    desk = Desk(program, takes, tmp_path)
    for step in guide.steps(file):
        exit_code, printed = desk.run(step.commands)
        assert exit_code == step.exit_code, f"{step.commands}\n{printed}"
        if step.printed is not None:
            assert re.fullmatch(guide.pattern(step.printed), printed), f"{step.commands}\n{printed}"


def test_enough_is_run() -> None:
    """What is left out says why, and stays the exception."""
    run = [step for file in guide.FILES for step in guide.steps(file)]
    unrun = [reason for file in guide.FILES for _, reason in guide.unrun(file)]
    assert all(unrun), unrun
    assert len(run) >= 25
    assert sum(step.printed is not None for step in run) >= 10
    assert 3 * len(unrun) <= len(run), unrun


def test_what_is_only_named_is_there(program: Program) -> None:
    """Commands with their options, as far as asking for help reads them, and options by themselves."""
    known = set(re.findall(r"--[a-z0-9-]+", program("man").replace(r"\-", "-")))
    # Of cargo, and of sha256sum.
    known |= {"--features", "--check"}
    for file in guide.FILES:
        for words in guide.mentioned(file):
            program(*words[1:], *([] if words[1] == "help" else ["--help"]))
        assert guide.options(file) <= known, file


def test_a_quote_is_held_to_every_line() -> None:
    """Of the comparison itself."""
    quote = guide.pattern("one\n...\ntwo ... three\n")
    assert re.fullmatch(quote, "one\nmore\n\ntwo and three\n")
    assert re.fullmatch(quote, "one\ntwo  three\n")
    for other in ["one\n", "one\ntwo and three\nfour\n", "zero\none\ntwo and three\n", "one\ntwo and four\n"]:
        assert not re.fullmatch(quote, other), other


def test_readme_leads_somewhere() -> None:
    """Its links are files."""
    text = (guide.ROOT / "README.md").read_text(encoding="utf-8")
    links = re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", text)
    assert len(links) >= 5
    assert [link for link in links if not (guide.ROOT / link).exists()] == []


def test_the_picture_of_curves_is_drawn_by_the_program(program: Program, tmp_path: Path) -> None:
    """To the byte; if it is right, copy what the program draws."""
    drawn = tmp_path / "courtyard.svg"
    program("curve", "--setups", guide.ROOT / "presets" / "courtyard.toml", "-o", drawn)
    assert drawn.read_bytes() == (guide.ROOT / "docs" / "guide" / "pictures" / "courtyard.svg").read_bytes()


def test_pictures_are_small() -> None:
    """They are kept with the source, and all of them are in the one file."""
    pictures = sorted((guide.ROOT / "docs" / "guide" / "pictures").iterdir())
    assert len(pictures) >= 7
    assert [picture.name for picture in pictures if picture.stat().st_size > 150_000] == []


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The guide as one file, from FIRSTJACK_GUIDE."""
    copy = tmp_path_factory.mktemp("guide") / "page.html"
    return Path(shutil.copy(named_by("FIRSTJACK_GUIDE", "the guide as one HTML file"), copy))


def test_the_guide_leads_somewhere(window: Browser, made: Path) -> None:
    """Its links are places in it, all pictures are there, nothing is asked of a network (the fixture), and no id is given twice."""
    window.open(made)
    links = [link.get_attribute("href").partition("#")[2] for link in window.find_all("a")]
    ids = window.run("return Array.from(document.querySelectorAll('[id]'), (found) => found.id)")
    assert len(links) > 30
    assert set(links) <= set(ids)
    assert len(ids) == len(set(ids))
    widths = window.run("return Array.from(document.images, (image) => image.naturalWidth)")
    assert len(widths) >= 6
    assert min(widths) > 100


@pytest.mark.parametrize(("width", "dark"), [(390, False), (1200, True)])
def test_everybody_can_read_the_guide(window: Browser, made: Path, width: int, dark: bool) -> None:
    """axe-core, and no sideways scrolling of the page."""
    window.open(made, width, 900, dark)
    assert window.run("return document.documentElement.scrollWidth") <= width
    axe = Axe(window.driver)
    axe.inject()
    found = axe.run()
    assert len(found["passes"]) > 10, "axe looked at nothing"
    assert found["violations"] == [], axe.report(found["violations"])
