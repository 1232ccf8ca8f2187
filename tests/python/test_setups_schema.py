"""The JSON schema of files of setups, judged by `jsonschema` (an implementation of JSON Schema 2020-12 not written here), which holds every
file of setups that there is against it, and files with one thing wrong, which the program's own reader refuses too.
"""

from __future__ import annotations

import json
import subprocess
import tomllib
from pathlib import Path

import jsonschema
import pytest

from conftest import Program

ROOT = Path(__file__).resolve().parents[2]
SCHEMA = json.loads((ROOT / "presets" / "setups.schema.json").read_text(encoding="utf-8"))
JUDGE = jsonschema.Draft202012Validator(SCHEMA)

CATALOGUES = {"instruments.toml", "pickups.toml"}
FILES = sorted(
    path
    for folder in ("presets", "dsp-core/tests/fixtures", "program/src/new")
    for path in (ROOT / folder).glob("*.toml")
    if path.name not in CATALOGUES
)

SETUP = '[[setup]]\nname = "amp"\nchain = ["3 m", { box = "tuner", input = "1M", thru = "before" }, "amp 470k"]\n'
GOOD = 'version = 5\nname = "x"\npickup = { capacitance = "1 nF", leakage = "1G" }\nrecorded = { load = "none" }\n' + SETUP

# What is replaced in a good file, and by what.
WRONG = [
    ("version = 5\n", ""),
    ("version = 5", "version = 6"),
    ("version = 5", 'version = "5"'),
    ('name = "x"\n', ""),
    ('name = "x"', "name = 7"),
    ('name = "x"', 'title = "x"'),
    ("pickup = ", "pickups = "),
    ('{ capacitance = "1 nF", leakage = "1G" }', "{}"),
    ('{ capacitance = "1 nF", leakage = "1G" }', '""'),
    ('capacitance = "1 nF"', "capacitance = 1"),
    ('capacitance = "1 nF"', 'capacitance = "nF"'),
    ('leakage = "1G"', 'winding = "100p"'),
    ('leakage = "1G"', 'mixing = "1M"'),
    ('leakage = "1G"', 'inductance = "4 H", resistance = "8k"'),
    ('leakage = "1G"', 'volume = { position = "50 %" }'),
    ('leakage = "1G"', 'volume = { resistance = "1M", taper = "log" }'),
    ("recorded = { load", "recorded = { lode"),
    ('recorded = { load = "none" }', "recorded = {}"),
    ('recorded = { load = "none" }', 'recorded = ""'),
    (SETUP, ""),
    ("[[setup]]", "[setup]"),
    ("[[setup]]", "[[setups]]"),
    ('name = "amp"\n', ""),
    ('name = "amp"', 'name = "amp"\ncolour = "red"'),
    ('name = "amp"', 'name = "amp"\nload = "1M"'),
    ('name = "amp"', 'name = "amp"\nvenue = 3'),
    ('"3 m"', "3"),
    ('"3 m"', '""'),
    ('"3 m"', "{}"),
    ('"3 m"', '{ cable = "3 m", input = "1M" }'),
    ('"3 m"', '{ splitter = "y" }'),
    ('"3 m"', '{ splitter = "y", branch = [{}] }'),
    ('input = "1M", ', ""),
    ('input = "1M"', 'input = "1M", transformer = "usual 140k"'),
    ('input = "1M"', 'transformer = { primary = "47 H" }'),
    ('input = "1M"', 'imput = "1M"'),
    ('thru = "before"', 'thru = "off"'),
    ("[[setup]]", '[[blend]]\ncapacitance = "1n"\n[[blend]]\ncapacitance = "1n"\n[[setup]]'),
    ("[[setup]]", '[[venue]]\nname = "court"\nphantom = "maybe"\n[[setup]]'),
    ("[[setup]]", '[[venue]]\nphantom = "on"\n[[setup]]'),
]


def test_the_schema_is_one() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


def test_there_are_files() -> None:
    assert len(FILES) >= 16, FILES


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_every_file_is_one_of_the_schema(path: Path) -> None:
    JUDGE.validate(tomllib.loads(path.read_text(encoding="utf-8")))


def test_what_the_schema_refuses_the_reader_refuses(program: Program, tmp_path: Path) -> None:
    file = tmp_path / "setups.toml"
    command = [str(program.path), "tell", "--setups", str(file)]

    def reads(text: str) -> bool:
        file.write_text(text, encoding="utf-8")
        return subprocess.run(command, capture_output=True, timeout=60, check=False).returncode == 0

    assert JUDGE.is_valid(tomllib.loads(GOOD)) and reads(GOOD)
    for old, new in WRONG:
        assert GOOD.count(old) >= 1, old
        text = GOOD.replace(old, new, 1)
        assert not JUDGE.is_valid(tomllib.loads(text)), f"the schema takes {new!r} for {old!r}"
        assert not reads(text), f"the reader takes {new!r} for {old!r}"
