"""The way back into a real amplifier: what `into-amp` tells and writes, against the circuits in ngspice.

Source: ngspice `.ac` and `.noise` of netlists that are written here by hand, part by part: the pickup straight into the amplifier, the pickup into
what recorded it, and output, pad and capacitor into the same amplifier. The file's own spectrum is summed here.
"""

from __future__ import annotations

import base64
import json
import shutil
import subprocess
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray
from scipy import optimize

from browser import Browser
from conftest import Program
from test_lead import POINTS_PER_MM, only_page, spoken

Reals = NDArray[np.float64]
Complexes = NDArray[np.complex128]

RATE = 48_000
LOWEST_HZ = 41.203  # E1 of the double bass, in equal temperament on A4 = 440 Hz (ISO 16)
TOP_HZ = 10e3
RIGHT_DB = 0.1
TOLD_DB = 0.02

# A part: kind, node, node, value in SI units. The pickup stands from `oc` to `jack`; the amplifier hangs on `jack`.
Part = tuple[str, str, str, float]


def netlist(parts: list[Part], suffix: str) -> list[str]:
    """Parts as SPICE has them, their nodes apart from those of other circuits."""
    node = lambda name: name if name == "0" else name + suffix
    return [f"{kind}{suffix}{index} {node(a)} {node(b)} {size:.12g}" for index, (kind, a, b, size) in enumerate(parts)]


def ngspice(lines: list[str], control: list[str], folder: Path) -> Reals:
    """The rows that a run writes into `table.txt`."""
    if not shutil.which("ngspice"):
        pytest.fail("ngspice is missing: apt-get install ngspice", pytrace=False)
    text = ["* into an amplifier", *lines, ".control", "set wr_singlescale", "set numdgt=14", *control, "quit", ".endc", ".end"]
    (folder / "circuit.cir").write_text("\n".join(text) + "\n")
    done = subprocess.run(["ngspice", "-b", "circuit.cir"], cwd=folder, capture_output=True, text=True, check=False)
    table = folder / "table.txt"
    assert table.exists(), done.stdout + done.stderr
    rows = np.array([[float(number) for number in line.split()] for line in table.read_text().splitlines()])
    table.unlink()
    return rows


def responses(circuits: dict[str, list[Part]], heard: str, folder: Path) -> tuple[Reals, dict[str, Complexes]]:
    """Voltages where each circuit is heard, the recording's (`r`) at its jack, for a volt in each, from the lowest string to 10 kHz."""
    lines = []
    for suffix, parts in circuits.items():
        lines += [*netlist(parts, suffix), f"Vin{suffix} oc{suffix} 0 dc 0 ac 1"]
    places = [f"v({'jack' if suffix == 'r' else heard}{suffix})" for suffix in circuits]
    rows = ngspice(lines, [f"ac dec 200 {LOWEST_HZ} {TOP_HZ}", f"wrdata table.txt {' '.join(places)}"], folder)
    assert rows[0, 0] == pytest.approx(LOWEST_HZ) and rows[-1, 0] > 0.98 * TOP_HZ
    columns = [rows[:, 1 + 2 * index] + 1j * rows[:, 2 + 2 * index] for index in range(len(places))]
    return rows[:, 0], dict(zip(circuits, columns, strict=True))


def fed_parts(way: dict, load: list[Part], front_farads: float = 0.0, capacitor: float = 1.0) -> list[Part]:
    """Output, pad and capacitor as they were told, into the amplifier."""
    parts: list[Part] = [("R", "oc", "out", way["output_ohms"])]
    if front_farads:
        parts.append(("C", "out", "0", front_farads))
    end = "out"
    if way["pad"]:
        parts += [("R", "out", "pad", way["pad"]["series_ohms"]), ("R", "pad", "0", way["pad"]["shunt_ohms"])]
        end = "pad"
    if way["capacitor_farads"]:
        parts.append(("C", end, "jack", way["capacitor_farads"] * capacitor))
    else:
        parts.append(("R", end, "jack", 1e-6))
    return parts + load


@dataclass(frozen=True)
class Circuit:
    """One case: as a file of setups says it, and part by part."""

    name: str
    pickup: str
    chain: str
    source: list[Part]
    load: list[Part]
    heard: str = "jack"
    recorded: str = "22M"
    recorded_parts: list[Part] = field(default_factory=lambda: [("R", "jack", "0", 22e6)])
    options: tuple[str, ...] = ()
    capacitor: bool = True

    def setups(self) -> str:
        """The file."""
        return (
            f"version = 5\nname = 'x'\ninstrument = 'bass'\npickup = {self.pickup}\nrecorded = '{self.recorded}'\n"
            f"[[setup]]\nname = 'amp'\nchain = [{self.chain}]\n"
        )


