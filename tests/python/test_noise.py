"""The noise of a take: `firstjack render --json` on takes whose noise numpy made, and the ceiling that follows from it.

Judges: the noise's own density, by which it was made; lines of hum by their amplitudes; a ceiling by sums over the true noise and the clean
music in numpy and scipy (K-weighting by the table of ITU-R BS.1770 at 48 kHz, from memory; the ear's band by Glasberg and Moore 1990, from
memory; the undo by textbook RC); Johnson noise by ngspice's `.noise`. Music is synthesised here, or notes of a sound font (`notes.py`).
"""

from __future__ import annotations

import functools
import json
import math
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import signal

import notes
import sound
from conftest import Program

Reals = NDArray[np.float64]

RATE = 48_000
SECONDS = 100.0
FARADS = 680e-12
OHMS = 56e3
# A1 D2 G2 C3 E3 A2 (ISO 16).
STRINGS_HZ = [55.0, 73.4162, 97.9989, 130.8128, 164.8138, 110.0]
FLOOR_BAR_DB = 1.0
LINE_HZ, LINE_DB = 0.05, 0.5
# Where it was lowest and highest is a mean over some seconds, and is to be within so many.
TRACK_HZ = 0.1
CEILING_BAR_DB = 1.0
# Music that is less above its noise is refused.
LEAST_MUSIC_DB = 6.0
RUMBLE_HZ = (20.0, 200.0)
EAR_HZ = (20.0, 20_000.0)
# ITU-R BS.1770, annex 1, tables 1 and 2, at 48 kHz.
K_SECTIONS = [
    ([1.53512485958697, -2.69169618940638, 1.19839281085285], [1.0, -1.69065929318241, 0.73248077421585]),
    ([1.0, -2.0, 1.0], [1.0, -1.99004745483398, 0.99007225036621]),
]


def k_weight(hz: Reals) -> Reals:
    """|K|² of the K-weighting."""
    power = np.ones(hz.shape)
    for b, a in K_SECTIONS:
        power *= np.abs(signal.freqz(b, a, worN=hz, fs=RATE)[1]) ** 2
    return power


@dataclass(frozen=True)
class Noise:
    """A floor `level · (hz/1 kHz)^-slope` per hertz, in dB at 1 kHz, and hum: (harmonic, dB as mean square)."""

    slope: float = 0.0
    level_db: float | None = -135.0
    mains_hz: float = 50.0
    wanders_hz: float = 0.0
    lines: tuple[tuple[int, float], ...] = ()

    def density(self, hz: Reals) -> Reals:
        """Per hertz."""
        if self.level_db is None:
            return np.zeros_like(hz)
        return 10 ** (self.level_db / 10) * (np.maximum(hz, 5.0) / 1e3) ** -self.slope

    def samples(self, seed: int) -> Reals:
        """Gaussian noise of just that density, and the hum."""
        count = round(SECONDS * RATE)
        hz = np.fft.rfftfreq(count, 1 / RATE)
        random = np.random.default_rng(seed)
        # Power of a bin is density times half the rate times the count.
        spread = np.sqrt(self.density(hz) * RATE * count / 4)
        spectrum = spread * (random.standard_normal(hz.size) + 1j * random.standard_normal(hz.size))
        spectrum[0] = 0
        time = np.arange(count) / RATE
        turns = self.mains_hz * time + self.wanders_hz * 50 / (2 * np.pi) * (1 - np.cos(2 * np.pi * time / 50))
        hum = sum(
            (math.sqrt(2) * 10 ** (db / 20) * np.sin(2 * np.pi * n * turns + n) for n, db in self.lines),
            np.zeros(count),
        )
        return np.fft.irfft(spectrum, count) + hum


@functools.cache
def string_music(level: float = 0.2, rest: float = 2.0) -> Reals:
    """Every string in turn through the load: two seconds, then a rest. A high-pass of first order at the load's corner makes it thin."""
    count = round(SECONDS * RATE)
    music = np.zeros(count)
    period = round((2 + rest) * RATE)
    time = np.arange(round(2 * RATE)) / RATE
    for turn, at in enumerate(range(period, count - period, period)):
        hz = STRINGS_HZ[turn % len(STRINGS_HZ)]
        partials = (np.sin(2 * np.pi * n * hz * time) * np.exp(-1.5 * math.sqrt(n) * time) / n for n in range(1, 30))
        music[at : at + time.size] += level * sum(partials) * np.clip((2 - time) / 0.1, 0, 1)
    return loaded(music)


