"""The VST3 bundle in a real audio workstation (Ardour 7, `workstation.py`): inserted on stereo and mono tracks, automated, edited in its
window by hand, saved, opened again, exported. The export is what `firstjack render` makes of the same take.

Two values are automated and *latched*: what a hand takes hold of while the transport rolls is written over from there to the stop. The
hand hears setups, by their keys, and starts and stops the transport by the space bar in the plugin's window.

The workstation itself changes no bit: a session that hears the take as recorded exports the take. The bar is what is left: the host
keeps a load as a 32-bit float between 0 and 1 over the range's logarithm (2^-24 of 10^6 to 1: 8e-7 of the value; a change of dR in R
moves a high-pass by at most half of dR/R, so a take of a quarter of full scale by 1e-7, -140 dB), and both files round to such floats
(2^-26 below half of full scale, -156 dB).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import pyloudnorm
import pytest

import sound
from circuit import Reals
from conftest import Program
from display import display
from workstation import RATE, Session, Window, Workstation, until

# The workstation's files tell more than scipy reads.
pytestmark = pytest.mark.filterwarnings("ignore::scipy.io.wavfile.WavFileWarning")

BAR_DB = -140.0
MATCHED_LU = 0.3
METER = pyloudnorm.Meter(RATE)
SECONDS = 8
LOAD, OUTPUT, HEARD = "Setup 3 load resistance", "Output", "Heard setup"
# The host counts setups from 0, and the take as recorded behind the sixth.
AS_RECORDED, BOX, COMBO, TUNER = 6.0, 0.0, 1.0, 2.0
PLAIN = {"Level match": 0.0}
# From frame to frame they move, and rest before and behind.
LOAD_MOVES, OUTPUT_MOVES = (2 * RATE, 4 * RATE), (5 * RATE, 7 * RATE)
AUTOMATION = {
    LOAD: [(0, 1e6), (LOAD_MOVES[0], 1e6), (LOAD_MOVES[1], 220e3), (SECONDS * RATE, 220e3)],
    OUTPUT: [(0, 0.0), (OUTPUT_MOVES[0], 0.0), (OUTPUT_MOVES[1], -6.0), (SECONDS * RATE, -6.0)],
}
# What is pressed when, in seconds: while one value moves, and while the other does.
KEYS = [(2.3, "2"), (2.7, "3"), (3.1, "1"), (3.5, "3"), (5.3, "2"), (5.7, "1"), (6.1, "2"), (6.5, "3")]
# After a change the sound goes over within 30 ms, and forgets what was before with its slowest pole, of 1 kHz.
SETTLED = RATE // 4


@cache
def take() -> Reals:
    """Seeded notes of twelve partials on the strings of a guitarrón, another on the right than on the left."""
    rng = np.random.default_rng(14)
    frames = np.zeros((SECONDS * RATE, 2))
    since = np.arange(RATE) / RATE
    envelope = 0.1 * (np.exp(-5 * since) - np.exp(-400 * since)) * np.cos(np.pi / 2 * since)
    for note in range(2 * SECONDS - 1):
        hz = [55.0, 73.4, 98.0, 130.8, 164.8, 110.0, 220.0, 65.4][note % 8]
        partials = np.arange(1, 13)[:, None, None]
        waves = np.sin(2 * np.pi * (hz * partials * since[:, None] + rng.uniform(size=(12, 1, 2)))) / partials
        frames[note * RATE // 2 :][:RATE] += envelope[:, None] * waves.sum(axis=0)
    return frames.astype(np.float32).astype(np.float64)


def rendered(program: Program, folder: Path, load: str, frames: Reals, *more: str) -> Reals:
    """What the program makes of a take."""
    sound.write_float32(folder / "take.wav", RATE, frames)
    circuit = ["--pickup", "680p", "--recorded-through", "22M", "--load", load]
    out = folder / f"{load}.wav"
    program("render", folder / "take.wav", *circuit, *more, "-o", out, "--quiet")
    return sound.read(out)[1]


@dataclass(frozen=True)
class Story:
    """A session before and after a hand was on the plugin's window, opened again, and what it then exported."""

    before: Session
    after: Session
    reopened: Session
    export: Reals


def play(window: Window, keys: list[tuple[float, str]]) -> None:
    """The transport is started from the plugin's window, keys are pressed at times in the music, and it is stopped."""
    screen = window.display
    plugin = until(lambda: screen.find("Firstjack"), "the plugin's window")
    until(lambda: screen.is_drawn(plugin), "something in it")
    _, _, width, height = screen.place(plugin)
    screen.point_at(plugin, width - 20, height - 20)
    window.ask("/goto_start")
    until(lambda: window.position() == 0, "the start")
    screen.press("space")
    until(window.is_rolling, "the transport, which the space bar starts")
    for seconds, key in keys:
        until(lambda at=seconds: window.position() > at * RATE, "the music")
        screen.press(key)
    screen.press("space")
    until(lambda: not window.is_rolling(), "the transport, which the space bar stops")


@pytest.fixture(scope="module")
def workstation(bundle: Path, tmp_path_factory: pytest.TempPathFactory) -> Workstation:
    """One with the take on a track, and the plugin on the track."""
    made = Workstation(tmp_path_factory.mktemp("workstation"), bundle)
    made.make(take())
    return made


@pytest.fixture(scope="module")
def untouched(workstation: Workstation, tmp_path_factory: pytest.TempPathFactory) -> Reals:
    """What it exports before anything was changed."""
    return workstation.export(tmp_path_factory.mktemp("untouched") / "out.wav")


