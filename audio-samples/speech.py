"""Synthetic speech as 16 kHz mono samples, from a voice described in plain words.

A voice reads "espeak-ng en-gb, 150 words a minute" or "flite slt, 1.1 times as slow".
"""

import array
import re
import subprocess
import sys
import tempfile
from pathlib import Path

RATE = 16_000  # samples a second
LEVEL = 2_300  # root mean square of the speech: about -23 dB of full scale, as at an arm's length
PEAK = 29_000  # no sample goes above this, so that nothing clips
# Two of flite's voices are kept out, so that other collections made with them stay unheard here.
FLITE_VOICES = ("slt", "kal16")

ESPEAK = re.compile(r"espeak-ng (\S+), (\d+) words a minute")
FLITE = re.compile(r"flite (\S+), ([\d.]+) times as slow")


def is_synthetic(voice):
    """Whether make.py can speak it; any other voice is a person's recording and is left alone."""
    return voice.startswith(("espeak-ng", "flite"))


def command(voice, text, file):
    """The synthesiser's command line that speaks `text` into `file`."""
    if match := ESPEAK.fullmatch(voice):
        # espeak-ng 1.51 quietly ignores the variant in "en-gb+f3"; its other name, "en+f3", works.
        if match[1].startswith("en-gb+"):
            raise ValueError(f"{voice}: write en+… instead of en-gb+…, which espeak-ng speaks without the variant")
        return ["espeak-ng", "-v", match[1], "-s", match[2], "-w", file, text]
    if (match := FLITE.fullmatch(voice)) and match[1] in FLITE_VOICES:
        return ["flite", "-voice", match[1], "--setf", f"duration_stretch={match[2]}", "-t", text, "-o", file]
    raise ValueError(f"no such voice: {voice}")


def speak(voice, text, quieter_db=0):
    """The samples of `text` in `voice`, silence at both ends cut off, at the usual level less `quieter_db`."""
    with tempfile.TemporaryDirectory() as folder:
        file = str(Path(folder) / "spoken.wav")
        subprocess.run(command(voice, text, file), check=True, stdout=subprocess.DEVNULL)
        # -D: no dither, which would differ from run to run; the gain leaves room for the resampler.
        sox = ["sox", "-D", file, "-t", "raw", "-e", "signed", "-b", "16", "-c", "1", "-r", str(RATE), "-", "gain", "-4"]
        raw = subprocess.run(sox, check=True, stdout=subprocess.PIPE).stdout
    samples = array.array("h", raw)
    if sys.byteorder == "big":
        samples.byteswap()
    samples = trimmed(samples)
    gain = min(LEVEL * 10 ** (-quieter_db / 20) / rms(samples), PEAK / max(map(abs, samples)))
    return array.array("h", (round(sample * gain) for sample in samples))


def trimmed(samples):
    """Without what is more than 40 dB under the loudest sample, at the beginning and at the end."""
    floor = max(map(abs, samples)) // 100
    loud = [at for at, sample in enumerate(samples) if abs(sample) > floor]
    return samples[loud[0] : loud[-1] + 1]


def rms(samples):
    """Root mean square."""
    return (sum(sample * sample for sample in samples) / len(samples)) ** 0.5