def loaded(music: Reals) -> Reals:
    """Through 680 pF and 56 kΩ, by its spectrum."""
    hz = np.fft.rfftfreq(music.size, 1 / RATE)
    corner = 1 / (2 * np.pi * OHMS * FARADS)
    return np.fft.irfft(np.fft.rfft(music) * (1j * hz) / (1j * hz + corner), music.size)


def font_music(folder: Path) -> Reals:
    """Notes of a plucked bass, each with a rest behind it."""
    bass = notes.library(folder)["plucked bass"]
    music = np.zeros(round(SECONDS * RATE))
    at = 2 * RATE
    for index in range(40):
        note = signal.resample_poly(bass[index % len(bass)], 160, 147)[: 2 * RATE] * 0.3
        note[-RATE // 10 :] *= np.linspace(1, 0, RATE // 10)
        if at + 2 * note.size > music.size:
            break
        music[at : at + note.size] += note
        at += 2 * note.size
    return loaded(music)


def rendered(program: Program, folder: Path, take: Reals, *more: str) -> dict:
    """The report on undoing 56 kΩ."""
    sound.write_float32(folder / "take.wav", RATE, take)
    typed = ["--pickup", "680p", "--recorded-through", "56k", "--load", "none", "--instrument", "guitarron"]
    out = folder / "out.wav"
    options = [*typed, "--no-match", "--sample-format", "float", "--overwrite", "--json", *more]
    return json.loads(program("render", folder / "take.wav", *options, "-o", out))


HUM = ((1, -72.0), (2, -90.0), (3, -78.0), (5, -88.0), (11, -95.0), (19, -98.0))
NOISES = {
    "white": Noise(),
    "pink": Noise(slope=1.0, level_db=-128.0),
    "brown": Noise(slope=2.0, level_db=-135.0),
    "white, 50 Hz": Noise(lines=HUM),
    "pink, 60 Hz": Noise(slope=1.0, mains_hz=60.0, lines=HUM),
    "brown, 49.93 Hz": Noise(slope=2.0, level_db=-140.0, mains_hz=49.93, lines=HUM[:4]),
    "white, 50 Hz that wanders": Noise(wanders_hz=0.08, lines=HUM),
    "white, 60.04 Hz that wanders": Noise(mains_hz=60.04, wanders_hz=0.06, lines=HUM),
    "loud hum": Noise(lines=((1, -45.0), (2, -70.0), (3, -55.0))),
    "quiet": Noise(level_db=-150.0, lines=((1, -110.0),)),
}


def thirds(rate: int) -> list[float]:
    """Middles of the third octaves of IEC 61260-1 from 20 Hz to 16 kHz."""
    return [1e3 * 10 ** (k / 10) for k in range(-17, 13) if 1e3 * 10 ** ((k + 0.5) / 10) < 0.45 * rate]


def check_noise(found: dict, noise: Noise) -> None:
    """Holds a report to the noise that was put in."""
    floor = found["floor_db_per_hz"]
    assert [hz for hz, _ in floor] == pytest.approx(thirds(RATE), rel=1e-9)
    off = {round(hz): db - 10 * math.log10(noise.density(np.array([hz]))[0]) for hz, db in floor}
    assert max(map(abs, off.values())) < FLOOR_BAR_DB, off
    if not noise.lines:
        assert found["mains_hz"] is None and found["hum"] == []
        return
    assert abs(found["mains_hz"] - noise.mains_hz) < LINE_HZ
    ends = (noise.mains_hz - noise.wanders_hz, noise.mains_hz + noise.wanders_hz)
    assert (found["mains_low_hz"], found["mains_high_hz"]) == pytest.approx(ends, abs=TRACK_HZ)
    told = {round(hz / found["mains_hz"]): (hz, db) for hz, db in found["hum"]}
    assert sorted(told) == [n for n, _ in noise.lines]
    for n, db in noise.lines:
        assert abs(told[n][0] - n * noise.mains_hz) < LINE_HZ * n
        assert abs(told[n][1] - db) < LINE_DB, (n, told[n], db)


@pytest.mark.parametrize("name", NOISES)
@pytest.mark.parametrize("music", ["strings", "none"])
def test_what_was_put_in_is_found(program: Program, tmp_path: Path, name: str, music: str) -> None:
    noise = NOISES[name]
    take = noise.samples(1) + (string_music() if music == "strings" else 0)
    report = rendered(program, tmp_path, take)
    check_noise(report["noise"]["tracks"][0], noise)


@pytest.mark.parametrize("name", ["white", "pink, 60 Hz", "white, 50 Hz that wanders"])
def test_what_was_put_in_is_found_between_notes_of_a_font(program: Program, tmp_path: Path, name: str) -> None:
    noise = NOISES[name]
    take = font_music(tmp_path) + noise.samples(2)
    check_noise(rendered(program, tmp_path, take)["noise"]["tracks"][0], noise)


def test_a_named_stretch_is_what_is_listened_to(program: Program, tmp_path: Path) -> None:
    noise = NOISES["white, 50 Hz"]
    take = noise.samples(3)
    # Something steady that is no noise, behind the first minute, where only the quietest stretches would take it for noise.
    take[60 * RATE :] *= 0.1
    found = rendered(program, tmp_path, take, "--noise-from", "0:00-1:00")["noise"]["tracks"][0]
    check_noise(found, noise)
    quiet = rendered(program, tmp_path, take)["noise"]["tracks"][0]
    at_1k = dict((round(hz), db) for hz, db in quiet["floor_db_per_hz"])[1000]
    assert at_1k == pytest.approx(-155, abs=1)


def test_no_noise_is_told_as_such(program: Program, tmp_path: Path) -> None:
    music = string_music(rest=4.0)
    # As a file of 24 bits has it.
    music[np.abs(music) < 2**-24] = 0
    report = rendered(program, tmp_path, music, "--undo-ceiling", "auto")
    found = report["noise"]["tracks"][0]
    assert found["lufs"] is None and found["hum"] == [] and found["floor_db_per_hz"] == []
    auto = report["renderings"][0]["undo"]["auto"]
    # The lowest string lacks 0.1 dB: (fc/55 Hz)² = 10^0.01 - 1, and the ceiling is the corner over fc.
    corner = 1 / (2 * np.pi * OHMS * FARADS)
    expected = 20 * math.log10(corner / (55 * math.sqrt(10**0.01 - 1)))
    assert auto["stop"] == "enough" and auto["ceiling_db"] == pytest.approx(expected, abs=0.2)


class Judge:
    """The ceiling from the true noise and the clean music."""

    def __init__(self, music: Reals, noise: Noise, string_db: float = 10.0, rumble_db: float = 15.0) -> None:
        self.noise, self.string_db, self.rumble_db = noise, string_db, rumble_db
        # Power of each bin in each frame of 1.2 s.
        window = round(1.2 * RATE)
        frames = {"window": "blackmanharris", "nperseg": window, "noverlap": window * 3 // 4, "detrend": False}
        self.hz, _, density = signal.spectrogram(music, RATE, scaling="density", **frames)
        powers = density * (self.hz[1] - self.hz[0])
        weighted = (powers * k_weight(self.hz)[:, None])[(self.hz >= 20) & (self.hz <= 20e3)].sum(axis=0)
        loud = weighted >= 0.1 * weighted.mean()
        self.music = powers[:, loud].mean(axis=1)
        self.places = [n * hz for hz in STRINGS_HZ for n in (1, 2)]
        self.levels = [self.gated(powers[self.within(self.ear(hz))].sum(axis=0)) for hz in self.places]
        self.corner = 1 / (2 * np.pi * OHMS * FARADS)

    @staticmethod
    def gated(powers: Reals) -> float:
        return float(powers[powers >= 0.1 * powers.mean()].mean())

    @staticmethod
    def ear(hz: float) -> tuple[float, float]:
        half = 0.5 * 24.7 * (4.37 * hz / 1000 + 1)
        return max(20.0, hz - half), hz + half

    def within(self, band: tuple[float, float]) -> NDArray[np.bool_]:
        return (self.hz >= band[0]) & (self.hz <= band[1])

    def change(self, hz: Reals, ceiling_db: float) -> Reals:
        lower = self.corner * 10 ** (-ceiling_db / 20)
        return (hz**2 + self.corner**2) / (hz**2 + lower**2)

    def noise_in(self, band: tuple[float, float], weight) -> float:  # noqa: ANN001
        hz = np.linspace(*band, 4001)
        floor = np.trapezoid(self.noise.density(hz) * weight(hz), hz)
        lines = [(n * self.noise.mains_hz, 10 ** (db / 10)) for n, db in self.noise.lines]
        return float(floor) + sum(p * float(weight(np.array([f]))[0]) for f, p in lines if band[0] <= f <= band[1])

    def keeps(self, ceiling_db: float) -> bool:
        def change(hz: Reals) -> Reals:
            return self.change(hz, ceiling_db)

        for hz, level in zip(self.places, self.levels, strict=True):
            given = float(change(np.array([hz]))[0])
            if 10 * math.log10(given) > 1 and level * given < 10 ** (self.string_db / 10) * self.noise_in(self.ear(hz), change):
                return False

        def weight(hz: Reals) -> Reals:
            return change(hz) * k_weight(hz)

        band = self.within(EAR_HZ)
        music = float((self.music * weight(np.maximum(self.hz, 1)))[band].sum())
        return music >= 10 ** (self.rumble_db / 10) * self.noise_in(RUMBLE_HZ, weight)

    def music_db(self) -> float:
        """How far the music stands above the noise."""
        band = self.within(EAR_HZ)
        music = float((self.music * k_weight(np.maximum(self.hz, 1)))[band].sum())
        return 10 * math.log10(music / self.noise_in(EAR_HZ, k_weight))

    def ceiling_db(self) -> float:
        enough = 20 * math.log10(self.corner / (55 * math.sqrt(10**0.01 - 1)))
        return next((c for c in np.arange(enough, 1, -0.05) if self.keeps(c)), 1.0)


LOOSE = ("--string-margin", "0")
CEILINGS = [
    (Noise(level_db=-120.0), ()),
    (Noise(slope=1.0, level_db=-100.0), LOOSE),
    (Noise(slope=1.0, level_db=-95.0), LOOSE),
    (Noise(slope=2.0, level_db=-115.0), LOOSE),
    (Noise(slope=2.0, level_db=-110.0), LOOSE),
    (Noise(lines=((1, -60.0), (3, -80.0))), ()),
    (Noise(mains_hz=60.0, lines=((1, -70.0), (2, -75.0))), LOOSE),
    (Noise(slope=1.0, level_db=-135.0, mains_hz=60.0, lines=((1, -75.0),)), (*LOOSE, "--rumble-margin", "25")),
]


# Under the strings the ceiling is held to the sums within a decibel. Notes of the font have nearly as much noise as music in some cases, where a ceiling
# hardly moves a margin: there margins may be 0.3 dB off besides.
MARGIN_DB = 0.3


def expected_between(case: tuple[Noise, tuple[str, ...]], music: Reals, off_db: float) -> tuple[float, float]:
    """The ceiling with both margins a little more, and a little less."""
    noise, more = case
    typed = dict(zip(more[::2], map(float, more[1::2]), strict=True))
    string_db, rumble_db = typed.get("--string-margin", 10.0), typed.get("--rumble-margin", 15.0)
    low, high = (Judge(music, noise, string_db + off, rumble_db + off).ceiling_db() for off in (off_db, -off_db))
    return low, high


@pytest.mark.parametrize("font", [False, True])
def test_the_ceiling_is_that_of_the_true_noise(program: Program, tmp_path: Path, font: bool) -> None:
    music = font_music(tmp_path) if font else string_music()
    for index, (noise, more) in enumerate(CEILINGS):
        if Judge(music, noise).music_db() < LEAST_MUSIC_DB:
            # Refused (below); of the strings every case is told.
            assert font
            continue
        low, high = expected_between((noise, more), music, MARGIN_DB if font else 0.0)
        report = rendered(program, tmp_path, music + noise.samples(4), "--undo-ceiling", "auto", *more)
        undo = report["renderings"][0]["undo"]
        assert low - CEILING_BAR_DB <= undo["auto"]["ceiling_db"] <= high + CEILING_BAR_DB, (index, low, high)
        assert undo["ceiling_db"] == undo["auto"]["ceiling_db"]
        # Never more than a fixed ceiling of that height boosts.
        assert report["renderings"][0]["boost_db"] <= undo["ceiling_db"] + 1e-9


@pytest.mark.parametrize("level_db", [-90.0, -85.0])
def test_noise_as_loud_as_the_music_is_refused(program: Program, tmp_path: Path, level_db: float) -> None:
    """The strengths of strings, and with them a ceiling, would be up to 10 dB off there."""
    take = string_music() + Noise(level_db=level_db).samples(4)
    assert rendered(program, tmp_path, take)["renderings"][0]["undo"]["auto"] is None
    typed = ["render", "take.wav", "--pickup", "680p", "--recorded-through", "56k", "--load", "none", "--undo-ceiling", "auto", "-o", "auto.wav"]
    done = subprocess.run([program.path.resolve(), *typed], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 2 and "its noise is too near to its music" in done.stderr, done
    assert not (tmp_path / "auto.wav").exists()


def test_a_blend_has_noise_for_each_track_and_the_noisier_decides(program: Program, tmp_path: Path) -> None:
    """Two equal pickups: each is half of what the jack has, so that its change is half of the undo of one, and a ceiling is 6.02 dB nearer."""
    (tmp_path / "two.toml").write_text(
        "version = 5\nname = 'Two'\ninstrument = 'guitarron'\nrecorded = '56k'\n"
        + 2 * "[[blend]]\ncapacitance = '680p'\n"
        + "[[setup]]\nname = 'nothing'\nload = 'none'\n"
    )
    music = string_music()
    quiet, noisy = Noise(level_db=-145.0), Noise(slope=2.0, level_db=-110.0)
    enough, expected = (Judge(music, noise, string_db=0).ceiling_db() - 20 * math.log10(2) for noise in (quiet, noisy))
    assert expected < enough - 3
    for order in ([quiet, noisy], [noisy, quiet]):
        tracks = [music + noise.samples(7 + index) for index, noise in enumerate(order)]
        sound.write_float32(tmp_path / "take.wav", RATE, np.stack(tracks, axis=1))
        out = tmp_path / "out.wav"
        typed = ["--setups", tmp_path / "two.toml", "--setup", "nothing", "--undo-ceiling", "auto", *LOOSE, "--no-match", "--json", "--overwrite", "-o", out]
        report = json.loads(program("render", tmp_path / "take.wav", *typed))
        for track, noise in zip(report["noise"]["tracks"], order, strict=True):
            check_noise(track, noise)
        assert report["renderings"][0]["undo"]["auto"]["ceiling_db"] == pytest.approx(expected, abs=CEILING_BAR_DB)


def test_what_the_other_strings_would_allow_is_told(program: Program, tmp_path: Path) -> None:
    """Hum that drowns A1 whole stops every ceiling; without that string the sums allow more."""
    music, noise = string_music(), Noise(level_db=-125.0, lines=((1, -74.0),))
    judge = Judge(music, noise)
    assert judge.ceiling_db() == 1.0
    drowned = [hz for hz, level in zip(judge.places, judge.levels, strict=True) if level < 10 * judge.noise_in(judge.ear(hz), np.ones_like)]
    assert drowned == [55.0]
    judge.places, judge.levels = judge.places[1:], judge.levels[1:]
    take = music + noise.samples(5)
    auto = rendered(program, tmp_path, take)["renderings"][0]["undo"]["auto"]
    assert auto["ceiling_db"] == 1.0 and [place[0] for place in auto["drowned"]] == ["A1"]
    assert auto["others_db"] == pytest.approx(judge.ceiling_db(), abs=CEILING_BAR_DB) and auto["others_db"] > 4


def test_hum_stops_it_and_is_told(program: Program, tmp_path: Path) -> None:
    take = string_music() + Noise(lines=((1, -60.0),)).samples(5)
    auto = rendered(program, tmp_path, take)["renderings"][0]["undo"]["auto"]
    assert not auto["used"] and auto["hum_hz"] == pytest.approx(50, abs=0.05)
    assert auto["without_hum_db"] > auto["ceiling_db"] + 10
    typed = ["--pickup", "680p", "--recorded-through", "56k", "--load", "none", "--instrument", "guitarron", "--overwrite"]
    said = program("render", tmp_path / "take.wav", *typed, "-o", tmp_path / "out.wav")
    assert "--undo-ceiling auto would be 1.0 dB: hum at 50 Hz stops it" in said
    assert "take the hum out first, then undo" in said


def test_an_undo_comes_down_again(program: Program, tmp_path: Path) -> None:
    """Butterworth's high-pass behind the undo, by its formula; its cost at the lowest string as told."""
    take = np.zeros(4 * RATE)
    take[0] = 0.25
    for part in (0.25, 0.5):
        report = rendered(program, tmp_path, take, "--undo-floor", str(part))
        out = sound.read(tmp_path / "out.wav")[1][:, 0]
        hz = np.fft.rfftfreq(take.size, 1 / RATE)
        k = np.abs(np.fft.rfft(out)) / 0.25
        keep = (hz > 5) & (hz < 20e3)
        corner = 1 / (2 * np.pi * OHMS * FARADS)
        lower = corner * 10 ** (-24 / 20)
        undo = (hz[keep] ** 2 + corner**2) / (hz[keep] ** 2 + lower**2)
        high_pass = 1 / (1 + (part * 55 / hz[keep]) ** 4)
        assert np.abs(20 * np.log10(k[keep]) - 10 * np.log10(undo * high_pass)).max() < 0.01
        told = report["renderings"][0]["undo"]
        assert told["undo_floor_hz"] == pytest.approx(part * 55)
        assert told["undo_floor_costs_db"] == pytest.approx(10 * math.log10(1 + part**4), abs=1e-9)
        assert told["undo_floor_costs_db"] < 0.3


# Netlists of `tests/reference` and the files of setups beside them, each written by hand: transformers with and without the losses of a core, blocking
# capacitors, boxes in front.
CHAINS = [
    "p1n_transformer_core",
    "p680p_blocking",
    "p680p_transformer_winding",
    "p680p_transformer_whole",
    "p680p_transformer_behind_blocking",
    "thru_before",
]


def johnson(folder: Path, parts: str, nodes: str) -> float:
    """`onoise_total` of ngspice's `.noise` from 20 Hz to 20 kHz at 20 °C: the noise node, and the source it counts against."""
    if not shutil.which("ngspice"):
        pytest.fail("ngspice is not installed: apt-get install ngspice", pytrace=False)
    netlist = f"* noise\n{parts}\n.options temp=20 tnom=20\n.control\nnoise {nodes} dec 200 20 20k\nsetplot noise2\nprint onoise_total\nquit\n.endc\n.end\n"
    (folder / "noise.cir").write_text(netlist)
    done = subprocess.run(["ngspice", "-b", "noise.cir"], cwd=folder, capture_output=True, text=True, check=False)
    line = next(line for line in done.stdout.splitlines() if line.startswith("onoise_total"))
    return float(line.split("=")[1])


@pytest.mark.parametrize("name", CHAINS)
def test_johnson_noise_of_whole_chains_is_ngspices(program: Program, tmp_path: Path, name: str) -> None:
    reference = Path(__file__).parents[1] / "reference"
    lines = (reference / f"{name}.cir").read_text().splitlines()
    parts = [line for line in lines if line[0] not in "*."]
    expected = johnson(tmp_path, "\n".join(parts), "v(terminal) Voc")
    # What is heard there is what the take was recorded through.
    setups = (reference / f"{name}.toml").read_text()
    head, heard = setups.split("[[setup]]", 1)
    head = "\n".join(line for line in head.splitlines() if not line.startswith("recorded"))
    chain = heard.split("\n", 2)[2]
    (tmp_path / "take.toml").write_text(f"{head}\n[recorded]\n{chain}\n[[setup]]\nname = 'nothing'\nload = 'none'\n")
    sound.write_float32(tmp_path / "take.wav", RATE, Noise().samples(6))
    report = json.loads(program("render", tmp_path / "take.wav", "--setups", tmp_path / "take.toml", "--json", "-o", tmp_path / "out/"))
    assert abs(20 * math.log10(report["noise"]["tracks"][0]["thermal_volts"] / expected)) < 0.05


@pytest.mark.parametrize("named", ["typed", "file", "both"])
def test_full_scale_is_what_the_kit_says_of_the_interface(program: Program, tmp_path: Path, named: str) -> None:
    """White noise of a known density in volts against `4kTR` behind the RC, in closed form."""
    (tmp_path / "kit.toml").write_text("version = 1\n[[box]]\nname = 'desk'\ninput = '1M'\nin_dbu_at_full_scale = '-20 dBu'\n[[box]]\nname = 'tuner'\ninput = '22M'\n")
    sound.write_float32(tmp_path / "take.wav", RATE, Noise().samples(6))
    (tmp_path / "take.toml").write_text("version = 5\nname = 'Take'\npickup = '1n'\n[recorded]\nchain = ['desk']\n[[setup]]\nname = 'nothing'\nload = 'none'\n")
    typed = {
        "typed": ["--pickup", "1n", "--recorded-through", "desk || tuner", "--load", "none"],
        "file": ["--setups", tmp_path / "take.toml"],
        "both": ["--pickup", "1n", "--recorded-through", "desk", "--load", "none", "--in-dbu-at-full-scale", "-10 dBu"],
    }[named]
    report = json.loads(program("render", tmp_path / "take.wav", *typed, "--kit", tmp_path / "kit.toml", "--json", "-o", tmp_path / ("out/" if named == "file" else "out.wav")))
    ohms = 1 / (1e-6 + 1 / 22e6) if named == "typed" else 1e6
    hz = np.geomspace(20, 20e3, 20001)
    thermal = np.trapezoid(4 * 1.380649e-23 * 293.15 * ohms / (1 + (2 * np.pi * hz * ohms * 1e-9) ** 2), hz)
    dbu = -10 if named == "both" else -20
    floor_v2 = 10**-13.5 * (20e3 - 20) * 2 * 0.6 * 10 ** (dbu / 10)
    assert report["noise"]["tracks"][0]["above_thermal_db"] == pytest.approx(10 * math.log10(floor_v2 / thermal), abs=0.3)


# Of five circuits: the options, and the network seen from where the box listens.
JOHNSON = [
    ("p680", ["--pickup", "680p"], "56k", "Rload out 0 56k\nCp out 0 680p"),
    ("leak", ["--pickup", "1n", "--leakage", "33M"], "1M", "Rload out 0 1meg\nCp out 0 1n\nRleak out 0 33meg"),
    ("cable", ["--pickup", "200p"], "10M || 6 m", "Rload out 0 10meg\nCp out 0 200p\nCc out 0 600p"),
    ("parallel", ["--pickup", "4n7"], "470k || 1M", "R1 out 0 470k\nR2 out 0 1meg\nCp out 0 4.7n"),
    ("inputs", ["--pickup", "1n"], "1M || 220p || 22M", "R1 out 0 1meg\nR2 out 0 22meg\nC2 out 0 220p\nCp out 0 1n"),
]


@pytest.mark.parametrize("index", range(len(JOHNSON)))
def test_johnson_noise_is_ngspices(program: Program, tmp_path: Path, index: int) -> None:
    _, pickup, load, parts = JOHNSON[index]
    # A source that only says against what ngspice counts; it hangs on a capacitance that is nothing.
    expected = johnson(tmp_path, f"{parts}\nVin in 0 dc 0 ac 1\nCin in out 1e-21", "v(out) Vin")
    sound.write_float32(tmp_path / "take.wav", RATE, Noise().samples(6))
    typed = [*pickup, "--recorded-through", load, "--load", "none", "--json", "--overwrite", "--in-dbu-at-full-scale", "-20 dBu"]
    report = json.loads(program("render", tmp_path / "take.wav", *typed, "-o", tmp_path / "out.wav"))
    track = report["noise"]["tracks"][0]
    assert abs(20 * math.log10(track["thermal_volts"] / expected)) < 0.05
    # White noise of -135 dB per hertz over 20 kHz; a sine at full scale, -20 dBu, has a mean square of one half.
    floor_v2 = 10**-13.5 * (20e3 - 20) * 2 * 0.6 * 10**-2
    assert track["above_thermal_db"] == pytest.approx(10 * math.log10(floor_v2 / expected**2), abs=0.3)
