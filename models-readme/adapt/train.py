#!/usr/bin/env python3
"""Trains the model on what was spoken: low.npz, a low-rank change, or full-N.npz, every weight; or both side by side.

    train.py [--small] --model GGML [--way low|full]… [--device cuda] [--minutes M]

Each batch has clips of about one length, worn by a room's noise, and an encoder window cut at random from just fitting
upwards. `--minutes` ends the training in time: the step widths fall with the time that is left.
"""

import json
import math
import time
from pathlib import Path

import numpy as np
import torch
import torch.nn.functional as F

from common import Tokens, arguments, settings
from sound import Room, places
from whisper import Whisper, read_ggml


def main():
    options = arguments(
        __doc__,
        ("--model", {"type": Path, "required": True, "help": "ggml-tiny.en.bin"}),
        ("--device", {"default": "cuda" if torch.cuda.is_available() else "cpu"}),
        ("--way", {"action": "append", "choices": ("low", "full")}),
        ("--minutes", {"type": float, "default": 60.0}),
        ("--out", {"type": Path, "help": "where the weights go; else the folder of the work"}),
    )
    wanted = settings("training", options.small)
    torch.manual_seed(wanted["seed"])
    torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True
    sizes, filters, tensors = read_ggml(options.model)
    data = Data(options, wanted, filters)
    ranks = {"low": wanted["rank"], "full": None}
    models = {way: Whisper(sizes, tensors, ranks[way]).to(options.device) for way in options.way or ["low"]}
    widths = {"full": wanted["full"], "low": wanted["low_rank"]}
    run(models, widths, data, wanted, options)
    keep(models, tensors, options.out or options.work)


def run(models, widths, data, wanted, options):
    trained = {name: [one for one in model.parameters() if one.requires_grad] for name, model in models.items()}
    optimisers = {
        name: torch.optim.AdamW(of, lr=1, weight_decay=0.01 if name == "full" else 0.0, betas=(0.9, 0.98), fused=options.device == "cuda")
        for name, of in trained.items()
    }
    for name, model in models.items():
        print(f"{name}: {sum(one.numel() for one in trained[name]) / 1e6:.1f} million weights; before: {data.judge(model)}", flush=True)
    began = time.monotonic()
    for step in range(wanted["steps"]):
        # By the time or by the steps, whichever is further.
        done = max(step / wanted["steps"], (time.monotonic() - began) / (60 * options.minutes))
        if done >= 1:
            break
        shape = min(1, (step + 1) / wanted["warm_up"]) * (0.5 * (1 + math.cos(math.pi * done)) + 0.01)
        mel, given, target = data.batch(wanted["batch"])
        for name, model in models.items():
            for group in optimisers[name].param_groups:
                group["lr"] = widths[name] * shape
            with torch.autocast(options.device, torch.bfloat16):
                scores = model.decoder(given, model.encoder(mel))
            loss = F.cross_entropy(scores.flatten(0, 1).float(), target.flatten(), ignore_index=-100)
            optimisers[name].zero_grad(set_to_none=True)
            loss.backward()
            torch.nn.utils.clip_grad_norm_(trained[name], 1.0)
            optimisers[name].step()
            if step % 100 == 0:
                print(f"{step:5} {name}: loss {loss.item():.4f}, {time.monotonic() - began:.0f} s", flush=True)
            if step % 500 == 499:
                print(f"{step:5} {name}: {data.judge(model)}", flush=True)
    for name, model in models.items():
        print(f"{name}, after {step + 1} steps: {data.judge(model)}", flush=True)


