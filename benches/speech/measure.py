#!/usr/bin/env python3
"""Measures the clips of a folder that make.py wrote, from the sound alone: lengths, peaks, and how far the noise lies
under the speech (taken where case.toml says that nothing is spoken).

    measure.py FOLDER…        status 1 if a clip is empty, clipped, too long or not as noisy as it says
"""

import sys
import tomllib
from collections import defaultdict
from pathlib import Path

import numpy as np

from engines import RATE, read_wav, rms

LONGEST_S = 30  # a recogniser's window
TOLERANCE_DB = 2.5  # of the median of a noise: babble and music have gaps of their own


def main(folders):
    faults, measured, lengths = [], defaultdict(list), []
    for file in sorted(case for folder in folders for case in Path(folder).glob("*/case.toml")):
        case = tomllib.loads(file.read_text(encoding="utf-8"))
        samples, rate = read_wav(file.with_name("speech.wav"))
        seconds, peak = len(samples) / rate, int(np.abs(samples.astype(int)).max())
        lengths.append(seconds)
        spoken = np.zeros(len(samples), bool)
        for one in case.get("utterance", [case]):
            spoken[round(one["start_s"] * RATE) : round(one["end_s"] * RATE)] = True
        if rate != RATE or spoken.sum() < 0.2 * RATE or rms(samples[spoken]) < 150:
            faults.append(f"{case['id']}: hardly any speech")
        if peak >= 32_000 or (seconds > LONGEST_S and case["kind"] != "talk"):
            faults.append(f"{case['id']}: peak {peak}, {seconds:.1f} s")
        if case["noise"] in ("none", "room echo"):
            quiet = samples[: round(0.2 * RATE)]
            if np.abs(quiet).max() > 0:
                faults.append(f"{case['id']}: sound before the speech")
        else:
            under = rms(samples[~spoken])
            power = max(rms(samples[spoken]) ** 2 - under**2, 1)
            measured[case["noise"]].append(10 * np.log10(power / under**2))
    print(f"{len(lengths)} clips, {sum(lengths) / 60:.0f} minutes; the median lasts {np.median(lengths):.1f} s, the longest {max(lengths):.1f} s")
    for noise, found in sorted(measured.items()):
        stated = float(noise.split(", ")[1].removesuffix(" dB"))
        low, middle, high = np.quantile(found, (0.25, 0.5, 0.75))
        print(f"{noise:16} {len(found):5} clips, measured {middle:5.1f} dB (middle half {low:.1f} to {high:.1f})")
        if abs(np.median(found) - stated) > TOLERANCE_DB:
            faults.append(f"{noise}: the median is {np.median(found):.1f} dB")
    for fault in faults:
        print(fault, file=sys.stderr)
    print(f"{len(faults)} faults")
    return 1 if faults or not lengths else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
