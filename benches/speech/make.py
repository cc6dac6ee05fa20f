#!/usr/bin/env python3
"""Speaks the sets of clips that recognition is measured and fitted with; see README.md beside this file.

    make.py [--out FOLDER] [--couchside PROGRAM] [--only ENGINE]… [--one-in N] [SET…]

The sets are report, fit and talk, and train if it is named. What was spoken before is kept and not spoken again.
`--only` uses these engines' voices alone, `--one-in` makes so much less of each set: for a quick look.
"""

import argparse
import hashlib
import json
import multiprocessing
import os
import random
import shutil
import sys
import time
import tomllib
import zlib
from pathlib import Path

import numpy as np

import engines
from casefile import written
from engines import RATE, read_wav, speak, write_wav
from noise import with_noise
from phrases import Asides, asides, dictation

HERE = Path(__file__).resolve().parent
SETS = ("report", "fit", "train")
BEFORE_S, AFTER_S = 0.3, 0.8  # silence around the speech, as in audio-samples
BETWEEN_S = (1.5, 2.3)  # between the utterances of a chain: the program closes each
PACE = (0.85, 1.2)
CLIENT_QUIETER_DB = 6
SLOW = ("kokoro", "festival")  # spoken first; an hour of talk is not spoken with them


def main():
    options = arguments()
    os.nice(10)
    data = tomllib.loads((HERE / "sets.toml").read_text(encoding="utf-8"))
    voices = tomllib.loads((HERE / "voices.toml").read_text(encoding="utf-8"))["voice"]
    if options.only:
        voices = [voice for voice in voices if voice["engine"] in options.only]
    out = options.out.resolve()
    seen, planned = set(), {}
    for name in SETS:
        # An earlier set is planned for a later one too, which leaves its phrases out.
        if set(options.sets) & set(SETS[SETS.index(name) :]):
            planned[name] = plan(name, data, voices, options, seen)
    if "talk" in options.sets:
        planned["talk"] = plan_talk(data["talk"], [voice for voice in voices if voice["set"] == "report" and voice["engine"] not in SLOW], options, seen)
    cases = {name: cases for name, cases in planned.items() if name in options.sets}
    (out / "spoken").mkdir(parents=True, exist_ok=True)
    with multiprocessing.Pool(options.workers) as pool:
        jobs = {spoken_file(out, *one["job"]): one["job"] for of in cases.values() for case in of for one in case["lines"]}
        new = [(file, job) for file, job in jobs.items() if not file.exists()]
        new.sort(key=lambda one: (one[1][0]["engine"] not in SLOW, one[1][0]["engine"]))
        watch("speaking", pool.imap_unordered(spoken, new), len(new))
        for name, of in cases.items():
            shutil.rmtree(out / name, ignore_errors=True)
            talk = [spoken_file(out, *one["job"]) for case in of if case["kind"] != "dictation" for one in case["lines"]][:300]
            watch(f"mixing {name}", pool.imap_unordered(mixed, [(out / name, case, talk, out) for case in of]), len(of))


def arguments():
    reader = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    reader.add_argument("sets", nargs="*", metavar="SET", help="report, fit, talk, train")
    reader.add_argument("--out", type=Path, default=HERE.parents[1] / ".cache" / "speech")
    reader.add_argument("--couchside", default=str(HERE.parents[1] / "target" / "release" / "couchside"))
    reader.add_argument("--only", action="append", metavar="ENGINE", choices=list(engines.ENGINES))
    reader.add_argument("--one-in", type=int, default=1, metavar="N", dest="part")
    reader.add_argument("--workers", type=int, default=os.cpu_count())
    options = reader.parse_args()
    unknown = set(options.sets) - {*SETS, "talk"}
    if unknown:
        reader.error(f"no such set: {', '.join(sorted(unknown))}")
    options.sets = options.sets or ["report", "fit", "talk"]
    return options


