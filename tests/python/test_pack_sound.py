"""The sounds of a page of `firstjack pack`, decoded by libsndfile (libFLAC and libopus) as a browser would.

They must be as long as the page says, at its rate, in step with each other and with what is stored without loss to
within one sample, and off by what the program's report says: that is measured here anew with scipy.
"""

from __future__ import annotations

import base64
import io
import json
import re
from pathlib import Path
from typing import Any

import numpy as np
import pyloudnorm
import pytest
import soundfile
from scipy import signal

import sound
from conftest import Program
from sound import Reals
from test_rescue import band_db

PRESETS = Path(__file__).parents[2] / "presets"
PRESET = PRESETS / "courtyard.toml"


def take(rate: int, channels: int) -> Reals:
    """Plucked low strings with partials, and a floor of noise: three seconds."""
    rng = np.random.default_rng(1)
    t = np.arange(3 * rate) / rate
    wave = 1e-4 * rng.standard_normal(t.size)
    for start, lowest in [(0.1, 55.0), (0.9, 73.4), (1.7, 98.0), (2.3, 130.8)]:
        after = t - start
        for partial in range(1, 25):
            decay = np.where(after >= 0, np.exp(-np.maximum(after, 0) * partial / 1.5), 0)
            wave += 0.2 / partial * decay * np.sin(2 * np.pi * lowest * partial * after)
    return np.stack([wave / (1 + channel) for channel in range(channels)], axis=1)


def pack(
    program: Program, folder: Path, audio: str, *options: str, preset: Path = PRESET
) -> tuple[dict[str, Any], dict[str, Reals], dict[str, Any]]:
    """The page's data, its decoded sounds by key, and the report."""
    page = folder / f"{audio}.html"
    made = ["pack", folder / "take.wav", "--setups", preset, "--audio", audio, "-o", page, "--json", *options]
    report = json.loads(program(*made))
    html = page.read_text(encoding="utf-8")
    data = json.loads(block(html, "data"))
    sounds = {}
    for stored in data["sounds"]:
        frames, rate = soundfile.read(io.BytesIO(base64.b64decode(block(html, stored["block"]))), always_2d=True)
        assert (rate, frames.shape) == (data["rate_hz"], (data["frames"], data["channels"]))
        sounds[stored["key"]] = frames
    return data, sounds, report


def block(html: str, name: str) -> str:
    found = re.search(rf'<script type="[^"]*" id="{name}">([^<]*)</script>', html)
    assert found is not None, f"no block {name}"
    return found[1]


def lag(a: Reals, b: Reals) -> int:
    """By how many frames `b` lags behind `a`, by the peak of their cross-correlation above 1 kHz: Opus' own high-pass at 4 Hz
    turns the phase of what is lower."""
    high = signal.butter(4, 1000, "highpass", fs=48_000, output="sos")
    a, b = (signal.sosfilt(high, x[:, 0]) for x in (a, b))
    product = signal.correlate(b, a, mode="full", method="fft")
    return int(np.argmax(product)) - (a.size - 1)


def third_octaves(frames: Reals, rate: int) -> dict[int, float]:
    """Power in bands of IEC 61260-1 from 31.5 Hz to 16 kHz by their number (1000·10^(n/10) Hz)."""
    hz, density = signal.welch(frames, rate, "hann", 32_768, detrend=False, axis=0)
    density = density.sum(axis=1)
    edges = {n: (1000 * 10 ** (n / 10 - 0.05), 1000 * 10 ** (n / 10 + 0.05)) for n in range(-15, 13)}
    return {n: float(density[(hz >= low) & (hz < high)].sum()) for n, (low, high) in edges.items()}


def rounding(frames: Reals, rate: int) -> dict[int, float]:
    """The same of what rounding to 16 bits adds (a twelfth of a step squared, evenly up to half the rate): the decoder that the
    program measures with gives 16 bits, others more."""
    steps = np.random.default_rng(2).uniform(-0.5, 0.5, frames.shape) / 2**15
    return third_octaves(steps, rate)


@pytest.mark.parametrize("channels", [1, 2])
def test_opus_is_in_step_and_off_by_what_is_told(program: Program, tmp_path: Path, channels: int) -> None:
    sound.write_float32(tmp_path / "take.wav", 48_000, take(48_000, channels))
    _, exact, flac = pack(program, tmp_path, "flac")
    _, lossy, opus = pack(program, tmp_path, "opus")
    for told, same in zip(opus["sounds"], flac["sounds"], strict=True):
        was, is_ = exact[same["key"]], lossy[told["key"]]
        assert abs(lag(was, is_)) <= 1
        ratio = 10 * np.log10(np.sum(was**2) / np.sum((was - is_) ** 2))
        assert told["signal_to_error_db"] == pytest.approx(ratio, abs=0.1)
        before, after = third_octaves(was, 48_000), third_octaves(is_, 48_000)
        loudest, rounded = max(before.values()), rounding(was, 48_000)
        bands = {round(10 * np.log10(band["midband_hz"] / 1000)): band["error_db"] for band in told["bands"]}
        for number, power in before.items():
            # The edge of what counts, 60 dB below the loudest, is left out: rounding decides there.
            if abs(10 * np.log10(power / loudest) + 60) > 0.5:
                assert (number in bands) == (power > loudest * 1e-6), number
            if number in bands:
                bar = 0.03 + 10 * np.log10(1 + 2 * rounded[number] / after[number])
                assert bands[number] == pytest.approx(10 * np.log10(after[number] / power), abs=bar), number