class Data:
    """The clips and their texts, on the device."""

    def __init__(self, options, wanted, filters):
        self.device, self.wanted = options.device, wanted
        self.texts = [json.loads(line) for line in open(options.work / "texts.jsonl", encoding="utf-8")]
        self.tokens = Tokens(options.model)
        voices, about, at = [], [], 0
        for file in sorted(options.work.glob("voices-*.npy")):
            voices.append(np.load(file))
            for text, length in json.loads(file.with_suffix(".json").read_text()):
                about.append((at, length, text))
                at += length
        about = np.array(about)
        self.start, self.length, self.text = about.T
        noise = torch.from_numpy(np.load(options.work / "noise.npy"))
        voices = torch.from_numpy(np.concatenate(voices))
        self.room = Room(voices.to(self.device), noise.to(self.device), filters, wanted["seed"], self.device)
        self.chance = np.random.default_rng(wanted["seed"])
        held_out = np.array([self.texts[text]["held_out"] for text in self.text])
        dictated = np.array([self.texts[text]["kind"] == "dictation" for text in self.text])
        self.by_length = np.flatnonzero(~held_out)[np.argsort(self.length[~held_out], kind="stable")]
        self.held_out = np.flatnonzero(held_out)[:256]
        self.others = torch.as_tensor(self.start[~dictated], device=self.device)
        print(f"{len(self.length)} clips, {at / 16000 / 3600:.1f} hours, {len(self.held_out)} held out", flush=True)

    def batch(self, count):
        window = self.chance.random()
        count = max(2, count // 4) if window < 0.03 else count  # the full window takes four times as long
        near = min(len(self.by_length), 12 * count)
        first = int(self.chance.integers(0, len(self.by_length) - near + 1))
        clips = self.chance.choice(self.by_length[first : first + near], min(count, near), replace=False)
        quiet = self.chance.random(len(clips)) < self.wanted["noise_only"]
        of = lambda values: torch.as_tensor(values[clips], device=self.device)  # noqa: E731
        x, whole = self.room.worn(of(self.start), of(self.length), self.others, torch.as_tensor(quiet, device=self.device))
        fitting = places(int(whole.max()))
        at_least = 1500 if window < 0.03 else 512 if window < 0.15 else 0
        mel = self.room.mel(x, min(1500, max(at_least, fitting + int(self.chance.integers(8, 160)))), warp=True)
        mel = self.masked(mel)
        texts = [[] if nothing else self.texts[self.text[clip]]["tokens"] for clip, nothing in zip(clips, quiet)]
        return mel, *self.written(texts, quiet)

    def masked(self, mel):
        """A band of frequencies and a moment of some clips are taken away, as SpecAugment does."""
        band = torch.arange(mel.shape[1], device=self.device)[None, :, None]
        moment = torch.arange(mel.shape[2], device=self.device)[None, None]
        count = len(mel)
        low, first = self.room.between(0, 80, count, 1, 1), self.room.between(0, mel.shape[2], count, 1, 1)
        gone = (band >= low) & (band < low + self.room.between(0, 9, count, 1, 1))
        gone = gone | (moment >= first) & (moment < first + self.room.between(0, 12, count, 1, 1))
        gone &= self.room.random(count, 1, 1) < 0.4
        return torch.where(gone, mel.mean((1, 2), keepdim=True), mel)

    def written(self, texts, quiet):
        """What the decoder is given, and what it is to say after each: that nobody speaks, or the text and its end."""
        longest = max(map(len, texts)) + 2
        given = np.full((len(texts), longest), Tokens.END)
        target = np.full((len(texts), longest), -100)
        for at, (text, nothing) in enumerate(zip(texts, quiet)):
            given[at, : len(text) + 2] = [Tokens.START, Tokens.NO_TIMES, *text]
            target[at, : len(text) + 2] = [Tokens.NO_SPEECH if nothing else Tokens.NO_TIMES, *text, Tokens.END]
        return torch.as_tensor(given, device=self.device), torch.as_tensor(target, device=self.device)

    def judge(self, model):
        """How many of the held-out clips, as spoken, it writes exactly, with a window of 1.5 s more than the clip."""
        right = 0
        for at in range(0, len(self.held_out), 64):
            clips = self.held_out[at : at + 64]
            of = lambda values: torch.as_tensor(values[clips], device=self.device)  # noqa: E731
            x, whole = self.room.plain(of(self.start), of(self.length))
            heard = model.write(self.room.mel(x, places(int(whole.max())) + 75))
            right += sum(self.tokens.text(one).strip() == self.texts[self.text[clip]]["written"] for one, clip in zip(heard, clips))
        return f"{right} of {len(self.held_out)} held-out phrases right"


def keep(models, tensors, folder):
    """The weights as 16-bit differences from the stock model, in files of at most 16 MB, and the low-rank ones as they are."""
    folder.mkdir(parents=True, exist_ok=True)
    changes = {name: {} for name in models}
    for name, model in models.items():
        for key, values in model.state_dict().items():
            values = values.float().cpu().numpy()
            if key.endswith((".up", ".down")):
                changes[name][key] = values.astype(np.float16)
                continue
            change = values.reshape(tensors[key].shape) - tensors[key]
            if change.any():
                changes[name][key] = change.astype(np.float16)
    for name, of in changes.items():
        parts = [{}]
        for key, values in of.items():
            if sum(one.nbytes for one in parts[-1].values()) + values.nbytes > 15_000_000:
                parts.append({})
            parts[-1][key] = values
        for number, part in enumerate(parts):
            np.savez(folder / (f"{name}.npz" if len(parts) == 1 else f"{name}-{number}.npz"), **part)


if __name__ == "__main__":
    main()
