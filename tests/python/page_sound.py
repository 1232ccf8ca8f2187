"""What a page plays: its own decoder, mixer and transport, rendered by the browser offline."""

from __future__ import annotations

import base64
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from browser import Browser
from circuit import Reals

SCRIPT = Path(__file__).parents[2] / "program" / "src" / "pack" / "page" / "script"
PARTS = ["base64", "mixer", "transport", "sounds"]

# Runs `acts` (seconds of the context, what to do, with what) while the context renders.
RENDER = """
const [seconds, acts] = given;
const data = JSON.parse(document.getElementById('data').textContent);
const sounds = new Sounds(data);
for (const { key } of data.sounds) await sounds.get(key);
const { rate_hz: rate, frames, channels } = data;
const context = new OfflineAudioContext(channels, Math.round(seconds * rate), rate);
const mixer = new Mixer(context, data.sounds.map(({ key }) => key));
const transport = new Transport(frames / rate, rate);
transport.attach(mixer);
transport.setBuffers(sounds.decoded);
const does = {
    hear: (key, gain) => mixer.hear(key, gain),
    play: () => transport.play(),
    pause: () => transport.pause(),
    seek: (to) => transport.seek(to),
    join: () => transport.setBuffers(sounds.decoded),
    region: (from, to) => transport.setRegion(from, to),
    look: () => transport.look(),
};
for (const [when, act, ...values] of acts) {
    if (when === 0) does[act](...values);
    else context.suspend(when).then(() => { does[act](...values); context.resume(); });
}
const begun = transport.passes[0].start;
const rendered = await context.startRendering();
const bytes = new Uint8Array(rendered.getChannelData(0).buffer);
const pieces = [];
for (let at = 0; at < bytes.length; at += 32768) pieces.push(String.fromCharCode(...bytes.subarray(at, at + 32768)));
return { begun, samples: btoa(pieces.join('')) };
"""


@dataclass(frozen=True)
class Rendered:
    """The first channel, and the frame at which the take began."""

    samples: Reals
    begun: int


def render(browser: Browser, rate: int, seconds: float, acts: list[list[Any]]) -> Rendered:
    """Renders the open page while `acts` happen; those at 0 happen before it starts."""
    parts = "\n".join((SCRIPT / f"{part}.js").read_text(encoding="utf-8") for part in PARTS)
    got = browser.run(f"{parts}\n{RENDER}", seconds, acts)
    samples = np.frombuffer(base64.b64decode(got["samples"]), dtype="<f4").astype(np.float64)
    begun = got["begun"] * rate
    assert abs(begun - round(begun)) < 1e-6, "the take does not begin at a whole frame"
    return Rendered(samples, round(begun))