def piezo(farads: float) -> list[Part]:
    """A capacitive pickup. A path to ground at DC that takes nothing: 1 EOhm."""
    return [("C", "oc", "jack", farads), ("R", "jack", "0", 1e18)]


SCREWED = ("--output-resistance", "600")

CIRCUITS = [
    Circuit("combo", "'680p'", "{ box = 'c', input = '470k' }", piezo(680e-12), [("R", "jack", "0", 470e3)]),
    Circuit("cable", "'680p'", "{ cable = '6 m' }, { box = 'c', input = '1M' }", piezo(680e-12),
            [("C", "jack", "0", 600e-12), ("R", "jack", "0", 1e6)]),
    Circuit("two capacitors, a long cable", "'1.03n'", "{ cable = '30 m' }, { box = 'c', input = '10M', capacitance = '150p' }", piezo(1.03e-9),
            [("C", "jack", "0", 3.15e-9), ("R", "jack", "0", 10e6)], options=SCREWED),
    Circuit("small and loaded", "'100p'", "{ cable = '10 m' }, { box = 'c', input = '1M', capacitance = '300p' }", piezo(100e-12),
            [("C", "jack", "0", 1.3e-9), ("R", "jack", "0", 1e6)]),
    Circuit("large into little", "'20n'", "{ box = 'c', input = '10k' }", piezo(20e-9), [("R", "jack", "0", 10e3)], options=SCREWED),
    Circuit("large into next to nothing", "'100n'", "{ box = 'c', input = '3k3' }", piezo(100e-9), [("R", "jack", "0", 3.3e3)], options=SCREWED),
    Circuit("blocking", "'1n'", "{ cable = '6 m' }, { box = 'c', input = '100k', blocking = '2n2', capacitance = '220p' }", piezo(1e-9),
            [("C", "jack", "0", 820e-12), ("C", "jack", "in", 2.2e-9), ("R", "in", "0", 100e3)], heard="in"),
    Circuit("transformer", "'1n'", "{ box = 'c', transformer = { primary = '47 H', winding = '1k5', ratio = '12', secondary = '1k5' } }", piezo(1e-9),
            [("R", "jack", "w", 1.5e3), ("L", "w", "0", 47.0), ("R", "w", "0", 216e3)], heard="w"),
    Circuit("tuner in parallel", "'680p'", "{ box = 't', input = '1M', thru = 'before' }, { cable = '6 m' }, { box = 'c', input = '470k' }",
            piezo(680e-12), [("R", "jack", "0", 1e6), ("C", "jack", "0", 600e-12), ("R", "jack", "0", 470e3)]),
    Circuit("splitter", "'1n5'", "{ splitter = 's', resistor = '10k', branch = [{ box = 't', input = '1M' }] }, { box = 'c', input = '220k' }",
            piezo(1.5e-9), [("R", "jack", "b", 10e3), ("R", "b", "0", 1e6), ("R", "jack", "h", 10e3), ("R", "h", "0", 220e3)], heard="h"),
    Circuit("recorded through a tuner", "'220p'", "{ box = 'c', input = '10M' }", piezo(220e-12), [("R", "jack", "0", 10e6)], recorded="1M",
            recorded_parts=[("R", "jack", "0", 1e6)]),
    Circuit("leak", "{ capacitance = '1n5', leakage = '33M' }", "{ box = 'c', input = '1M' }",
            [("C", "oc", "jack", 1.5e-9), ("R", "jack", "0", 33e6)], [("R", "jack", "0", 1e6)], capacitor=False),
    Circuit("coil", "{ inductance = '4.7 H', resistance = '8k2', winding = '120p', loss = '470k' }", "{ cable = '6 m' }, { box = 'c', input = '1M' }",
            [("R", "oc", "l", 8.2e3), ("L", "l", "jack", 4.7), ("R", "l", "jack", 470e3), ("C", "jack", "0", 120e-12)],
            [("C", "jack", "0", 600e-12), ("R", "jack", "0", 1e6)], recorded="1M", recorded_parts=[("R", "jack", "0", 1e6)], options=SCREWED,
            capacitor=False),
]


LEVELS = ("--in-dbu-at-full-scale", "10 dBu", "--out-dbu-at-full-scale", "22 dBu")
FULL_SCALES = 10 ** ((22 - 10) / 20)