@pytest.fixture(scope="module")
def story(workstation: Workstation, untouched: Reals, tmp_path_factory: pytest.TempPathFactory) -> Story:
    """From there on."""
    assert len(untouched)
    workstation.set(PLAIN, AUTOMATION)
    before = workstation.session()
    with display() as screen, workstation.window(screen) as window:
        play(window, KEYS)
        after = until(lambda: (saved := window.saved()).value(HEARD) == TUNER and saved, "what is heard, in the session")
    workstation.set({}, {})
    return Story(before, after, workstation.session(), workstation.export(tmp_path_factory.mktemp("export") / "out.wav"))


def test_as_recorded_the_export_is_the_take(untouched: Reals) -> None:
    assert np.array_equal(untouched, take())


def test_a_hand_writes_over_no_automation_of_what_it_does_not_hold(story: Story) -> None:
    for name, points in AUTOMATION.items():
        written = story.before.automation(name)
        assert [frame for frame, _ in written] == [frame for frame, _ in points]
        assert [value for _, value in written] == pytest.approx([value for _, value in points])
        assert story.after.automation(name) == written, name


def test_what_was_heard_last_is_heard_when_it_is_opened_again(story: Story) -> None:
    assert story.before.value(HEARD) == AS_RECORDED
    assert story.before.state()["params"]["heard"] != story.after.state()["params"]["heard"]
    for kept in (story.after, story.reopened):
        assert (kept.value(HEARD), kept.value("Level match")) == (TUNER, 0.0)
        for key in ("heard", "match"):
            assert kept.state()["params"][key] == story.after.state()["params"][key]
        assert kept.state()["fields"]["circuit"] == story.before.state()["fields"]["circuit"]
    for name in AUTOMATION:
        assert story.reopened.automation(name) == story.after.automation(name)


def test_the_export_is_what_the_program_renders(program: Program, story: Story, tmp_path: Path) -> None:
    loads = {load: rendered(program, tmp_path, load, take(), "--no-match") for load in ("1M", "220k")}
    quieter = 10 ** (-6 / 20)
    parts = {
        "before the load moves": (0, LOAD_MOVES[0], loads["1M"]),
        "behind": (LOAD_MOVES[1] + SETTLED, OUTPUT_MOVES[0], loads["220k"]),
        "quieter": (OUTPUT_MOVES[1] + SETTLED, SECONDS * RATE, quieter * loads["220k"]),
    }
    assert story.export.shape == take().shape
    for name, (start, end, expected) in parts.items():
        off = np.abs(story.export - expected)[start:end].max()
        print(f"{name}: off by at most {off:.2g} of full scale")
        assert off < 10 ** (BAR_DB / 20), name
        # Nothing else would have done.
        assert min(np.abs(story.export - other)[start:end].max() for other in (take(), expected / 1.01)) > 1e-4


def test_opened_again_its_window_writes_what_a_hand_holds_and_nothing_else(story: Story, workstation: Workstation) -> None:
    """Which says, too, that the tests above would have seen it."""
    workstation.set({}, {HEARD: [(0, TUNER), (SECONDS * RATE, TUNER)]})
    with display() as screen, workstation.window(screen) as window:
        play(window, [(0.5, "2"), (2.5, "2")])
        saved = window.saved()
    assert COMBO in {value for _, value in saved.automation(HEARD)}
    for name in AUTOMATION:
        assert saved.automation(name) == story.before.automation(name), name


@pytest.fixture(scope="module")
def mono(bundle: Path, tmp_path_factory: pytest.TempPathFactory) -> Workstation:
    """One with the take's left channel on a mono track."""
    made = Workstation(tmp_path_factory.mktemp("mono"), bundle)
    made.make(take()[:, :1])
    return made


def test_on_a_mono_track_the_export_is_what_the_program_renders(program: Program, mono: Workstation, tmp_path: Path) -> None:
    mono.set(PLAIN | {HEARD: COMBO}, {})
    exported = mono.export(tmp_path / "out.wav")
    expected = rendered(program, tmp_path, "470k", take()[:, :1], "--no-match")[:, 0]
    for side in exported.T:
        off = np.abs(side - expected).max()
        print(f"mono: off by at most {off:.2g} of full scale")
        assert off < 10 ** (BAR_DB / 20)
    assert np.abs(expected - take()[:, 0]).max() > 1e-3


def test_matched_the_export_is_as_loud_as_what_the_program_renders(
    program: Program, bundle: Path, demo_take: Path, tmp_path: Path
) -> None:
    """Once the demo's take was played through, by a meter of ITU-R BS.1770 (pyloudnorm)."""
    frames = sound.read(demo_take)[1]
    matched = Workstation(tmp_path / "matched", bundle)
    matched.make(frames)
    matched.set({"Level match": 1.0, HEARD: AS_RECORDED}, {}, played=len(frames))
    for setup, load in (BOX, "56k"), (COMBO, "470k"), (TUNER, "1M"):
        matched.set({HEARD: setup}, {})
        exported = METER.integrated_loudness(matched.export(tmp_path / f"{load}-exported.wav")[:, :1])
        expected, plain = (
            METER.integrated_loudness(rendered(program, tmp_path, load, frames, *more))
            for more in (["--overwrite"], ["--overwrite", "--no-match"])
        )
        print(f"{load}: {exported - expected:+.2f} LU off, turned up by {expected - plain:.1f} LU")
        assert abs(exported - expected) < MATCHED_LU, load
        # Without the match it would not be.
        assert expected - plain > 3, load
