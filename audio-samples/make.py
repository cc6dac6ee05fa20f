#!/usr/bin/env python3
"""Makes the recordings of this folder from their case.toml files, or checks that they are whole.

    audio-samples/make.py            speak every case again; fills in sha256, start_s and end_s
    audio-samples/make.py NAME…      only these folders
    audio-samples/make.py --check    change nothing; say what is missing or differs, status 1 if anything does
"""

import array
import hashlib
import re
import sys
import wave
from pathlib import Path

try:
    import tomllib
except ModuleNotFoundError:  # Python before 3.11; pip carries the same parser
    from pip._vendor import tomli as tomllib

from noise import with_noise
from speech import LEVEL, RATE, is_synthetic, speak

HERE = Path(__file__).resolve().parent
BEFORE_S = 0.3  # silence before the first word
AFTER_S = 0.8  # silence after the last one, unless an utterance says `pause_s`
CLIENT_QUIETER_DB = 6  # the client lies further from the microphone than the therapist stands
LONGEST_CASE_S = 12
LONGEST_ASSESSMENT_S = 180


def cases():
    """Every folder that holds a case."""
    return sorted(file.parent for file in HERE.glob("*/case.toml"))


def utterances(case):
    """What is said in turn: (voice, text, quieter by dB, pause after in seconds) each."""
    if "utterance" not in case:
        return [(case["voice"], case.get("spoken", case["said"]), 0, AFTER_S)]
    return [
        (
            case["voices"][one["speaker"]],
            one.get("spoken", one["said"]),
            CLIENT_QUIETER_DB if one["speaker"] == "client" else 0,
            one["pause_s"],
        )
        for one in case["utterance"]
    ]


def make(folder):
    """Speaks the case of `folder`, writes speech.wav and fills in what only the sound can tell."""
    file = folder / "case.toml"
    case = tomllib.loads(file.read_text(encoding="utf-8"))
    edges = []
    if is_synthetic(case["voice"]):
        samples = array.array("h", bytes(2 * round(BEFORE_S * RATE)))
        for voice, text, quieter_db, pause_s in utterances(case):
            start = len(samples)
            samples += speak(voice, text, quieter_db)
            edges.append((start / RATE, len(samples) / RATE))
            samples += array.array("h", bytes(2 * round(pause_s * RATE)))
        write(folder / "speech.wav", with_noise(samples, case["noise"], LEVEL, seed=folder.name))
    text = file.read_text(encoding="utf-8")
    text = filled(text, "sha256", [f'"{digest(folder)}"'])
    if edges:  # those of a person's recording are set by ear
        text = filled(text, "start_s", [f"{start:.2f}" for start, _ in edges])
        text = filled(text, "end_s", [f"{end:.2f}" for _, end in edges])
    file.write_text(text, encoding="utf-8")


def filled(text, key, values):
    """`text` with the lines `key = …` set to `values` in order; a case without the line gets it at the top."""
    line = re.compile(rf"^{key} = .*$", re.MULTILINE)
    found = len(line.findall(text))
    if found == 0 and len(values) == 1:
        return f"{key} = {values[0]}\n{text}"
    if found != len(values):
        raise ValueError(f"every [[utterance]] needs a line `{key} = 0.0`")
    rest = iter(values)
    return line.sub(lambda _: f"{key} = {next(rest)}", text)


def write(file, samples):
    """A 16-bit mono WAV file."""
    if sys.byteorder == "big":
        samples.byteswap()
    with wave.open(str(file), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(RATE)
        out.writeframes(samples.tobytes())


def digest(folder):
    """SHA-256 of the recording."""
    return hashlib.sha256((folder / "speech.wav").read_bytes()).hexdigest()


def faults(folder):
    """What is wrong with a folder, as sentences."""
    recording = folder / "speech.wav"
    if not recording.exists():
        yield "speech.wav is missing; run audio-samples/make.py"
        return
    case = tomllib.loads((folder / "case.toml").read_text(encoding="utf-8"))
    with wave.open(str(recording), "rb") as sound:
        form = (sound.getnchannels(), sound.getsampwidth(), sound.getframerate())
        seconds = sound.getnframes() / sound.getframerate()
    if form != (1, 2, RATE):
        yield "speech.wav is not 16-bit mono at 16 kHz"
    longest = LONGEST_ASSESSMENT_S if "utterance" in case else LONGEST_CASE_S
    if not 0.5 <= seconds <= longest:
        yield f"speech.wav lasts {seconds:.1f} s; it may last 0.5 to {longest} s"
    if case.get("sha256") != digest(folder):
        yield "speech.wav is not the one that sha256 in case.toml names; run audio-samples/make.py"


def main(arguments):
    if "--check" in arguments:
        wrong = 0
        for folder in cases():
            for fault in faults(folder):
                print(f"{folder.name}: {fault}", file=sys.stderr)
                wrong += 1
        print(f"{len(cases())} recordings checked, {wrong} faults")
        return 1 if wrong else 0
    chosen = [HERE / name.rstrip("/") for name in arguments] or cases()
    for folder in chosen:
        print(folder.name, flush=True)
        make(folder)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
