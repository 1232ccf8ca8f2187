"""What tests share: the program and the plugin, named by the environment; a browser, and pages for it."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import page as pages
from browser import Browser, browser

sys.dont_write_bytecode = True

# The longest begin first, so that none of them is left over when the others have ended.
LONGEST = ("workstation", "rescue", "level_match", "votes_by_simulation", "pack_phone", "measure_sweep", "measure_toggle")

# Nobody's own kit decides what is tested.
os.environ["FIRSTJACK_KIT"] = os.devnull


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The longest files, then the others in their order."""
    places = {f"test_{name}": place for place, name in enumerate(LONGEST)}
    items.sort(key=lambda item: places.get(item.path.stem, len(places)))


def named_by(variable: str, what: str) -> Path:
    """The existing path in an environment variable; a missing one fails the test, it never skips."""
    text = os.environ.get(variable)
    if not text:
        pytest.fail(f"the environment variable {variable} must name {what}", pytrace=False)
    path = Path(text).resolve()
    if not path.exists():
        pytest.fail(f"{variable}={text}: there is no such file", pytrace=False)
    return path


class Program:
    """Runs `firstjack`."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def __call__(self, *arguments: str | Path) -> str:
        """Runs with these arguments and returns what it printed; fails on another exit code than 0."""
        command = [str(self.path), *map(str, arguments)]
        done = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
        if done.returncode != 0:
            pytest.fail(f"{command}: exit code {done.returncode}\n{done.stdout}{done.stderr}")
        return done.stdout


@pytest.fixture(scope="session")
def program() -> Program:
    """The program under test, from FIRSTJACK."""
    return Program(named_by("FIRSTJACK", "the firstjack program"))


@pytest.fixture(scope="session")
def bundle() -> Path:
    """The plugin under test, from FIRSTJACK_VST3."""
    return named_by("FIRSTJACK_VST3", "the plugin's .vst3 bundle")


@pytest.fixture(scope="session")
def demo_take() -> Path:
    """What `cargo xtask demo` synthesises, from FIRSTJACK_TAKE."""
    return named_by("FIRSTJACK_TAKE", "the demo's take.wav")


@pytest.fixture(scope="session")
def open_page(program: Program, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page as it is made unless asked otherwise."""
    return pages.pack(program, tmp_path_factory.mktemp("open"), pages.plucks(), pages.loads())


@pytest.fixture(scope="session")
def blind_page(program: Program, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A page that was made blind."""
    return pages.pack(program, tmp_path_factory.mktemp("blind"), pages.plucks(), pages.loads(), "--blind")


@pytest.fixture(scope="session")
def hostile_page(program: Program, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A page whose names and title are markup and script."""
    loads = dict(zip(pages.HOSTILE, ["56k", "470k", "1M", "10M"]))
    folder = tmp_path_factory.mktemp("hostile")
    return pages.pack(program, folder, pages.plucks(), loads, "--title", pages.HOSTILE[0])


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    """One browser for all tests of pages."""
    with browser(tmp_path_factory.mktemp("browser")) as opened:
        yield opened


@pytest.fixture
def window(shared: Browser) -> Iterator[Browser]:
    """The browser; whatever a test does, the page asks for nothing else and complains of nothing."""
    shared.requests()
    shared.complaints()
    yield shared
    asked = [url for url in shared.requests() if not url.startswith(("blob:file:", "blob:null", "data:"))]
    assert asked, "the log of requests says nothing"
    assert all(url.startswith("file:///") and url.endswith("/page.html") for url in asked), asked
    assert shared.complaints() == []