def plan(name, data, voices, options, seen):
    """The cases of a set: what is said, in which voice, how fast and in which noise."""
    wanted = data[name]
    chance = random.Random(wanted["seed"])
    count = {key: wanted[key] // options.part for key in ("dictation", "near", "far")}
    phrases = dictation(options.couchside, wanted["seed"], count["dictation"], data["never_said"], seen)
    talk = asides(wanted["seed"], {how: count[how] for how in ("near", "far")}, seen)
    cases = [{"kind": "dictation", "about": one["about"], "utterances": one["utterances"]} for one in phrases]
    for how, kind in (("near", "near-domain aside"), ("far", "aside")):
        cases += [{"kind": kind, "utterances": [{"said": said, "outcome": "aside"}]} for said in talk[how]]
    for kind in ("dictation", "near-domain aside", "aside"):
        of = [case for case in cases if case["kind"] == kind]
        own = [voice for voice in voices if voice["set"] == name]
        for case, voice, noise in zip(of, dealt(own, len(of), chance), dealt(data["noise"], len(of), chance), strict=True):
            speed = round(chance.uniform(*PACE), 2)
            case |= {"voice": voice, "speed": speed, "noise": (noise["kind"], noise.get("snr_db"))}
    for at, case in enumerate(cases, 1):
        case["id"] = f"{name}-{at:05}"
        case["lines"] = [{"job": (case["voice"], one["said"], case["speed"]), "quieter_db": 0, "truth": one} for one in case["utterances"]]
        for line in case["lines"]:
            line["pause_s"] = round(chance.uniform(*BETWEEN_S), 1)
        case["lines"][-1]["pause_s"] = AFTER_S
    return cases


def dealt(items, count, chance):
    """`count` of the items, each as often as its share says, in a random order."""
    total = sum(item["share"] for item in items)
    exact = [count * item["share"] / total for item in items]
    often = [int(one) for one in exact]
    by_rest = sorted(range(len(items)), key=lambda at: often[at] - exact[at])
    for at in by_rest[: count - sum(often)]:
        often[at] += 1
    hand = [item for item, times in zip(items, often, strict=True) for _ in range(times)]
    chance.shuffle(hand)
    return hand


def plan_talk(wanted, voices, options, seen):
    """Long conversations; how long they come out is known only when they are spoken, so that some lines are to spare."""
    chance = random.Random(wanted["seed"])
    drawing = Asides(wanted["seed"], seen)
    cases = []
    for at in range(1, wanted["recordings"] + 1):
        kind, snr_db = [*wanted["noise"][(at - 1) % len(wanted["noise"])], None][:2]
        pair = chance.sample(voices, 2)
        lines = []
        for _ in range(wanted["seconds"] // options.part // 3):
            is_client = chance.random() < 0.5
            of, said = drawing.draw("near" if chance.random() < 0.5 else "far", lambda of, client=is_client: (of == "client") == client)
            truth = {"speaker": "client" if of == "client" else "therapist", "said": said, "outcome": "aside"}
            quieter = CLIENT_QUIETER_DB if is_client else 0
            job = (pair[is_client], said, round(chance.uniform(*PACE), 1))
            lines.append({"job": job, "quieter_db": quieter, "truth": truth, "pause_s": round(chance.uniform(0.2, 1.6), 1)})
        case = {"id": f"talk-{at}", "kind": "talk", "voice": pair[0], "with": pair[1], "noise": (kind, snr_db), "lines": lines}
        cases.append(case | {"seconds": wanted["seconds"] // options.part})
    return cases


def spoken_file(out, voice, text, speed):
    """Where the clean speech is kept: named for everything that it depends on."""
    heard = [voice["engine"], voice["speaker"], voice["accent"], voice.get("size"), engines.sounded(text, voice["engine"]), speed]
    return out / "spoken" / f"{hashlib.sha256(json.dumps(heard).encode()).hexdigest()[:24]}.wav"


def spoken(one):
    file, (voice, text, speed) = one
    try:
        samples = speak(voice, text, speed)
    except Exception as fault:
        raise RuntimeError(f"{voice['name']} could not say “{text}”: {fault}") from fault
    part = file.with_suffix(f".{os.getpid()}")
    write_wav(part, samples)
    part.rename(file)


def mixed(given):
    """Writes speech.wav and case.toml of one case."""
    folder, case, talk, out = given
    samples, spoken_at, edges = [np.zeros(round(BEFORE_S * RATE))], [np.zeros(round(BEFORE_S * RATE), bool)], []
    length = len(samples[0])
    for line in case["lines"]:
        speech = read_wav(spoken_file(out, *line["job"]))[0] * 10 ** (-line["quieter_db"] / 20)
        silence = np.zeros(round(line["pause_s"] * RATE))
        edges.append((length / RATE, (length + len(speech)) / RATE))
        samples += [speech, silence]
        spoken_at += [np.ones(len(speech), bool), np.zeros(len(silence), bool)]
        length += len(speech) + len(silence)
        if length > case.get("seconds", 3600) * RATE:
            break
    generator = np.random.default_rng(zlib.crc32(case["id"].encode()))
    kind, snr_db = case["noise"]
    own = {spoken_file(out, *line["job"]) for line in case["lines"]} if case["kind"] != "talk" else set()
    others = [lambda file=file: read_wav(file)[0] for file in talk if file not in own]
    heard = with_noise(np.concatenate(samples), np.concatenate(spoken_at), kind, snr_db, generator, others)
    (folder / case["id"]).mkdir(parents=True)
    write_wav(folder / case["id"] / "speech.wav", heard)
    digest = hashlib.sha256((folder / case["id"] / "speech.wav").read_bytes()).hexdigest()
    (folder / case["id"] / "case.toml").write_text(written(described(case, edges, digest)), encoding="utf-8")


def described(case, edges, digest):
    kind, snr_db = case["noise"]
    noise = {"none": "none", "echo": "room echo"}.get(kind, f"{kind}, {snr_db} dB")
    names = [case["voice"]["name"]] + ([case["with"]["name"]] if "with" in case else [])
    head = {"id": case["id"], "kind": case["kind"], "about": case.get("about"), "voice": " and ".join(names), "engine": case["voice"]["engine"]}
    head |= {"speed": case.get("speed"), "noise": noise, "snr_db": snr_db, "licence": "CC0-1.0", "sha256": digest}
    lines = [line["truth"] | {"start_s": round(start, 2), "end_s": round(end, 2)} for line, (start, end) in zip(case["lines"], edges)]
    if len(lines) == 1:
        return head | lines[0]
    if case["kind"] == "talk":
        head |= {"outcome": "aside", "recorded": []}
    for line, (of, _) in zip(lines, zip(case["lines"], edges)):
        line["pause_s"] = of["pause_s"]
    return head | {"utterance": lines}


def watch(what, results, count):
    """Waits for the results and says how far it is."""
    began = shown = time.monotonic()
    for at, _ in enumerate(results, 1):
        if time.monotonic() - shown > 5 or at == count:
            shown = time.monotonic()
            left = (shown - began) / at * (count - at)
            print(f"{what}: {at} of {count}, about {left / 60:.1f} minutes left", flush=True)


if __name__ == "__main__":
    sys.exit(main())
