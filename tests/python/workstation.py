"""A real audio workstation, Ardour 7 of the distribution's packages, by itself: sessions by its Lua interpreter, its window on a
display of its own, exports by its export tool.

Home and configuration are the judge's own: nothing of the machine's user is read or written. A take is put onto the track by the
session's file, since only its window can import.
"""

from __future__ import annotations

import json
import os
import shutil
import socket
import struct
import subprocess
import time
import warnings
import xml.etree.ElementTree as ElementTree
from base64 import b64decode
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

import sound
from display import Display

RATE = 48_000
# In session files times are in units of a superclock, or, for automation, in parts of a quarter, of which a new session has two a second.
TICKS = 282_240_000 // RATE
PARTS = 2 * 1920
NAME = "session"
LIBRARIES = Path("/usr/lib/ardour7")
ENVIRONMENT = {
    "LD_LIBRARY_PATH": str(LIBRARIES),
    "ARDOUR_DLL_PATH": str(LIBRARIES),
    "ARDOUR_DATA_PATH": "/usr/share/ardour7",
    "ARDOUR_CONFIG_PATH": "/etc/ardour7",
    "GTK_PATH": f"/etc/ardour7:{LIBRARIES}",
    "LIBGL_ALWAYS_SOFTWARE": "1",
}
# No questions at the start, and an engine without a sound card.
CONFIG = f"""<?xml version="1.0" encoding="UTF-8"?>
<Ardour>
  <Config>
    <Option name="hide-dummy-backend" value="0"/>
    <Option name="try-autostart-engine" value="1"/>
  </Config>
  <Extra>
    <AudioMIDISetup>
      <EngineStates>
        <State backend="None (Dummy)" driver="Normal Speed" use-buffered-io="0" device="Silence" input-device="Silence"
          output-device="Silence" sample-rate="{RATE}" buffer-size="1024" n-periods="0" input-latency="0" output-latency="0"
          input-channels="0" output-channels="0" active="1" midi-option="1 in, 1 out, Silence" lru="1"><MIDIDevices/></State>
      </EngineStates>
    </AudioMIDISetup>
  </Extra>
</Ardour>
"""
NEW = """
AudioEngine:set_backend("None (Dummy)", "", "")
local session = assert(create_session(arg[1], arg[2], tonumber(arg[3])))
local order, mode = ARDOUR.PresentationInfo.max_order, ARDOUR.TrackMode.Normal
local channels = tonumber(arg[4])
for track in session:new_audio_track(channels, 2, nil, 1, "Take", order, mode, true):iter() do
  -- Without it a mono track's insert has the two outputs of the plugin's first layout (README).
  track:set_strict_io(channels == 1)
  local plugin = ARDOUR.LuaAPI.new_plugin(session, "Firstjack", ARDOUR.PluginType.VST3, "")
  assert(not plugin:isnil(), "the plugin is not found")
  assert(track:add_processor_by_index(plugin, 0, nil, true) == 0)
  track:panner_shell():set_bypassed(true)
  -- A thread of its own connects the track to the master bus.
  for channel = 0, channels - 1 do
    local tries = 0
    while not track:output():audio(channel):connected() do
      tries = tries + 1
      assert(tries < 3000, "the track is not connected")
      ARDOUR.LuaAPI.usleep(10000)
    end
  end
end
assert(session:save_state("", false, false, false, false, false) == 0)
"""
CHANGE = """
AudioEngine:set_backend("None (Dummy)", "", "")
local session = assert(load_session(arg[1], arg[2]))
local plugin
for track in session:get_tracks():iter() do plugin = track:nth_plugin(0) end
assert(not plugin:isnil() and not plugin:to_insert():isnil(), "the plugin is not there")
local numbers, count = {{}}, 0
local controls = plugin:to_insert():plugin(0)
for index = 0, controls:parameter_count() - 1 do
  if controls:parameter_is_control(index) and controls:parameter_is_input(index) then
    numbers[controls:parameter_label(index)] = count
    count = count + 1
  end
end
local function set(name, value)
  assert(ARDOUR.LuaAPI.set_processor_param(plugin, assert(numbers[name], name), value), name)
end
local function automate(name, points)
  local _, list, _ = ARDOUR.LuaAPI.plugin_automation(plugin, assert(numbers[name], name))
  for _, point in ipairs(points) do list:add(Temporal.timepos_t(point[1]), point[2], false, true) end
  local parameter = Evoral.Parameter(ARDOUR.AutomationType.PluginAutomation, 0, numbers[name])
  plugin:to_automatable():automation_control(parameter, true):set_automation_state(ARDOUR.AutoState.Latch)
end
{}
-- The engine hands values to the plugin in its next period; what the plugin then gives to keep has them.
sleep(1)
if arg[3] then
  session:request_locate(0, false, ARDOUR.LocateTransportDisposition.MustRoll, ARDOUR.TransportRequestSource.TRS_UI)
  while session:transport_sample() < tonumber(arg[3]) do ARDOUR.LuaAPI.usleep(10000) end
  session:request_stop(false, false, ARDOUR.TransportRequestSource.TRS_UI)
  sleep(1)
end
assert(session:save_state("", false, false, false, false, false) == 0)
"""


