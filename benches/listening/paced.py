#!/usr/bin/env python3
"""Listening at the speed of speech, with the program as it is run.

  paced.py answers            how long after the last word the answer is there, over the sample recordings
  paced.py hour [MINUTES]     whether sound is lost while another program keeps a core busy: PulseAudio plays the samples into
                              a microphone that is not there, and couchside listens to it (an hour if nothing else is said)

It measures and fails nothing. Needs pulseaudio and pulseaudio-utils for `hour`.
"""

import json
import os
import random
import signal
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import wave
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
COUCHSIDE = os.environ.get("COUCHSIDE", str(ROOT / "target/release/couchside"))
RATE = 16_000
GAP_S = 3
SEED = 20_261_127


def samples():
    """The recordings of one utterance each, by name."""
    whole = [path for path in sorted((ROOT / "audio-samples").glob("*/speech.wav")) if "assessment" not in str(path)]
    found = {}
    for path in whole:
        with wave.open(str(path)) as file:
            assert (file.getframerate(), file.getnchannels(), file.getsampwidth()) == (RATE, 1, 2), path
            found[path.parent.name] = file.readframes(file.getnframes())
    return found


def write(path, clips):
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, RATE, 0, "NONE", ""))
        for clip in clips:
            file.writeframes(clip + bytes(2 * RATE * GAP_S))


class Listening:
    """The program, in a record of its own; its events with the time at which each came."""

    def __init__(self, home, words, **environment):
        (home / "passphrase").write_text("a long throw-away passphrase\n")
        self.environment = os.environ | environment | {
            "COUCHSIDE_HOME": str(home),
            "COUCHSIDE_PASSPHRASE_FILE": str(home / "passphrase"),
        }
        subprocess.run([COUCHSIDE, "record", "new"], env=self.environment, check=True, capture_output=True)
        self.process = subprocess.Popen(
            [COUCHSIDE, "listen", "--client", "demo-1", "--json", *words],
            env=self.environment, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
        )
        self.events = []
        self.reader = threading.Thread(target=self.read)
        self.reader.start()

    def read(self):
        for line in self.process.stdout:
            self.events.append((time.monotonic(), json.loads(line)))

    def wait(self):
        self.process.wait()
        self.reader.join()


def answers():
    named = samples()
    # What leaves the side out comes first: later it would be carried over.
    incomplete = [clip for name, clip in named.items() if name.endswith("side-not-said")]
    clips = [clip for name, clip in named.items() if not name.endswith("side-not-said")]
    random.Random(SEED).shuffle(clips)
    clips = incomplete + clips
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        write(home / "visit.wav", clips)
        listening = Listening(home, ["--realtime", "--from", str(home / "visit.wav")])
        listening.wait()
    # The sound begins when what is said at the beginning has been said.
    began = listening.events[0][0]
    times = {"whole findings": [], "incomplete findings": [], "control words": []}
    for at, (came, event) in enumerate(listening.events):
        if event["event"] != "heard":
            continue
        late = came - began - event["end_s"]
        then = {follows["event"] for _, follows in listening.events[at + 1 : at + 4]}
        kind = "whole findings" if "proposed" in then else "control words"
        if "asked" in then:
            kind = "incomplete findings"
        times[kind].append(1000 * late)
    print("from the end of the last word to the answer, ms, in a session at the speed of speech")
    for kind, late in times.items():
        if late:
            print(f"  {kind:22} {len(late):3}   median {statistics.median(late):5.0f}   longest {max(late):5.0f}")


def hour(minutes):
    clips = samples()
    order = random.Random(SEED)
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        socket = home / "native"
        there = {"XDG_RUNTIME_DIR": folder, "HOME": folder, "PULSE_SERVER": f"unix:{socket}"}
        modules = [
            f"module-native-protocol-unix socket={socket} auth-anonymous=1",
            "module-null-sink sink_name=room rate=48000",
            "module-null-sink sink_name=desk rate=48000",
            "module-remap-source master=desk.monitor source_name=microphone",
        ]
        server = subprocess.Popen(
            ["pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--log-level=0", "--use-pid-file=no",
             *(word for module in modules for word in ("-L", module))],
            env=os.environ | there, stderr=subprocess.DEVNULL,
        )
        busy = subprocess.Popen([sys.executable, "-c", "while True: pass"])
        try:
            for words in (["info"], ["set-default-sink", "room"], ["set-default-source", "microphone"]):
                while subprocess.run(["pactl", *words], env=os.environ | there, capture_output=True).returncode:
                    time.sleep(0.1)
            models = os.environ.get("COUCHSIDE_MODELS", str(Path.home() / ".local/share/couchside/models"))
            listening = Listening(home, ["--microphone", "pulse"], COUCHSIDE_MODELS=models, **there)
            while not listening.events:
                time.sleep(0.1)
            ends, played = time.monotonic() + 60 * minutes, 0
            clip = home / "clip.wav"
            while time.monotonic() < ends and listening.process.poll() is None:
                write(clip, [clips["confirm"] if played % 4 == 3 else clips[order.choice(sorted(clips))]])
                subprocess.run(["paplay", "--device=desk", str(clip)], env=os.environ | there, check=True)
                played += 1
                if played % 60 == 0:
                    print(f"  {minutes - (ends - time.monotonic()) / 60:4.1f} minutes", file=sys.stderr)
            listening.process.send_signal(signal.SIGINT)
            listening.wait()
        finally:
            busy.kill()
            server.kill()
    count = {name: sum(event["event"] == name for _, event in listening.events)
             for name in ("heard", "aside", "unclear", "proposed", "recorded")}
    notices = [event["text"] for _, event in listening.events if event["event"] == "notice"]
    print(f"{minutes} minutes into a sound server's microphone, a core busy beside: {played} phrases said")
    print("  " + ", ".join(f"{name} {number}" for name, number in count.items()))
    print(f"  notices: {len(notices)}" + "".join(f"\n    {text}" for text in notices))


match sys.argv[1:]:
    case ["answers"]:
        answers()
    case ["hour"]:
        hour(60)
    case ["hour", minutes]:
        hour(float(minutes))
    case _:
        sys.exit(__doc__)
