"""A display that nobody sees, and a hand on its pointer and keyboard (XTEST, by xdotool): what a person does, a window cannot tell
from it."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np
import pytest
from numpy.typing import NDArray

SIZE = (1600, 1000)


class Display:
    """One of X11."""

    def __init__(self, name: str) -> None:
        self.name = name

    def find(self, title: str) -> int | None:
        """The window that is seen with exactly this title."""
        found = self._hand("search", "--onlyvisible", "--name", f"^{title}$", fails=True).split()
        return int(found[0]) if found else None

    def place(self, window: int) -> tuple[int, int, int, int]:
        """Left, top, width and height of a window on the screen."""
        told = dict(line.split("=") for line in self._hand("getwindowgeometry", "--shell", str(window)).split())
        left, top, width, height = (int(told[name]) for name in ("X", "Y", "WIDTH", "HEIGHT"))
        return left, top, width, height

    def picture(self, window: int) -> NDArray[np.uint8]:
        """What is seen where a window is: height x width x red, green, blue."""
        left, top, width, height = self.place(window)
        source = ["-f", "x11grab", "-draw_mouse", "0", "-video_size", f"{width}x{height}", "-i", f"{self.name}+{left},{top}"]
        command = ["ffmpeg", "-v", "error", *source, "-frames:v", "1", "-f", "rawvideo", "-pix_fmt", "rgb24", "-"]
        data = subprocess.run(command, capture_output=True, timeout=60, check=True).stdout
        return np.frombuffer(data, dtype=np.uint8).reshape(height, width, 3)

    def is_drawn(self, window: int) -> bool:
        """Text has more colours than a plain background, all over a window's area."""
        return all(len(np.unique(half.reshape(-1, 3), axis=0)) >= 8 for half in np.array_split(self.picture(window), 2))

    def point_at(self, window: int, right: int, down: int) -> None:
        """Moves the pointer to a place in a window."""
        self._hand("mousemove", "--window", str(window), str(right), str(down))

    def press(self, key: str) -> None:
        """Presses a key, by X11's name, and lets it go; whichever window has the keyboard gets it."""
        self._hand("key", key)

    def _hand(self, *words: str, fails: bool = False) -> str:
        command = ["xdotool", *words]
        environment = os.environ | {"DISPLAY": self.name}
        done = subprocess.run(command, env=environment, capture_output=True, text=True, timeout=60, check=False)
        assert fails or done.returncode == 0, f"{command}: {done.stderr}"
        return done.stdout


@contextmanager
def display() -> Iterator[Display]:
    """A new one."""
    missing = [name for name in ("Xvfb", "xdotool", "ffmpeg") if shutil.which(name) is None]
    if missing:
        pytest.fail(f"{missing} are missing; install them: sudo apt-get install xvfb xdotool ffmpeg", pytrace=False)
    screen = "x".join(map(str, (*SIZE, 24)))
    command = ["Xvfb", "-displayfd", "1", "-screen", "0", screen, "-nolisten", "tcp"]
    server = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
    try:
        # It says which number it found free once it is ready.
        assert server.stdout is not None
        yield Display(f":{server.stdout.readline().strip()}")
    finally:
        server.terminate()
        server.wait()
