#!/usr/bin/env python3
"""Makes the reference tables of this folder with ngspice, or checks the kept ones.

    make_tables.py FOLDER     write every table (and the .tran netlists) into FOLDER
    make_tables.py --check    make them anew in a temporary folder, compare with this one

Exit codes: 0 made or equal, 1 different or wrong, 2 wrong arguments, 3 ngspice is not installed.

Nothing here comes from the code under test. Every table is also held against another way to the same
numbers (textbook circuit theory):
  .ac    RC circuits, whose netlists carry their values in a machine-readable line:
         H = s C_pickup / (s C_pickup + 1/R_leak + YL), YL = 1/R_load + s C_load;
         all others, which say their circuit in a TOML file beside them: nodal analysis of the netlist,
         see `solve` (the Rust and Python suites hold what the TOML says against the table)
  .tran  response of a circuit with known poles, at rest before t = 0, to a sum of exp(p t): see plucks.py.
"""

from __future__ import annotations

import argparse
import math
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from plucks import FRAMES, PLUCK_PREFIX, PLUCKS, RATE_HZ, Pluck, answer, pluck_netlist

HERE = Path(__file__).resolve().parent
Rows = list[list[float]]

AC_TOLERANCE = 1e-6  # relative, of the complex value; ngspice 39 meets its closed form to 3e-13
TRAN_TOLERANCE = 1e-6  # of the column's peak; measured figures: README.md
DIGITS = 12  # of ngspice's own output


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
    """H = s Cp / (s Cp + 1/R_leak + YL) at one frequency, from the values of the machine-readable line."""
    s = 2j * math.pi * hz
    source = s * v["pickup_farads"]
    return source / (source + 1 / v["leak_ohms"] + 1 / v["load_ohms"] + s * v["load_farads"])


SUFFIXES = {"t": 1e12, "g": 1e9, "meg": 1e6, "k": 1e3, "m": 1e-3, "u": 1e-6, "n": 1e-9, "p": 1e-12, "": 1.0}


def spice_value(text: str) -> float:
    """A number as SPICE writes it."""
    number, suffix = re.fullmatch(r"([\d.]+)([a-zA-Z]*)", text).groups()
    return float(number) * SUFFIXES[suffix.lower()]


def solve(netlist: str, hz: float) -> complex:
    """V(terminal) of a netlist of R, C, L and V at one frequency.

    Nodal analysis, with a current for each source; Gaussian elimination with partial pivoting.
    """
    parts = [line.split() for line in netlist.splitlines() if line[:1] in "RCLV" and line]
    names = sorted({node for part in parts for node in part[1:3]} - {"0"})
    at = {name: i for i, name in enumerate(names)}
    sources = [part for part in parts if part[0][0] == "V"]
    size = len(names) + len(sources)
    rows = [[0j] * (size + 1) for _ in range(size)]
    s = 2j * math.pi * hz
    for name, a, b, *values in parts:
        if name[0] == "V":
            row = len(names) + sources.index([name, a, b, *values])
            rows[row][size] = complex(float(values[-1]))
            for node, sign in ((a, 1), (b, -1)):
                if node != "0":
                    rows[row][at[node]] += sign
                    rows[at[node]][row] += sign
            continue
        size_si = spice_value(values[0])
        siemens = {"R": 1 / size_si, "C": s * size_si, "L": 1 / (s * size_si)}[name[0]]
        for here, there in ((a, b), (b, a)):
            if here != "0":
                rows[at[here]][at[here]] += siemens
                if there != "0":
                    rows[at[here]][at[there]] -= siemens
    return eliminate(rows)[at["terminal"]]


def eliminate(rows: list[list[complex]]) -> list[complex]:
    """Solves a linear system; each row ends with its right side."""
    size = len(rows)
    for i in range(size):
        pivot = max(range(i, size), key=lambda r: abs(rows[r][i]))
        rows[i], rows[pivot] = rows[pivot], rows[i]
        for r in range(size):
            if r != i and rows[r][i] != 0:
                factor = rows[r][i] / rows[i][i]
                rows[r] = [x - factor * y for x, y in zip(rows[r], rows[i], strict=True)]
    return [rows[i][size] / rows[i][i] for i in range(size)]


def with_one_source(netlist: str, sounding: str) -> str:
    """A netlist in which all sources but one are at zero volts."""
    lines = netlist.splitlines()
    silent = [x for x in lines if x.startswith("V") and not x.startswith(f"{sounding} ")]
    return "\n".join(re.sub(r"AC 1$", "AC 0", x) if x in silent else x for x in lines) + "\n"


