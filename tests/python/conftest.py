"""What every test needs: the program and the plugin, named by the environment."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

sys.dont_write_bytecode = True


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
