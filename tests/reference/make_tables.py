#!/usr/bin/env python3
"""Makes the reference tables of this folder with ngspice, or checks the kept ones.

    make_tables.py FOLDER     write every table (and the .tran netlist) into FOLDER
    make_tables.py --check    make them anew in a temporary folder, compare with this one

Exit codes: 0 made or equal, 1 different or wrong, 2 wrong arguments, 3 ngspice is not installed.

Nothing here comes from the code under test. Every table is also held against a closed form
(textbook RC circuit theory), so that a slip in a netlist or in its machine-readable line shows:
  .ac    H = Ys / (Ys + YL), Ys = s C_pickup + 1/R_leak, YL = 1/R_load + s C_load
  .tran  response of k s/(s + w), at rest before t = 0, to a sum of exp(p t): see `answer`.
"""

from __future__ import annotations

import argparse
import cmath
import math
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

HERE = Path(__file__).resolve().parent
Rows = list[list[float]]

AC_TOLERANCE = 1e-6  # relative, of the complex value; ngspice 39 meets its closed form to 3e-13
TRAN_TOLERANCE = 1e-6  # of the column's peak; measured figures: README.md
DIGITS = 12  # of ngspice's own output

# The .tran input, a plucked-note-like voltage. Partials of a slightly stiff string on A1 (55 Hz,
# ISO 16): (hz, volts, decay per second). All of them start with the same smooth attack
# (1 - exp(-ATTACK t))^2 and in sine phase, so v grows as t^3 and nothing matters near Nyquist.
PARTIALS = [
    (55.0, 0.50, 4.0),
    (110.1, 0.30, 5.0),
    (165.5, 0.20, 7.0),
    (221.3, 0.12, 9.0),
    (332.0, 0.08, 14.0),
    (445.0, 0.05, 20.0),
]
ATTACK_PER_SECOND = 400.0
RATE_HZ = 48_000
FRAMES = 6_000
STEPS_PER_FRAME = 64
PLUCK_PICKUP_FARADS = 680e-12
PLUCK_LOADS_OHMS = {"22m": 22e6, "470k": 470e3, "56k": 56e3}
PLUCK = "pluck_680p"


def exponentials() -> Iterator[tuple[float, float, float]]:
    """The input as damped sines (hz, volts, decay per second): the squared attack, multiplied out."""
    for hz, volts, decay in PARTIALS:
        for share, extra in ((1.0, 0.0), (-2.0, 1.0), (1.0, 2.0)):
            yield hz, share * volts, decay + extra * ATTACK_PER_SECOND


def answer(t: float, corner_rad: float | None) -> float:
    """Exact voltage at time t: the input itself (corner None), or after s/(s + w) from rest.

    For an input exp(p t), t > 0, the inverse Laplace transform of 1/(s - p) * s/(s + w) is
    (p exp(p t) + w exp(-w t)) / (p + w); sines are imaginary parts.
    """
    total = 0.0
    for hz, volts, decay in exponentials():
        p = complex(-decay, 2 * math.pi * hz)
        value = cmath.exp(p * t)
        if corner_rad is not None:
            value = (p * value + corner_rad * math.exp(-corner_rad * t)) / (p + corner_rad)
        total += volts * value.imag
    return total


def pluck_netlist() -> str:
    """The .tran circuit: the sources in series, and the same pickup into each load."""
    lines = [f"* {PLUCK}: plucked-note-like input into three loads, written by make_tables.py"]
    node = "0"
    terms = list(exponentials())
    for i, (hz, volts, decay) in enumerate(terms, 1):
        top = "oc" if i == len(terms) else f"n{i}"
        lines.append(f"V{i} {top} {node} SIN(0 {volts:.6g} {hz:.6g} 0 {decay:.6g})")
        node = top
    for name, ohms in PLUCK_LOADS_OHMS.items():
        lines.append(f"Cp{name} oc t{name} {PLUCK_PICKUP_FARADS:g}")
        lines.append(f"Rin{name} t{name} 0 {ohms:.6g}")
    lines.append(".options method=trap reltol=1e-9 abstol=1e-15 vntol=1e-12 chgtol=1e-20")
    step = 1 / (RATE_HZ * STEPS_PER_FRAME)
    lines.append(f".tran {1 / RATE_HZ:.15g} {FRAMES / RATE_HZ:.15g} 0 {step:.15g} uic")
    return "\n".join(lines + [".end", ""])


