"""WAV in and out, and transfer functions measured from samples.

Files are written and read by scipy; 24-bit PCM, which scipy reads but does not write, is packed here
after the RIFF/WAVE format (Multimedia Programming Interface and Data Specifications 1.0, 1991).
"""

from __future__ import annotations

import struct
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.io import wavfile

Reals = NDArray[np.float64]

HIGHEST_SHARE_OF_NYQUIST = 0.907
HIGHEST_HZ = 20_000.0


def write_float32(path: Path, rate: int, frames: NDArray[np.floating[Any]]) -> None:
    """Writes `frames` (n, or n x channels) as 32-bit float."""
    wavfile.write(path, rate, frames.astype(np.float32))


def write_pcm24(path: Path, rate: int, frames: Reals) -> None:
    """Writes `frames` (n x channels, full scale 1) as 24-bit PCM."""
    whole = np.round(frames * 2**23).astype("<i4")
    assert np.abs(frames).max() < 1.0
    data = whole.reshape(-1, 1).view(np.uint8)[:, :3].tobytes()
    data += b"\0" * (len(data) % 2)
    channels = frames.shape[1]
    fmt = struct.pack("<HHIIHH", 1, channels, rate, rate * channels * 3, channels * 3, 24)
    body = b"WAVEfmt " + struct.pack("<I", len(fmt)) + fmt + b"data" + struct.pack("<I", len(data))
    path.write_bytes(b"RIFF" + struct.pack("<I", len(body) + len(data)) + body + data)


def read(path: Path) -> tuple[int, Reals]:
    """Rate, and frames (n x channels, full scale 1)."""
    rate, frames = wavfile.read(path)
    if frames.ndim == 1:
        frames = frames[:, None]
    if frames.dtype == np.float32:
        return rate, frames.astype(np.float64)
    # scipy puts 24-bit samples at the top of 32.
    assert frames.dtype == np.int32, f"unexpected sample format {frames.dtype}"
    return rate, frames.astype(np.float64) / 2**31


def sample_format(path: Path) -> tuple[int, int, int, int]:
    """Channels, rate, bits, and 1 for integer or 3 for float, read from the `fmt ` chunk.

    An extensible header (tag 0xFFFE) tells the tag at the start of its sub-format.
    """
    data = path.read_bytes()[:4096]
    at = data.index(b"fmt ") + 8
    tag, channels, rate, _, _, bits = struct.unpack_from("<HHIIHH", data, at)
    if tag == 0xFFFE:
        (tag,) = struct.unpack_from("<H", data, at + 24)
    return channels, rate, bits, tag


def bins_hz(frames: int, rate: int) -> Reals:
    """The frequencies of the real FFT's bins."""
    return np.fft.rfftfreq(frames, 1 / rate)


def band(hz: Reals, rate: int, lowest_hz: float) -> NDArray[np.bool_]:
    """Where the bar holds: from `lowest_hz` to 20 kHz or 0.907 of Nyquist, whichever is lower."""
    return (hz >= lowest_hz) & (hz <= min(HIGHEST_HZ, HIGHEST_SHARE_OF_NYQUIST * rate / 2))