def until(condition: Callable[[], Any], what: str, seconds: float = 60.0) -> Any:
    """What a condition comes to, once it is true of something."""
    end = time.monotonic() + seconds
    while not (value := condition()):
        assert time.monotonic() < end, f"{what}: not within {seconds:g} s"
        time.sleep(0.02)
    return value


class Session:
    """What stands in a session's file."""

    def __init__(self, file: Path) -> None:
        self.root = ElementTree.parse(file).getroot()
        (self.plugin,) = self.root.iterfind(".//Route/Processor[@type='vst3']")
        (self.route,) = [x for x in self.root.iterfind(".//Route") if self.plugin in list(x)]

    def value(self, name: str) -> float:
        """A parameter's, in the plain units that the host shows."""
        return float(self._control(name).attrib["value"])

    def automation(self, name: str) -> list[tuple[int, float]]:
        """Frames and values of a parameter's automation."""
        number = self._control(name).attrib["parameter"]
        (events,) = self.plugin.iterfind(f"Automation/AutomationList[@automation-id='parameter-{number}']/events")
        words = (events.text or "").split()
        frames = [int(word.removeprefix("b")) * RATE // PARTS for word in words[::2]]
        return list(zip(frames, map(float, words[1::2]), strict=True))

    def state(self) -> dict[str, Any]:
        """What the plugin gave the host to keep: JSON behind the host's header."""
        chunk = b64decode(self.plugin.findtext("vst3/chunk") or "")
        state, _ = json.JSONDecoder().raw_decode(chunk[chunk.index(b'{"version"') :].decode(errors="replace"))
        return state

    def window(self) -> str:
        """The name by which the workstation knows the plugin's window."""
        return f"P-{self.route.attrib['id']}-{self.plugin.attrib['id']}"

    def _control(self, name: str) -> ElementTree.Element:
        (control,) = self.plugin.iterfind(f"Controllable[@name='{name}']")
        return control


class Workstation:
    """One, with one session."""

    def __init__(self, folder: Path, bundle: Path) -> None:
        if not (LIBRARIES / "luasession").exists() or shutil.which("ardour7-export") is None:
            pytest.fail("Ardour 7 is missing; install it: sudo apt-get install --no-install-recommends ardour", pytrace=False)
        self.home, self.folder = folder / "home", folder / NAME
        self.config = self.home / ".config" / "ardour7"
        self.config.mkdir(parents=True)
        # Which says that its user has been asked already where sessions lie.
        (self.config / ".a7").touch()
        (self.config / "config").write_text(CONFIG)
        # Its caches know bundles by their times, which a copy of its own does not share.
        copy = self.home / ".vst3" / bundle.name
        shutil.copytree(bundle, copy)
        own = {name: value for name, value in os.environ.items() if not name.startswith("XDG_")}
        self.environment = own | ENVIRONMENT | {"HOME": str(self.home)}
        self._run(LIBRARIES / "ardour-vst3-scanner", "--force", "--quiet", copy)

    @property
    def file(self) -> Path:
        """The session's."""
        return self.folder / f"{NAME}.ardour"

    def session(self) -> Session:
        """As it is on the disk."""
        return Session(self.file)

    def make(self, take: NDArray[np.floating[Any]]) -> None:
        """A session of a take on a mono or stereo track with the plugin on it."""
        frames, channels = take.shape
        self._lua(NEW, self.folder, NAME, RATE, channels)
        tree = ElementTree.parse(self.file)
        root = tree.getroot()
        last = int(root.attrib["id-counter"])
        root.set("id-counter", str(last + 10))
        sources = {}
        for channel, name in enumerate(["take.wav"] if channels == 1 else ["take%L.wav", "take%R.wav"]):
            sound.write_float32(self.folder / "interchange" / NAME / "audiofiles" / name, RATE, take[:, channel])
            sources[f"source-{channel}"] = str(last + 1 + channel)
            source = {"name": name, "type": "audio", "flags": "", "id": sources[f"source-{channel}"], "channel": "0"}
            ElementTree.SubElement(root.find("Sources"), "Source", source | {"origin": "", "gain": "1"})
        off = dict.fromkeys(["muted", "fade-in-active", "fade-out-active", "envelope-active", "hidden"], "0")
        place = {"start": "a0", "length": f"a{frames * TICKS}@a0", "sync-position": "a0", "layering-index": "0"}
        kind = {"name": "take", "id": str(last + 3), "type": "audio", "channels": str(channels), "opaque": "1", "scale-amplitude": "1"}
        more = {"first-edit": "nothing", "whole-file": "0"} | {f"master-{key}": value for key, value in sources.items()}
        ElementTree.SubElement(root.find("Playlists/Playlist"), "Region", off | place | kind | more | sources)
        whole = {"id": str(last + 4), "name": "session", "start": "a0", "end": f"a{frames * TICKS}"}
        ElementTree.SubElement(root.find("Locations"), "Location", whole | {"flags": "IsSessionRange", "locked": "0"})
        tree.write(self.file, encoding="UTF-8", xml_declaration=True)

    def set(self, values: dict[str, float], automation: dict[str, list[tuple[int, float]]], played: int = 0) -> None:
        """Parameters by their names; automation that is played, and written over from where a hand takes hold of it (*latch*). Then that
        many frames are played from the start on."""
        lines = [f'set("{name}", {value})' for name, value in values.items()]
        for name, points in automation.items():
            table = ", ".join(f"{{{frame}, {value}}}" for frame, value in points)
            lines.append(f'automate("{name}", {{{table}}})')
        self._lua(CHANGE.format("\n".join(lines)), self.folder, NAME, *([played] if played else []))

    def export(self, to: Path) -> NDArray[np.float64]:
        """The session's range through the master bus in 32-bit float, which is neither dithered nor normalised."""
        command = ["ardour7-export", "-b", "float", "-s", RATE, "-o", to, self.folder, NAME]
        # Two in some 80 stood still before their first block, on a machine with five times the work that it can do; why was not found.
        try:
            self._run(*command, seconds=60)
        except subprocess.TimeoutExpired:
            warnings.warn("an export that stood still was begun again", stacklevel=2)
            self._run(*command)
        rate, frames = sound.read(to)
        assert (rate, sound.sample_format(to)[2:]) == (RATE, (32, 3))
        return frames

    @contextmanager
    def window(self, display: Display) -> Iterator[Window]:
        """The workstation's window with the plugin's, until it is left without unsaved changes."""
        self._prepare_window()
        url = self.config / "osc_url"
        url.touch()
        environment = self.environment | {"DISPLAY": display.name}
        (program,) = LIBRARIES.glob("ardour-7*")
        command = [program, "--no-announcements", "--no-splash", self.file]
        with (self.home / "window.log").open("w") as log:
            running = subprocess.Popen(command, env=environment, stdout=log, stderr=log)
        try:
            told = until(lambda: url.exists() and url.read_text(), "the workstation")
            opened = Window(self, display, int(told.rstrip("/").rpartition(":")[2]))
            yield opened
            opened.ask("/access_action", "Common/Quit")
            opened.socket.close()
            assert running.wait(timeout=60) == 0
        finally:
            with suppress(ProcessLookupError):
                running.kill()
            running.wait()

    def _prepare_window(self) -> None:
        """The plugin's window is to be open, the workstation to be asked by OSC; which engine it had is not to be asked about."""
        tree = ElementTree.parse(self.file)
        root = tree.getroot()
        for hint in root.findall("EngineHints"):
            root.remove(hint)
        (osc,) = root.iterfind("ControlProtocols/Protocol[@name='Open Sound Control (OSC)']")
        osc.attrib.update({"active": "1", "address-only": "0"})
        for extra in root.findall("Extra"):
            root.remove(extra)
        window = {"name": self.session().window(), "visible": "1", "x-off": "0", "y-off": "0", "custom-ui": "1"}
        windows = ElementTree.SubElement(ElementTree.SubElement(root, "Extra"), "UI")
        ElementTree.SubElement(windows, "Window", window | {"x-size": "960", "y-size": "674"})
        tree.write(self.file, encoding="UTF-8", xml_declaration=True)

    def _lua(self, script: str, *arguments: Any) -> None:
        file = self.home / "script.lua"
        file.write_text(script)
        self._run(LIBRARIES / "luasession", file, *arguments)

    def _run(self, *command: Any, seconds: float = 120) -> None:
        words = [str(x) for x in command]
        done = subprocess.run(words, env=self.environment, capture_output=True, text=True, timeout=seconds, check=False)
        told = f"{done.stdout}{done.stderr}"
        # Its interpreter ends well whatever the script did.
        assert done.returncode == 0 and "Error:" not in told, f"{command}: exit code {done.returncode}\n{told}"


class Window:
    """The workstation's window, open."""

    def __init__(self, workstation: Workstation, display: Display, port: int) -> None:
        self.workstation, self.display = workstation, display
        self.socket = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self.socket.settimeout(30)
        self.socket.connect(("127.0.0.1", port))

    def ask(self, address: str, *words: str) -> None:
        """Sends one OSC message (OSC 1.0: texts end with one to four zeros, to a multiple of four)."""
        texts = [address, "," + "s" * len(words), *words]
        self.socket.send(b"".join(text.encode() + bytes(4 - len(text) % 4) for text in texts))

    def position(self) -> int:
        """The frame that the transport is at."""
        return int(self._told("/transport_frame", "q"))

    def is_rolling(self) -> bool:
        """Whether the transport moves."""
        return self._told("/transport_speed", "d") != 0

    def _told(self, address: str, kind: str) -> float:
        """The number at the end of the answer to a question, of eight bytes."""
        self.ask(address)
        answer = self.socket.recv(1024)
        assert answer.startswith(address.encode()), answer
        (number,) = struct.unpack(f">{kind}", answer[-8:])
        return number

    def saved(self) -> Session:
        """Saves the session, as its menu does."""
        file = self.workstation.file
        before = file.stat().st_mtime_ns
        self.ask("/access_action", "Common/Save")
        until(lambda: file.exists() and file.stat().st_mtime_ns != before, "saving")
        return self.workstation.session()