def run_ngspice(netlist: str, vectors: list[str], before_writing: str = "") -> Rows:
    """Runs one netlist in batch mode and returns the rows that its `wrdata` wrote."""
    control = [
        ".control",
        "set wr_singlescale",
        f"set numdgt={DIGITS}",
        "run",
        before_writing,
        f"wrdata table.txt {' '.join(vectors)}",
        "quit",
        ".endc",
        ".end",
    ]
    body = re.sub(r"(?mi)^\.(print|end)\b.*\n?", "", netlist)
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "circuit.cir").write_text(body + "\n".join(control) + "\n")
        done = subprocess.run(
            ["ngspice", "-b", "circuit.cir"], cwd=folder, capture_output=True, text=True, check=False
        )
        table = Path(folder) / "table.txt"
        if not table.exists():
            raise SystemExit(f"ngspice wrote no table:\n{done.stdout}{done.stderr}")
        return [[float(x) for x in line.split()] for line in table.read_text().splitlines()]


def ngspice_version() -> str:
    """The name and number that `ngspice --version` tells, such as `ngspice-39`."""
    text = subprocess.run(["ngspice", "--version"], capture_output=True, text=True, check=True)
    found = re.search(r"ngspice-\S+", text.stdout)
    return found.group(0) if found else "ngspice, version unknown"


def machine_line(text: str) -> dict[str, float]:
    """The values of the one comment line that carries `pickup_farads=`."""
    line = next(x for x in text.splitlines() if "pickup_farads=" in x)
    return {k: float(v) for k, v in (part.split("=") for part in line[1:].split())}


def closed_form(hz: float, v: dict[str, float]) -> complex:
    """H = Ys / (Ys + YL) at one frequency, from the values of the machine-readable line."""
    s = 2j * math.pi * hz
    source = s * v["pickup_farads"] + 1 / v["leak_ohms"]
    return source / (source + 1 / v["load_ohms"] + s * v["load_farads"])


def ac_table(cir: Path, version: str) -> str:
    """Runs one .ac netlist; returns the CSV text, after the comparison with the closed form."""
    text = cir.read_text()
    values = machine_line(text)
    rows = run_ngspice(text, ["v(terminal)"])
    worst = max(
        abs(complex(re_, im) / closed_form(hz, values) - 1) for hz, re_, im in rows
    )
    print(f"{cir.stem}: {len(rows)} rows, {worst:.1e} from the closed form", file=sys.stderr)
    if not worst < AC_TOLERANCE:
        raise SystemExit(f"{cir.name}: the circuit and its machine-readable line disagree")
    head = ["#" + x[1:] for x in text.splitlines() if x.startswith("*")]
    head += [f"# made by {version} .ac: V(terminal)/V(open circuit)", "freq_hz,re,im"]
    return "\n".join(head + [",".join(f"{x:.{DIGITS}e}" for x in row) for row in rows]) + "\n"


def tran_table(version: str) -> str:
    """Runs the .tran netlist; returns the CSV text, after the comparison with the exact answer."""
    names = list(PLUCK_LOADS_OHMS)
    vectors = ["v(oc)"] + [f"v(t{name})" for name in names]
    rows = run_ngspice(pluck_netlist(), vectors, "linearize " + " ".join(vectors))[:FRAMES]
    if len(rows) != FRAMES:
        raise SystemExit(f"{PLUCK}: {len(rows)} rows instead of {FRAMES}")
    corners = [None] + [1 / (r * PLUCK_PICKUP_FARADS) for r in PLUCK_LOADS_OHMS.values()]
    for column, (vector, corner) in enumerate(zip(vectors, corners, strict=True), 1):
        exact = [answer(n / RATE_HZ, corner) for n in range(FRAMES)]
        peak = max(map(abs, exact))
        worst = max(abs(row[column] - e) for row, e in zip(rows, exact, strict=True)) / peak
        print(f"{PLUCK} {vector}: {worst:.1e} of its peak from the exact answer", file=sys.stderr)
        if not worst < TRAN_TOLERANCE:
            raise SystemExit(f"{PLUCK}: {vector} is off by {worst:.1e} of its peak")
    head = [
        "# plucked-note-like input (make_tables.py) through one pickup into three loads",
        f"# pickup_farads={PLUCK_PICKUP_FARADS!r} rate_hz={RATE_HZ} frames={FRAMES}",
        f"# made by {version} .tran; row n is the instant n/rate_hz; volts",
        ",".join(["open_volts"] + [f"load_{name}_volts" for name in names]),
    ]
    return "\n".join(head + [",".join(f"{x:.8e}" for x in row[1:]) for row in rows]) + "\n"