def ac_table(cir: Path, version: str) -> str:
    """Runs one .ac netlist, once for each source; returns the CSV text, after the comparison."""
    text = cir.read_text()
    sources = re.findall(r"(?m)^V\S+", text)
    table: Rows = []
    for source in sources:
        netlist = with_one_source(text, source)
        rows = run_ngspice(netlist, ["v(terminal)"])
        if "pickup_farads=" in text:
            values = machine_line(text)
            expected = [closed_form(hz, values) for hz, _, _ in rows]
        else:
            expected = [solve(netlist, hz) for hz, _, _ in rows]
        worst = max(abs(complex(*row[1:]) / h - 1) for row, h in zip(rows, expected, strict=True))
        print(f"{cir.stem} {source}: {len(rows)} rows, {worst:.1e} from the other way", file=sys.stderr)
        if not worst < AC_TOLERANCE:
            raise SystemExit(f"{cir.name}: ngspice and the other way to these numbers disagree")
        table = [[*old, *row[1:]] for old, row in zip(table, rows, strict=True)] if table else rows
    head = ["#" + x[1:] for x in text.splitlines() if x.startswith("*")]
    head.append(f"# made by {version} .ac: V(terminal)/V(open circuit)")
    if len(sources) > 1:
        head[-1] += " of each pickup, the other one silent"
    numbers = [""] if len(sources) == 1 else [str(i) for i, _ in enumerate(sources, 1)]
    head.append(",".join(["freq_hz"] + [f"{part}{number}" for number in numbers for part in ("re", "im")]))
    return "\n".join(head + [",".join(f"{x:.{DIGITS}e}" for x in row) for row in table]) + "\n"


def tran_table(stem: str, pluck: Pluck, version: str) -> str:
    """Runs a .tran netlist; returns the CSV text, after the comparison with the exact answer."""
    vectors = [f"v({node})" for _, node, _ in pluck.columns]
    rows = run_ngspice(pluck_netlist(stem, pluck), vectors, "linearize " + " ".join(vectors))[:FRAMES]
    if len(rows) != FRAMES:
        raise SystemExit(f"{stem}: {len(rows)} rows instead of {FRAMES}")
    for index, (name, _, response) in enumerate(pluck.columns, 1):
        exact = [answer(n / RATE_HZ, response) for n in range(FRAMES)]
        peak = max(map(abs, exact))
        worst = max(abs(row[index] - e) for row, e in zip(rows, exact, strict=True)) / peak
        print(f"{stem} {name}: {worst:.1e} of its peak from the exact answer", file=sys.stderr)
        if not worst < TRAN_TOLERANCE:
            raise SystemExit(f"{stem}: {name} is off by {worst:.1e} of its peak")
    head = [
        *pluck.head,
        f"# made by {version} .tran; row n is the instant n/rate_hz; volts",
        ",".join(name for name, _, _ in pluck.columns),
    ]
    return "\n".join(head + [",".join(f"{x:.8e}" for x in row[1:]) for row in rows]) + "\n"


def make(folder: Path) -> None:
    """Writes every table into `folder`, and the .tran netlists beside their tables."""
    version = ngspice_version()
    folder.mkdir(parents=True, exist_ok=True)
    for cir in sorted(HERE.glob("*.cir")):
        if not cir.stem.startswith(PLUCK_PREFIX):
            (folder / f"{cir.stem}.csv").write_text(ac_table(cir, version))
    for stem, pluck in PLUCKS.items():
        (folder / f"{stem}.cir").write_text(pluck_netlist(stem, pluck()))
        (folder / f"{stem}.csv").write_text(tran_table(stem, pluck(), version))


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
    if kept.stem.startswith(PLUCK_PREFIX):
        for i, column in enumerate(zip(*b, strict=True)):
            peak = max(map(abs, column))
            worst = max(abs(x[i] - y) for x, y in zip(a, column, strict=True)) / peak
            if not worst <= TRAN_TOLERANCE:
                return f"column {i + 1} differs by {worst:.1e} of its peak"
        return None
    for (f, *parts), (g, *others) in zip(a, b, strict=True):
        pairs = zip(parts[::2], parts[1::2], others[::2], others[1::2], strict=True)
        ratios = [f / g, *(complex(re_, im) / complex(re2, im2) for re_, im, re2, im2 in pairs)]
        apart = max(abs(ratio - 1) for ratio in ratios)
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
        for stem in PLUCKS:
            if (Path(folder) / f"{stem}.cir").read_text() != (HERE / f"{stem}.cir").read_text():
                failed.append(stem)
                print(f"{stem}.cir: differs from what make_tables.py writes")
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
