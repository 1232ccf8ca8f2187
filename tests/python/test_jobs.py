"""Jobs that people have, each a script of commands with what must be readable in what they print: `tests/jobs/*.txt`.

A script is read line by line. `$` runs a command that must succeed, `?` one that must be refused (exit code 2), `3` one whose recordings
cannot tell (exit code 3); each starts anew what the lines below it are looked up in. `>` must be printed, further down than the line before
it; `!` must not be printed at all. `<` writes the lines below it that are indented into a file. `#` says what a person wants.
"""

from __future__ import annotations

import shlex
import shutil
import subprocess
import zlib
from pathlib import Path

import numpy as np
import pypdf
import pytest

import sound
from conftest import Program
from interface import Bench, Interface, grid
from page import plucks

ROOT = Path(__file__).resolve().parents[2]
SCRIPTS = sorted((ROOT / "tests" / "jobs").glob("*.txt"))


def spoken(text: str) -> str:
    """Without where lines break, since a report may break them elsewhere."""
    return " ".join(text.split())


def record(played: Path, recorded: Path, parts: list[str]) -> None:
    """What an interface records of a sound: `straight`, through a `capacitor` of 1 nF, or the measuring `lead`, with a `pickup` of 680 pF."""
    rate, frames = sound.read(played)
    draw = np.random.default_rng(zlib.crc32(recorded.name.encode()))
    interface = Interface(rate, 24, -85.0, -50.0, 50.0, 150.0, 1e6, 50e-12, 1.5, draw)
    known = ("C", 1e-9) if "capacitor" in parts else ("R", 100e3 if "lead" in parts else 1e-3)
    bench = Bench(interface.output_ohms).known(*known)
    bench.at_node("R", interface.input_ohms).at_node("C", interface.input_farads)
    if "lead" in parts:
        bench.at_node("C", 200e-12)
    if "pickup" in parts:
        bench.at_node("C", 680e-12)
    hz = grid(rate)
    heard = interface.record(frames[:, 0], bench.solve(hz), hz)
    sound.write_pcm24(recorded, rate, heard[:, None])


class Job:
    """A folder to work in, and what was printed last."""

    def __init__(self, program: Program, folder: Path) -> None:
        self.program = program
        self.folder = folder
        self.printed = ""
        self.place = 0

    def run(self, line: str, expected: int) -> None:
        """One command; `read FILE` prints what a reader of the file reads, `record SOUND FILE PARTS` is what `record` says."""
        words = shlex.split(line)
        if words[0] == "record":
            record(self.folder / words[1], self.folder / words[2], words[3:])
            self.printed = ""
        elif words[0] == "read":
            reader = pypdf.PdfReader(self.folder / words[1])
            self.printed = spoken(" ".join(page.extract_text() for page in reader.pages))
        else:
            assert words[0] == "firstjack", line
            command = [str(self.program.path), *words[1:]]
            done = subprocess.run(
                command, capture_output=True, text=True, timeout=120, check=False, cwd=self.folder
            )
            self.printed = spoken(done.stdout + done.stderr)
            assert done.returncode == expected, f"{line}: {done.returncode}\n{self.printed}"
        self.place = 0

    def expect(self, text: str) -> None:
        """Further down than what was expected before."""
        found = self.printed.find(spoken(text), self.place)
        assert found >= 0, f"{text!r} is not in what is left of:\n{self.printed}"
        self.place = found + len(spoken(text))


def play(script: str, job: Job) -> int:
    """Goes through a script; returns how much was looked up."""
    looked_up = 0
    lines = iter(script.splitlines())
    file: Path | None = None
    for line in lines:
        if file is not None and line.startswith("    "):
            with file.open("a", encoding="utf-8") as opened:
                opened.write(line[4:] + "\n")
            continue
        file = None
        kind, _, rest = line.partition(" ")
        if kind in ("", "#"):
            continue
        if kind == "$":
            job.run(rest, 0)
        elif kind == "?":
            job.run(rest, 2)
        elif kind == "3":
            job.run(rest, 3)
        elif kind == ">":
            job.expect(rest)
            looked_up += 1
        elif kind == "!":
            assert spoken(rest) not in job.printed, f"{rest!r} is in:\n{job.printed}"
            looked_up += 1
        elif kind == "<":
            file = job.folder / rest
        else:
            raise AssertionError(f"no such line: {line}")
    return looked_up


def test_there_are_jobs() -> None:
    """One for each."""
    assert len(SCRIPTS) >= 10


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda path: path.stem)
def test_a_person_can_do_it(program: Program, tmp_path: Path, script: Path) -> None:
    """Each line of it."""
    shutil.copytree(ROOT / "presets", tmp_path / "presets")
    sound.write_float32(tmp_path / "take.wav", 48_000, plucks())
    assert play(script.read_text(encoding="utf-8"), Job(program, tmp_path)) >= 4