def make(folder: Path) -> None:
    """Writes every table into `folder`, and the .tran netlist beside its table."""
    version = ngspice_version()
    folder.mkdir(parents=True, exist_ok=True)
    for cir in sorted(HERE.glob("*.cir")):
        if cir.stem != PLUCK:
            (folder / f"{cir.stem}.csv").write_text(ac_table(cir, version))
    (folder / f"{PLUCK}.cir").write_text(pluck_netlist())
    (folder / f"{PLUCK}.csv").write_text(tran_table(version))


def read_rows(table: Path) -> tuple[list[str], Rows]:
    """Header lines (without the one that names the maker) and the numbers of one table."""
    lines = table.read_text().splitlines()
    first = next(i for i, x in enumerate(lines) if not x.startswith("#")) + 1
    head = [x for x in lines[:first] if not x.startswith("# made by")]
    return head, [[float(x) for x in line.split(",")] for line in lines[first:]]


def difference(kept: Path, fresh: Path) -> str | None:
    """Says how two tables differ beyond the tolerance, or None."""
    (head_a, a), (head_b, b) = read_rows(kept), read_rows(fresh)
    if head_a != head_b or [len(x) for x in a] != [len(x) for x in b]:
        return "headers or sizes differ"
    if kept.stem == PLUCK:
        for i, column in enumerate(zip(*b, strict=True)):
            peak = max(map(abs, column))
            worst = max(abs(x[i] - y) for x, y in zip(a, column, strict=True)) / peak
            if not worst <= TRAN_TOLERANCE:
                return f"column {i + 1} differs by {worst:.1e} of its peak"
        return None
    for (f, re_, im), (g, re2, im2) in zip(a, b, strict=True):
        apart = max(abs(f / g - 1), abs(complex(re_, im) / complex(re2, im2) - 1))
        if not apart <= AC_TOLERANCE:
            return f"{apart:.1e} apart at {g:g} Hz"
    return None


def check() -> int:
    """Makes all tables anew and compares them with the kept ones; the exit code."""
    with tempfile.TemporaryDirectory() as folder:
        make(Path(folder))
        fresh = sorted(Path(folder).glob("*.csv"))
        failed = sorted({x.name for x in HERE.glob("*.csv")} ^ {x.name for x in fresh})
        for name in failed:
            print(f"{name}: a table without its netlist, or the other way round")
        for table in fresh:
            if table.name not in failed and (said := difference(HERE / table.name, table)):
                failed.append(table.name)
                print(f"{table.name}: {said}")
        if (Path(folder) / f"{PLUCK}.cir").read_text() != (HERE / f"{PLUCK}.cir").read_text():
            failed.append(PLUCK)
            print(f"{PLUCK}.cir: differs from what make_tables.py writes")
    print(f"{len(fresh)} tables made anew, {len(failed)} differ")
    return 1 if failed else 0


def main() -> int:
    """Reads the arguments and runs; returns the exit code."""
    parser = argparse.ArgumentParser(description="Make or check the ngspice tables.")
    what = parser.add_mutually_exclusive_group(required=True)
    what.add_argument("folder", nargs="?", type=Path, help="write the tables into this folder")
    what.add_argument("--check", action="store_true", help="compare with the kept tables")
    arguments = parser.parse_args()
    if shutil.which("ngspice") is None:
        print("ngspice is not installed: the tables cannot be made anew", file=sys.stderr)
        return 3
    if arguments.check:
        return check()
    make(arguments.folder)
    return 0


if __name__ == "__main__":
    sys.exit(main())
