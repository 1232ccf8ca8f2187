"""The VST3 bundle in a real audio workstation (Ardour 7, `workstation.py`): inserted, automated, edited in its window by hand, saved,
opened again, exported. The export is what `firstjack render` makes of the same take.

Two values are automated and *touched*: what a hand takes hold of while the transport rolls is written over from there on. The hand
hears setups, by their keys, and starts and stops the transport by the space bar in the plugin's window.

The workstation itself changes no bit: a session that hears the take as recorded exports the take. The bar is what 32-bit floats leave:
the host keeps a load as a float between 0 and 1 over the range's logarithm (2^-24 of 10^6 to 1: 8e-7 of the value, which moves the
output by less than that), and the file rounds to 2^-25 of a sample: together below -115 dB re full scale at the levels here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

import sound
from circuit import Reals
from conftest import Program
from display import display
from workstation import RATE, Session, Window, Workstation, until

BAR_DB = -115.0
SECONDS = 8
LOAD, OUTPUT, HEARD = "Setup 3 load resistance", "Output", "Heard setup"
# The host counts setups from 0, and the take as recorded behind the sixth.
AS_RECORDED, TUNER = 6.0, 2.0
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


def take() -> Reals:
    """Seeded notes of sixteen partials on the strings of a guitarrón, another on the right than on the left."""
    time = np.arange(SECONDS * RATE) / RATE
    rng = np.random.default_rng(14)
    frames = np.zeros((len(time), 2))
    for note, hz in enumerate([55.0, 73.4, 98.0, 130.8, 164.8, 110.0, 220.0, 65.4] * 2):
        since = np.maximum(time - note / 2, 0.0)
        envelope = np.where(time >= note / 2, np.exp(-3 * since) - np.exp(-400 * since), 0.0)
        for partial in range(1, 17):
            phases = 2 * np.pi * (hz * partial * since[:, None] + rng.uniform(size=2))
            frames += 0.1 / partial * envelope[:, None] * np.sin(phases)
    return frames.astype(np.float32).astype(np.float64)


def rendered(program: Program, folder: Path, load: str) -> Reals:
    """What the program makes of it."""
    sound.write_float32(folder / "take.wav", RATE, take())
    circuit = ["--pickup", "680p", "--through", "22M", "--load", load]
    out = folder / f"{load}.wav"
    program("render", folder / "take.wav", *circuit, "--no-match", "-o", out, "--quiet")
    return sound.read(out)[1]


@dataclass(frozen=True)
class Story:
    """A session before and after a hand was on the plugin's window, opened again, and what it then exported."""

    before: Session
    after: Session
    reopened: Session
    export: Reals


def play_by_hand(window: Window) -> Session:
    """The transport is started from the plugin's window; setups are heard while each of the two values has moved; it is stopped."""
    screen = window.display
    plugin = until(lambda: screen.find("Firstjack"), "the plugin's window")
    until(lambda: screen.is_drawn(plugin), "something in it")
    _, _, width, height = screen.place(plugin)
    screen.point_at(plugin, width - 20, height - 20)
    screen.press("space")
    until(window.is_rolling, "the transport, which the space bar starts")
    for seconds, key in KEYS:
        until(lambda at=seconds: window.position() > at * RATE, "the music")
        screen.press(key)
    screen.press("space")
    until(lambda: not window.is_rolling(), "the transport, which the space bar stops")
    return until(lambda: (saved := window.saved()).value(HEARD) == TUNER and saved, "what is heard, in the session")


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
def story(workstation: Workstation, untouched: Reals, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Story]:
    """From there on."""
    assert len(untouched)
    workstation.set(PLAIN, AUTOMATION)
    before = workstation.session()
    with display() as screen, workstation.window(screen) as window:
        after = play_by_hand(window)
    workstation.set({}, {})
    yield Story(before, after, workstation.session(), workstation.export(tmp_path_factory.mktemp("export") / "out.wav"))


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
    assert story.before.state() != story.after.state()
    assert story.reopened.value(HEARD) == TUNER
    assert story.reopened.value("Level match") == 0.0
    for name in AUTOMATION:
        assert story.reopened.automation(name) == story.after.automation(name)


def test_the_export_is_what_the_program_renders(program: Program, story: Story, tmp_path: Path) -> None:
    loads = {load: rendered(program, tmp_path, load) for load in ("1M", "220k")}
    quieter = 10 ** (-6 / 20)
    parts = {
        "before the load moves": (0, LOAD_MOVES[0], loads["1M"]),
        "behind": (LOAD_MOVES[1] + SETTLED, OUTPUT_MOVES[0], loads["220k"]),
        "quieter": (OUTPUT_MOVES[1] + SETTLED, SECONDS * RATE, quieter * loads["220k"]),
    }
    assert story.export.shape == take().shape
    for name, (start, end, expected) in parts.items():
        off = np.abs(story.export - expected)[start:end].max()
        print(f"{name}: {20 * np.log10(off):.1f} dB")
        assert 20 * np.log10(off) < BAR_DB, name
        # Nothing else would have done.
        assert min(np.abs(story.export - other)[start:end].max() for other in (take(), expected / 1.01)) > 1e-4