@pytest.mark.parametrize("rate", [11_025, 44_100, 96_000])
def test_sounds_of_a_page_are_in_step_at_any_rate(program: Program, tmp_path: Path, rate: int) -> None:
    frames = take(rate, 1)
    sound.write_float32(tmp_path / "take.wav", rate, frames)
    data, sounds, report = pack(program, tmp_path, "opus")
    assert (data["rate_hz"], data["frames"]) == (48_000, 144_000)
    recorded = sounds[report["sounds"][0]["key"]]
    # The take at 48 kHz by another library.
    expected = signal.resample_poly(frames, 48_000, rate, axis=0)
    assert abs(lag(expected, recorded)) <= 1
    # Of the first order above its corner, the buffer box turns no phase.
    assert abs(lag(recorded, sounds[report["sounds"][6]["key"]])) <= 1


def test_the_rescue_is_heard_as_its_settings_say(program: Program, tmp_path: Path) -> None:
    """What the desk's bands make of the setup's sound, against the cookbook's filters; without the match, which the page's switch takes away,
    the sheet's level is heard, too."""
    noise = 0.05 * np.random.default_rng(3).standard_normal((30 * 48_000, 1))
    sound.write_float32(tmp_path / "take.wav", 48_000, noise)
    _, sounds, report = pack(program, tmp_path, "flac")
    by_name = {told["name"]: told for told in report["sounds"]}
    both = [by_name[name] for name in ("passive box", "passive box, rescued at the desk")]
    plain, rescued = (sounds[told["key"]][:, 0] for told in both)
    hz, across = signal.csd(plain, rescued, 48_000, "hann", 32_768)
    _, power = signal.welch(plain, 48_000, "hann", 32_768)
    heard_db = 20 * np.log10(np.abs(across / power))
    setups = json.loads(program("rescue", "--setups", PRESET, "--json"))["setups"]
    (setup,) = [setup for setup in setups if setup["name"] == "passive box"]
    bands = setup["bands"]
    assert len(bands) == 3
    told_db = sum(
        band_db(band["kind"], band["hz"], band["gain_db"], band["q"], hz, 48_000) for band in bands
    )
    within = (hz > 40) & (hz < 20_000)
    apart = (heard_db - told_db)[within]
    assert np.ptp(told_db[within]) > 18
    assert np.max(np.abs(apart - np.median(apart))) < 0.1
    without_match = np.median(apart) + both[0]["matching_db"] - both[1]["matching_db"]
    assert abs(setup["level_db"]) > 0.5
    assert without_match == pytest.approx(setup["level_db"], abs=0.1)


@pytest.mark.parametrize(
    ("preset", "base", "corner_hz", "lacks"),
    [
        # Four octaves above the low A of 55 Hz.
        ("courtyard.toml", "passive box", 880.0, "like the passive box, with nothing below 880 Hz"),
        # ITU-R BS.1534-3, 5.1, from memory.
        ("magnetic-single.toml", "as recorded", 3500.0, "nothing above 3.5 kHz"),
    ],
)
def test_the_anchor_lacks_what_setups_take(
    program: Program, tmp_path: Path, preset: str, base: str, corner_hz: float, lacks: str
) -> None:
    """Of a capacitive pickup lows, of a coil highs: as its base on one side of the corner, next to nothing on the other, equally loud,
    and further from the take than every setup in all that it lacks."""
    sound.write_float32(tmp_path / "take.wav", 48_000, take(48_000, 1))
    options = ["--anchor", "--rescue", "none"]
    _, sounds, report = pack(program, tmp_path, "flac", *options, preset=PRESETS / preset)
    told = {of["name"]: of for of in report["sounds"]}
    assert told["anchor"]["verdict"].startswith(f"{lacks}: ")
    meter = pyloudnorm.Meter(48_000)
    heard = {name: sounds[of["key"]] for name, of in told.items()}
    loudness = [meter.integrated_loudness(frames[:, 0]) for frames in heard.values()]
    assert np.ptp(loudness) < 0.1
    bands = {name: third_octaves(frames, 48_000) for name, frames in heard.items()}
    db = {
        name: {1000 * 10 ** (n / 10): 10 * np.log10(power) for n, power in of.items()}
        for name, of in bands.items()
    }
    lows = base != "as recorded"
    kept = [hz for hz in db["anchor"] if (hz > corner_hz * 1.3 if lows else hz < corner_hz / 1.3) and hz > 50]
    lost = [hz for hz in db["anchor"] if (hz < corner_hz / 1.3 if lows else hz > corner_hz * 1.3) and hz > 50]
    assert len(kept) > 5 and len(lost) > 5
    matched = np.array([db["anchor"][hz] - db[base][hz] for hz in kept])
    assert np.ptp(matched) < 0.3, "what it keeps is not its base's"
    setups = [name for name in db if told[name]["kind"] == "setup"]
    for hz in lost:
        assert db["anchor"][hz] < min(db[name][hz] for name in setups) - 20, hz
