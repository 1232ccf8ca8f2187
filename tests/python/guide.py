"""What README and guide tell people to type, and what they say is printed."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
FILES = [ROOT / "README.md", *sorted((ROOT / "docs" / "guide").glob("*.md"))]

FENCE = re.compile(r"^```([^\n]*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True)
class Step:
    """One block of commands: how it ends, and what the block behind it says that it prints, if there is one."""

    commands: str
    exit_code: int
    printed: str | None


def blocks(file: Path) -> list[tuple[list[str], str]]:
    """Each block in fences: the words behind the first fence, and what is inside."""
    return [(info.split(), text) for info, text in FENCE.findall(file.read_text(encoding="utf-8"))]


def steps(file: Path) -> Iterator[Step]:
    """What can be run: `sh` ends well, `sh exit=2` with that code; `sh no-run` says behind it why it cannot be."""
    every = blocks(file)
    for (info, text), (next_info, next_text) in zip(every, [*every[1:], ([], "")]):
        if info[:1] != ["sh"] or info[1:2] == ["no-run"]:
            continue
        code = int(info[1].removeprefix("exit=")) if info[1:] else 0
        yield Step(text, code, next_text if next_info == ["text"] else None)


def unrun(file: Path) -> Iterator[tuple[str, str]]:
    """What cannot be run, and why."""
    for info, text in blocks(file):
        if info[:2] == ["sh", "no-run"]:
            yield text, " ".join(info[2:])


def mentioned(file: Path) -> Iterator[list[str]]:
    """The words of each command of the program that is named but not run."""
    text = FENCE.sub("", file.read_text(encoding="utf-8"))
    for command in re.findall(r"`(firstjack [^`]+)`", text):
        yield shlex.split(command)
    for commands, _ in unrun(file):
        for line in commands.splitlines():
            if line.startswith("firstjack "):
                yield shlex.split(line)


def options(file: Path) -> set[str]:
    """The options that are named by themselves."""
    text = FENCE.sub("", file.read_text(encoding="utf-8"))
    return set(re.findall(r"`(--[a-z0-9-]+)[^`]*`", text))


def pattern(printed: str) -> str:
    """What must be printed, from the first line to the last: a line of three dots is any lines, three dots in a line are anything in it."""
    return "".join(
        r"(?:.*\n)*?" if line == "..." else re.escape(line).replace(r"\.\.\.", ".*") + "\n"
        for line in printed.splitlines()
    )
