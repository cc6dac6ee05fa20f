#!/usr/bin/env python3
"""How well models hear without any grammar: dictation of the set `fit` word for word, and people's recordings.

    evaluate.py [--small] [--one-in N] [--device D] [--couchside PROGRAM] [--clips FOLDER] MODEL.bin…

The stock model hears with the full window and with 384 places at least, others with 1.5 s more than the clip. Right is a phrase of
which every word is right, numbers in digits and letters said one by one evened out. People's recordings are those of Debian's
pocketsphinx-testdata; their errors are counted for each hundred words.
"""

import json
import os
import re
import subprocess
import sys
import tempfile
import tomllib
import wave
from pathlib import Path

import numpy as np
import torch

from common import ROOT, Tokens, arguments, settings
from sound import RATE, Room, places
from texts import number
from whisper import Whisper, read_ggml

PEOPLE = Path("/usr/share/pocketsphinx/test/data")
NOISES = ("none", "babble, 10 dB")


def main():
    options = arguments(
        __doc__,
        ("--one-in", {"type": int, "default": 1, "dest": "part"}),
        ("--device", {"default": "cuda" if torch.cuda.is_available() else "cpu"}),
        ("--couchside", {"default": str(ROOT / "target" / "release" / "couchside")}),
        ("--clips", {"type": Path, "default": ROOT / ".cache" / "speech" / "fit"}),
        ("models", {"nargs": "+", "type": Path}),
    )
    clips = dictated(options)
    for file in options.models:
        sizes, filters, tensors = read_ggml(file)
        model, tokens = Whisper(sizes, tensors).to(options.device), Tokens(file)
        stock = file.name == "ggml-tiny.en.bin"
        for window in ("full", "fitted") if stock else ("fitted",):
            hear = lambda sounds: heard(model, tokens, filters, sounds, window, stock, options.device)  # noqa: E731
            line = []
            for noise in NOISES:
                of = [clip for clip in clips if clip[2] == noise]
                wrote = hear([sound for sound, *_ in of])
                right = sum(even(one) == even(written) for one, (_, written, _) in zip(wrote, of))
                line.append(f"{noise}: {right} of {len(of)} right ({100 * right / max(1, len(of)):.0f} %)")
                if os.environ.get("SHOW"):
                    for one, (_, written, _) in zip(wrote, of):
                        print("   ", "ok " if even(one) == even(written) else "-- ", written, "|", one)
            print(f"{file.stem}, {window} window: {'; '.join(line)}; {people(hear)}", flush=True)


def dictated(options):
    """The clips of single phrases: their sound, what is to be written, and their noise."""
    sets = tomllib.loads((options.benches / "sets.toml").read_text(encoding="utf-8"))
    count = 2 * sets["fit"]["dictation"]
    command = [options.couchside, "grammar", "draw", "--json", "--written", "--seed", str(sets["fit"]["seed"]), "--count", str(count)]
    command += [part for word in sets["never_said"] for part in ("--without", word)]
    with tempfile.TemporaryDirectory() as home:
        run = subprocess.run(command, check=True, env={**os.environ, "COUCHSIDE_HOME": home}, stdout=subprocess.PIPE)
    written = {one["said"]: one["written"] for line in run.stdout.splitlines() for one in json.loads(line)["utterances"]}
    clips = {noise: [] for noise in NOISES}
    for file in sorted(options.clips.glob("*/case.toml")):
        case = tomllib.loads(file.read_text(encoding="utf-8"))
        if case["kind"] == "dictation" and case["noise"] in NOISES and case.get("said") in written:
            clips[case["noise"]].append((file.with_name("speech.wav"), written[case["said"]], case["noise"]))
    return [(read(file), text, noise) for of in clips.values() for file, text, noise in of[:: options.part]]


def read(file):
    with wave.open(str(file), "rb") as sound:
        return np.frombuffer(sound.readframes(sound.getnframes()), "<i2").astype(np.float32) / 32768


def heard(model, tokens, filters, sounds, window, stock, device):
    """What the model writes of each sound, in the order given."""
    room = Room(torch.zeros(1, device=device), torch.zeros(1, 1, device=device), filters, 1, device)
    order = sorted(range(len(sounds)), key=lambda at: len(sounds[at]))
    out = [""] * len(sounds)
    batch = 1 if device == "cpu" else 32
    for first in range(0, len(order), batch):
        some = order[first : first + batch]
        longest = max(len(sounds[at]) for at in some)
        x = torch.zeros(len(some), longest, device=device)
        for row, at in enumerate(some):
            x[row, : len(sounds[at])] = torch.from_numpy(sounds[at])
        fitting = max(384, places(longest) + 128) if stock else places(longest) + 75
        wide = 1500 if window == "full" else min(1500, fitting)
        for at, one in zip(some, model.write(room.mel(x, wide), most=8 * longest // RATE + 12)):
            out[at] = tokens.text(one)
    return out


def even(text):
    """Small letters, no marks, numbers in digits, letters said one by one together."""
    words = re.sub(r"[^a-z0-9' ]", " ", text.lower().replace("°", " degrees ")).split()
    out, at = [], 0
    while at < len(words):
        value, length = number(words[at:])
        out.append(str(value) if length else words[at])
        at += max(1, length)
    text = " ".join(out)
    text = re.sub(r"\b([a-z]) (?=[a-z]\b)", r"\1", text)
    return re.sub(r"\b([a-z]+) (?=\d\b)", r"\1", text)


def people(hear):
    """The word error rate of people's recordings."""
    said = []
    for name, transcripts in [("librivox", "transcription"), ("cards", "cards.transcription")]:
        file = PEOPLE / name / transcripts
        if not file.exists():
            return "people's recordings: not here"
        for line in file.read_text().splitlines():
            words, stem = re.fullmatch(r"<s> (.*?)\s*</s> \((.*)\)", line.strip()).groups()
            said.append((read(PEOPLE / name / f"{stem}.wav"), words))
    said.append((np.fromfile(PEOPLE / "goforward.raw", "<i2").astype(np.float32) / 32768, "go forward ten meters"))
    plain = lambda text: even(re.sub(r"\bmr\b\.?", "mister", text.lower())).split()  # noqa: E731
    wrong = words = 0
    for wrote, (_, truth) in zip(hear([sound for sound, _ in said]), said):
        if os.environ.get("SHOW"):
            print("   ", truth, "|", wrote)
        wrong += distance(plain(truth), plain(wrote))
        words += len(plain(truth))
    return f"people: {100 * wrong / words:.1f} errors for each hundred words"


def distance(one, other):
    row = list(range(len(other) + 1))
    for at, word in enumerate(one, 1):
        before, row[0] = row[0], at
        for place, against in enumerate(other, 1):
            before, row[place] = row[place], min(before + (word != against), row[place] + 1, row[place - 1] + 1)
    return row[-1]


if __name__ == "__main__":
    sys.exit(main())
