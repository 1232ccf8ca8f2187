"""The VST3 bundle in a host that is not ours: the `pedalboard` package (built on a general-purpose host).

Parameters are found by the name that a host shows and set by the text that it shows. The sound is judged by
the analog formula of circuit.py with the bar of test_render_transfer.py: 0.004 dB up to min(20 kHz,
0.907 Nyquist), plus what rounding the output to 32-bit float may add.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from pedalboard import VST3Plugin

import sound
from circuit import Circuit, Complexes, Reals, through, undone
from conftest import Program
from test_render_transfer import check

Audio = NDArray[np.float32]

SETUPS = range(1, 7)
NAMES = [
    "Pickup capacitance",
    "Pickup inductance",
    "Recorded through resistance",
    "Recorded through capacitance",
    "Recorded through inductance",
    *(
        f"Setup {n} {what}"
        for n in SETUPS
        for what in ("load resistance", "load capacitance", "load inductance", "cable length")
    ),
    "Heard setup",
    "Undo ceiling",
    "Ceiling on every change",
    "Undo floor",
    "Level match",
    "Hold match",
    "Trim",
    "Guard",
    "Output",
    "Bypass",
]
# Nothing but the load may shape the sound: no gain, no match; the guard stays on, as it ships.
PLAIN = {"Level match": "off", "Trim": "0 dB", "Output": "0 dB", "Guard": "on", "Bypass": "off"}
PEAK = 0.25
LOWEST_HZ = 5.0


class Host:
    """One instance of the plugin."""

    def __init__(self, bundle: Path) -> None:
        self.plugin = VST3Plugin(str(bundle))
        self.by_name = {x.name: x for x in self.plugin.parameters.values()}

    def type(self, settings: dict[str, str]) -> None:
        """Sets parameters by text, each of which must then be shown as it was typed."""
        for name, text in settings.items():
            parameter = self.by_name[name]
            parameter.raw_value = parameter.get_raw_value_for_text(text)
            assert parameter.string_value == text, f"{name}: typed {text!r}"

    def shown(self) -> dict[str, str]:
        """Every parameter's text."""
        return {name: x.string_value for name, x in self.by_name.items()}

    def play(self, audio: Audio, rate: int, block: int = 512) -> Audio:
        """Output for `audio` (channels x n), after half a second of silence in which every change settles."""
        silence = np.zeros((audio.shape[0], rate // 2), dtype=np.float32)
        self.plugin.process(silence, rate, buffer_size=block, reset=True)
        out = self.plugin.process(audio, rate, buffer_size=block, reset=False)
        assert out.shape == audio.shape
        return out


@pytest.fixture
def host(bundle: Path) -> Host:
    """A fresh instance."""
    return Host(bundle)


@dataclass(frozen=True)
class Case:
    """Parameters, and the circuits that they mean."""

    take: Circuit
    heard: Circuit
    settings: dict[str, str] = field(hash=False)
    ceiling_db: float | None = None
    floor_hz: float = 0.0

    def formula(self, hz: Reals) -> Complexes:
        """K at these frequencies; below its floor Butterworth's high-pass of second order."""
        if self.ceiling_db is None:
            return through(self.take, self.heard, hz)
        s = 1j * hz
        high_pass = s**2 / (s**2 + np.sqrt(2) * self.floor_hz * s + self.floor_hz**2)
        return undone(self.take, self.ceiling_db, hz) * high_pass


def settings(
    recorded: tuple[str, str], setup: int, load: tuple[str, str, str], ceiling: str = "24 dB"
) -> dict[str, str]:
    """Texts for a take through (R, C) that is heard through (R, C, cable) in a setup's place."""
    return PLAIN | {
        "Pickup capacitance": "680 pF",
        "Recorded through resistance": recorded[0],
        "Recorded through capacitance": recorded[1],
        f"Setup {setup} load resistance": load[0],
        f"Setup {setup} load capacitance": load[1],
        f"Setup {setup} cable length": load[2],
        "Heard setup": f"Setup {setup}",
        "Undo ceiling": ceiling,
        "Undo floor": "off",
    }


P = 680e-12
CASES = {
    "apply": Case(
        Circuit(P, 22e6), Circuit(P, 470e3), settings(("22 MΩ", "0 pF"), 1, ("470 kΩ", "0 pF", "0 m"))
    ),
    "lowest load": Case(
        Circuit(P, 22e6), Circuit(P, 56e3), settings(("22 MΩ", "0 pF"), 6, ("56 kΩ", "0 pF", "0 m"))
    ),
    "cable": Case(
        Circuit(P), Circuit(P, 1e6, 750e-12), settings(("none", "0 pF"), 2, ("1 MΩ", "150 pF", "6 m"))
    ),
    "both": Case(
        Circuit(P, 1e6, 100e-12),
        Circuit(P, 56e3, 220e-12),
        settings(("1 MΩ", "100 pF"), 3, ("56 kΩ", "220 pF", "0 m")),
    ),
    "undo": Case(
        Circuit(P, 470e3),
        Circuit(P),
        settings(("470 kΩ", "0 pF"), 3, ("none", "0 pF", "0 m"), "24 dB"),
        24.0,
    ),
    "deep undo": Case(
        Circuit(P, 56e3),
        Circuit(P),
        settings(("56 kΩ", "0 pF"), 5, ("none", "0 pF", "0 m"), "12 dB"),
        12.0,
    ),
    "undo with a floor": Case(
        Circuit(P, 470e3),
        Circuit(P),
        settings(("470 kΩ", "0 pF"), 6, ("none", "0 pF", "0 m")) | {"Undo floor": "27.5 Hz"},
        24.0,
        27.5,
    ),
}


def impulse(channels: int, rate: int) -> Audio:
    """An impulse in every channel, of another size in each, and two seconds of silence."""
    audio = np.zeros((channels, 2 * rate), dtype=np.float32)
    audio[:, 0] = PEAK / 2.0 ** np.arange(channels)
    return audio


def judge(case: Case, sent: Audio, heard: Audio, rate: int) -> None:
    """Compares every channel's transfer function with the formula."""
    size = sent.shape[1]
    hz = sound.bins_hz(size, rate)
    keep = sound.band(hz, rate, LOWEST_HZ)
    for x, y in zip(sent.astype(float), heard.astype(float), strict=True):
        spectrum = np.fft.rfft(y)[keep]
        rounding = 2**-24 * np.abs(y).sum()
        allowance_db = 20 * np.log10(1 + rounding / np.abs(spectrum))
        check(spectrum / np.fft.rfft(x)[keep], case.formula(hz[keep]), allowance_db)


def test_parameters_as_a_host_lists_them(host: Host) -> None:
    assert [x for x in NAMES if x not in host.by_name] == []
    heard = host.by_name["Heard setup"]
    values = {heard.get_text_for_raw_value(x / 600) for x in range(601)}
    assert values == {f"Setup {n}" for n in SETUPS} | {"As recorded"}
    assert host.plugin.reported_latency_samples == 0
    assert host.plugin.is_effect


def test_every_shown_text_reads_back(host: Host) -> None:
    """Whatever a host shows can be typed and is shown again, all over the range."""
    assert len(host.by_name) >= len(NAMES)
    for name, parameter in host.by_name.items():
        for raw in np.linspace(0, 1, 137):
            text = parameter.get_text_for_raw_value(float(raw))
            again = parameter.get_text_for_raw_value(parameter.get_raw_value_for_text(text))
            assert again == text, name


@pytest.mark.parametrize("rate", [44_100, 48_000, 96_000])
@pytest.mark.parametrize("name", CASES)
def test_transfer_function(host: Host, name: str, rate: int) -> None:
    host.type(CASES[name].settings)
    sent = impulse(2, rate)
    judge(CASES[name], sent, host.play(sent, rate), rate)


def test_mono(host: Host) -> None:
    host.type(CASES["apply"].settings)
    sent = impulse(1, 48_000)
    judge(CASES["apply"], sent, host.play(sent, 48_000), 48_000)


def test_one_instance_through_rates_and_setups(host: Host) -> None:
    """Rate and setup change in one instance; nothing of the former stays."""
    for name, rate in (("undo", 96_000), ("apply", 44_100), ("cable", 48_000), ("deep undo", 96_000)):
        host.type(CASES[name].settings)
        sent = impulse(2, rate)
        judge(CASES[name], sent, host.play(sent, rate), rate)


@pytest.mark.parametrize(("part", "floor"), [("0.5", "27.5 Hz"), ("0.2", "11 Hz"), ("off", "off")])
def test_a_floor_is_the_programs(host: Host, program: Program, tmp_path: Path, part: str, floor: str) -> None:
    """The program's rendering with the floor at the same frequency (low A is 55 Hz, ISO 16), within -120 dB of its peak."""
    sent = noise(48_000)
    sound.write_float32(tmp_path / "take.wav", 48_000, sent.T)
    typed = ["--pickup", "680p", "--recorded-through", "470k", "--load", "none", "--instrument", "guitarron"]
    out = tmp_path / "out.wav"
    program("render", tmp_path / "take.wav", *typed, "--undo-floor", part, "--no-match", "-o", out)
    rendered = sound.read(out)[1].T
    host.type(CASES["undo with a floor"].settings | {"Undo floor": floor})
    heard = host.play(sent, 48_000)
    assert np.abs(heard - rendered).max() <= 1e-6 * np.abs(rendered).max()


def noise(frames: int) -> Audio:
    """Seeded stereo noise."""
    return np.random.default_rng(22).uniform(-0.5, 0.5, (2, frames)).astype(np.float32)


def test_block_size_changes_no_bit(host: Host) -> None:
    host.type(CASES["cable"].settings)
    outputs = [host.play(noise(20_000), 48_000, block) for block in (512, 1, 37, 8192)]
    assert np.any(outputs[0] != noise(20_000))
    for other in outputs[1:]:
        assert np.array_equal(outputs[0], other)


@pytest.mark.parametrize("silent", [{"Heard setup": "As recorded"}, {"Bypass": "on"}])
def test_as_recorded_and_bypass_change_no_bit(host: Host, silent: dict[str, str]) -> None:
    host.type(CASES["apply"].settings | silent)
    assert np.array_equal(host.play(noise(20_000), 48_000), noise(20_000))


@pytest.mark.parametrize("way", ["raw_state", "preset_data"])
def test_state_restores_parameters_and_sound(bundle: Path, way: str) -> None:
    """The host's own project state, and a VST3 preset, into an instance that knows nothing.

    State is taken after playing: a VST3 host delivers changes of an active plugin with its next block. This
    host has no event loop, so after a preset it never re-reads what it shows; the state that the plugin
    gives back tells the parameters instead.
    """
    first, second = Host(bundle), Host(bundle)
    first.type(CASES["both"].settings | {"Output": "-6 dB", "Setup 5 load resistance": "4.7 MΩ"})
    expected = first.play(noise(20_000), 48_000)
    kept = getattr(first.plugin, way)
    assert getattr(second.plugin, way) != kept
    assert second.shown() != first.shown()
    setattr(second.plugin, way, kept)
    assert getattr(second.plugin, way) == kept
    if way == "raw_state":
        assert second.shown() == first.shown()
    assert np.array_equal(second.play(noise(20_000), 48_000), expected)


def test_output_is_a_plain_gain(host: Host) -> None:
    """-6 dB by the definition of the decibel, to float rounding."""
    host.type(CASES["apply"].settings | {"Output": "-6 dB"})
    quiet = host.play(noise(20_000), 48_000).astype(float)
    host.type({"Output": "0 dB"})
    plain = host.play(noise(20_000), 48_000).astype(float)
    assert np.max(np.abs(quiet - plain * 10 ** (-6 / 20))) < 1e-6


def test_two_instances_do_not_meet(bundle: Path) -> None:
    one, two = Host(bundle), Host(bundle)
    one.type(CASES["apply"].settings)
    two.type(CASES["undo"].settings)
    sent = impulse(2, 48_000)
    heard = [x.play(sent, 48_000) for x in (one, two)]
    judge(CASES["apply"], sent, heard[0], 48_000)
    judge(CASES["undo"], sent, heard[1], 48_000)
