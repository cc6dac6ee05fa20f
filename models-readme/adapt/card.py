#!/usr/bin/env python3
"""Writes a model's card: what it is made of, what it was trained on and how, what it is licensed as, and how well it hears.

    card.py [--small] --model GGML --change CHANGE.safetensors [--report NAME=REPORT.json]… OUT.md

A report is what `couchside evaluate --json` printed of a folder of cases; NAME stands at the head of its column. Everything is counted in the
work folder and the files given; nothing is written that is not in them.
"""

import hashlib
import json
from collections import Counter
from pathlib import Path

from safetensors import safe_open

from common import arguments, settings

RATE = 16_000
# Rows of the table: of what class, in what noise (all if none), what became of it.
ROWS = [
    ("dictation exactly right", "dictation", None, "exactly right"),
    ("clean", "dictation", "none", "exactly right"),
    ("babble 10 dB", "dictation", "babble, 10 dB", "exactly right"),
    ("silently wrong", "dictation", None, "silently wrong"),
    ("silently wrong, clean", "dictation", "none", "silently wrong"),
    ("silently wrong, babble 10 dB", "dictation", "babble, 10 dB", "silently wrong"),
    ("control words right", "control word", None, "exactly right"),
    ("findings from talk", "talk", None, "finding from talk"),
    ("findings from talk near the domain", "talk near the domain", None, "finding from talk"),
]


def main():
    options = arguments(
        __doc__,
        ("--model", {"type": Path, "required": True, "help": "ggml-tiny.en.bin"}),
        ("--change", {"type": Path, "required": True}),
        ("--report", {"action": "append", "default": [], "metavar": "NAME=REPORT.json"}),
        ("out", {"type": Path}),
    )
    with safe_open(options.change, "np") as change:
        about = change.metadata()
    packed = options.change.read_bytes()
    training, speech = settings("training", options.small), settings("speech", options.small)
    texts = Counter(json.loads(line)["kind"] for line in open(options.work / "texts.jsonl", encoding="utf-8"))
    lengths = [length for file in options.work.glob("voices-*.json") for _, length in json.loads(file.read_text())]
    kinds = ", ".join(f"{count:,} of {kind}" for kind, count in sorted(texts.items()))
    lines = [
        f"# {about['name']}",
        "",
        "| | |",
        "|---|---|",
        f"| made of | ggml file with SHA-256 `{hashlib.sha256(options.model.read_bytes()).hexdigest()}` |",
        f"| change | rank {training['rank']}, mix {about['mix']}, {len(packed) / 1e6:.1f} MB, SHA-256 `{hashlib.sha256(packed).hexdigest()}` |",
        f"| licence | {about['licence']} |",
        f"| trained on | {len(lengths):,} utterances, {sum(lengths) / RATE / 3600:.1f} hours, **synthetic voices only** |",
        f"| texts | {kinds} |",
        f"| voices | {speech['kokoro']:.0%} Kokoro, of the rest {speech['hibari']:.0%} hibari, else eSpeak NG |",
        f"| how | at most {training['steps']:,} steps of {training['batch']} clips, step width {training['low_rank']}, seeds {speech['seed']} and {training['seed']} |",
        f"| limits | {about['about']} No person was heard in training. |",
        "",
        *figures(options.report),
    ]
    options.out.write_text("\n".join(lines) + "\n", encoding="utf-8")
    print(f"wrote {options.out}")


def figures(reports):
    """A table with a column for each report."""
    named = [one.split("=", 1) for one in reports]
    read = [json.loads(Path(file).read_text(encoding="utf-8"))["utterances"] for _, file in named]
    if not read:
        return ["No figures were given."]
    lines = [f"| | {' | '.join(name for name, _ in named)} |", "|---" * (len(named) + 1) + "|"]
    for label, kind, noise, verdict in ROWS:
        cells = []
        for utterances in read:
            of = [one for one in utterances if one["class"] == kind and noise in (None, one["conditions"]["noise"])]
            count = sum(one["verdict"] == verdict for one in of)
            cells.append(f"{100 * count / len(of):.1f} % of {len(of):,}" if of else "none heard")
        lines.append(f"| {label} | {' | '.join(cells)} |")
    return lines


if __name__ == "__main__":
    main()