def spectrum(samples: Reals, hz: Reals) -> Complexes:
    """The Fourier sum at these frequencies, with what the slowest pole would still add behind the file's end, a geometric series."""
    turns = np.exp(-2j * np.pi / RATE * hz[:, None] * np.arange(256))
    blocks = samples[: samples.size // 256 * 256].reshape(-1, 256)
    starts = np.exp(-2j * np.pi / RATE * hz[:, None] * (256 * np.arange(blocks.shape[0])))
    total = np.einsum("fb,bk,fk->f", starts, blocks, turns, optimize=True)
    last, before = samples[blocks.size - 1], samples[blocks.size - 1 - RATE]
    if abs(last) < 1e-9 or not 0 < last / before < 1:
        return total
    step = (last / before) ** (1 / RATE) * np.exp(-2j * np.pi / RATE * hz)
    return total + last * np.exp(-2j * np.pi / RATE * hz * (blocks.size - 1)) * step / (1 - step)


def told_of(program: Program, folder: Path, circuit: Circuit, way: str, *more: str) -> dict:
    """What is told of an impulse, rendered into `out.wav`."""
    (folder / "setups.toml").write_text(circuit.setups())
    take = np.zeros(RATE * 6)
    take[64] = 0.25
    soundfile.write(folder / "take.wav", take, RATE, subtype="FLOAT")
    typed = ["--setups", folder / "setups.toml", "--way", way, "--no-guard", "--json", "-o", folder / "out.wav", "--overwrite"]
    return json.loads(program("into-amp", folder / "take.wav", *typed, *circuit.options, *LEVELS, *more))


# Where no capacitor stands for the pickup that is told (program/tests/into_amp.rs).
WAYS = [(circuit, way) for circuit in CIRCUITS for way in ["file", "capacitor"] if way == "file" or circuit.capacitor]


@pytest.mark.parametrize(("circuit", "way"), WAYS, ids=[f"{circuit.name}-{way}" for circuit, way in WAYS])
def test_the_amplifier_hears_the_pickup(program: Program, tmp_path: Path, circuit: Circuit, way: str) -> None:
    """The written file through the physical chain against the pickup plugged in, volts for volts: within 0.1 dB where that is said to be right,
    and off by what is told, to 0.02 dB."""
    told = told_of(program, tmp_path, circuit, way)["ways"][way == "capacitor"]
    circuits = {
        "s": circuit.source + circuit.load,
        "r": circuit.source + circuit.recorded_parts,
        "f": fed_parts(told, circuit.load),
    }
    hz, heard = responses(circuits, circuit.heard, tmp_path)
    written, _ = soundfile.read(tmp_path / "out.wav")
    file = spectrum(written, hz) / 0.25
    off_db = 20 * np.log10(np.abs(file * FULL_SCALES * heard["f"] * heard["r"] / heard["s"]))
    # The gain is in the middle of what is left.
    assert off_db.max() + off_db.min() == pytest.approx(0, abs=2 * TOLD_DB)
    assert np.abs(off_db).max() == pytest.approx(told["error_db"], abs=TOLD_DB)
    if told["right"]:
        assert np.abs(off_db).max() <= RIGHT_DB
    else:
        assert told["error_db"] > RIGHT_DB


def test_most_of_them_are_right(program: Program, tmp_path: Path) -> None:
    """Or the test above would say little: all but the one whose output is too high for so little a load, and what a tuner took beyond the boost
    limit."""
    wrong = set()
    for circuit in CIRCUITS:
        for way in ["file", "capacitor"] if circuit.capacitor else ["file"]:
            if not told_of(program, tmp_path, circuit, way)["ways"][way == "capacitor"]["right"]:
                wrong.add((circuit.name, way))
    assert wrong == {("large into next to nothing", "capacitor"), ("recorded through a tuner", "capacitor")}


@pytest.mark.parametrize("circuit", [circuit for circuit in CIRCUITS if circuit.capacitor], ids=lambda circuit: circuit.name)
def test_a_capacitor_that_is_off(program: Program, tmp_path: Path, circuit: Circuit) -> None:
    """What 5 % to either side do to every string, and 10 m of cable in front of the pad: hardly anything."""
    told = told_of(program, tmp_path, circuit, "capacitor")["ways"][1]
    circuits = {name: fed_parts(told, circuit.load, capacitor=part) for name, part in [("s", 1.0), ("l", 0.95), ("h", 1.05)]}
    circuits["c"] = fed_parts(told, circuit.load, front_farads=10 * 100e-12)
    hz, heard = responses(circuits, circuit.heard, tmp_path)
    db = {name: 20 * np.log10(np.abs(value / heard["s"])) for name, value in heard.items()}
    for string in told["strings"]:
        for name, end in [("l", "low"), ("h", "high")]:
            assert string["capacitor_db"][end] == pytest.approx(np.interp(string["hz"], hz, db[name]), abs=TOLD_DB)
    assert np.abs(db["c"]).max() < 0.01


def test_the_noise_of_the_pad(program: Program, tmp_path: Path) -> None:
    """ngspice `.noise` of output and pad at 20 C, 20 Hz to 20 kHz."""
    told = told_of(program, tmp_path, CIRCUITS[0], "file")["ways"][0]
    lines = netlist([*fed_parts(told, [])][:-1], "x") + ["Vin ocx 0 dc 0 ac 1", ".options temp=20 tnom=20"]
    control = ["noise v(padx) Vin lin 2000 20 20k", "setplot noise2", "wrdata table.txt onoise_total"]
    assert told["pad"]
    assert told["johnson_volts"] == pytest.approx(ngspice(lines, control, tmp_path)[0, 1], rel=0.005)


def test_nothing_between_the_circuits_is_worse(program: Program, tmp_path: Path) -> None:
    """A search (differential evolution) for the capacitor whose told error is furthest from ngspice's: pickup, input, its capacitance, output."""
    soundfile.write(tmp_path / "short.wav", np.full(2_400, 0.1), RATE, subtype="FLOAT")
    worst: list[float] = []

    def apart(place: Reals) -> float:
        farads, ohms, shunt, output = (float(f"{10**exponent:.5g}") for exponent in place)
        typed = ["--pickup", f"{farads}F", "--through", "none", "--into", f"{ohms} Ω || {shunt}F", "--output-resistance", f"{output} Ω"]
        told = json.loads(program("into-amp", tmp_path / "short.wav", *typed, "--json"))["ways"][1]
        load = [("R", "jack", "0", ohms), ("C", "jack", "0", shunt)]
        hz, heard = responses({"s": piezo(farads) + load, "f": fed_parts(told, load)}, "jack", tmp_path)
        db = 20 * np.log10(np.abs(heard["f"] / heard["s"]))
        worst.append(abs((db.max() - db.min()) / 2 - told["error_db"]))
        return -worst[-1]

    bounds = [(-10.3, -6.1), (3, 8), (-12, -8.5), (0, 4)]
    optimize.differential_evolution(apart, bounds, popsize=4, maxiter=6, seed=680, polish=False, tol=0)
    assert len(worst) >= 100 and max(worst) < TOLD_DB, max(worst)


SAID = {
    "en": ["Re-amp sheet", "680 pF", "isolation made for it", "lethal voltages", "local electrical codes", "E24, IEC 60063"],
    "de": ["Blatt zum Re-Amping", "680 pF", "Trennung dafür gemacht", "tödliche Spannungen", "örtliche Vorschriften", "E24, IEC 60063"],
}


@pytest.mark.parametrize("language", SAID)
def test_the_sheet_is_one_a4_page(program: Program, tmp_path: Path, shared: Browser, language: str) -> None:
    """As PDF, and printed from HTML, which on a phone is as wide as the phone; A4 is 210 mm by 297 mm (ISO 216)."""
    for name in ["sheet.pdf", "sheet.html"]:
        told_of(program, tmp_path, CIRCUITS[0], "capacitor", "--language", language, "--sheet", str(tmp_path / name))
    page = only_page((tmp_path / "sheet.pdf").read_bytes())
    assert float(page.mediabox.width) == pytest.approx(210 * POINTS_PER_MM, abs=0.01)
    assert float(page.mediabox.height) == pytest.approx(297 * POINTS_PER_MM, abs=0.01)
    shared.requests()
    shared.open(tmp_path / "sheet.html", width=360, height=740)
    assert shared.run("return document.documentElement.scrollWidth <= window.innerWidth")
    printed = shared.driver.execute_cdp_cmd("Page.printToPDF", {"preferCSSPageSize": True})["data"]
    for text in [spoken(page.extract_text()), spoken(only_page(base64.b64decode(printed)).extract_text())]:
        for said in SAID[language]:
            assert said in text, (said, text)
    assert all(url.startswith("file:///") for url in shared.requests())
    assert shared.complaints() == []
