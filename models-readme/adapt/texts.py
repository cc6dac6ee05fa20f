#!/usr/bin/env python3
"""Draws what the model is taught to hear: texts.jsonl, a line each with what is said and what is to be written.

    texts.py [--small] --model GGML --prose FOLDER [--couchside PROGRAM]

Dictation is drawn from the project's own grammar and written in one way: small letters, digits, no marks. Talk and prose are
written as Whisper writes them: a capital letter first, marks, numbers from ten on in digits. So the two differ at sight.
No phrase of the sets `report` and `fit` of benches/speech is among them, but for the control words, of which there are few.
"""

import json
import os
import random
import re
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

from common import ROOT, Tokens, arguments, settings

# Debian's packages `fortunes` and `fortunes-min`: these subjects are plain prose.
SUBJECTS = "art cookie education food fortunes humorists kids law literature love medicine men-women miscellaneous news people pets platitudes politics science sports wisdom work"
SENTENCE = re.compile(r"[A-Z][a-z' ][A-Za-z,;' -]*[a-z][.?!]")


def main():
    options = arguments(
        __doc__,
        ("--model", {"type": Path, "required": True, "help": "ggml-tiny.en.bin"}),
        ("--prose", {"type": Path, "required": True, "help": "a folder of fortunes: /usr/share/games/fortunes"}),
        ("--couchside", {"default": str(ROOT / "target" / "release" / "couchside")}),
    )
    import phrases

    wanted = settings("texts", options.small)
    sets = tomllib.loads((options.benches / "sets.toml").read_text(encoding="utf-8"))
    taken = set()
    for name in ("report", "fit"):
        for phrase in phrases.dictation(options.couchside, sets[name]["seed"], sets[name]["dictation"], sets["never_said"], set()):
            taken.update(one["said"] for one in phrase["utterances"] if phrase["about"] != "control" and not one.get("control"))
        for said in phrases.asides(sets[name]["seed"], {how: sets[name][how] for how in ("near", "far")}, set()).values():
            taken.update(said)
    chance = random.Random(wanted["seed"])
    texts = [*dictation(options.couchside, wanted, sets["never_said"], taken), *talk(phrases, wanted, taken), *prose(options.prose, wanted, chance)]
    tokens = Tokens(options.model)
    held_out = set(chance.sample([at for at, one in enumerate(texts) if one["kind"] == "dictation"], wanted["held_out"]))
    with open(options.work / "texts.jsonl", "w", encoding="utf-8") as out:
        for at, one in enumerate(texts):
            one |= {"tokens": tokens.cut(" " + one["written"]), "held_out": at in held_out}
            print(json.dumps(one, ensure_ascii=False), file=out)
    kinds = {kind: sum(one["kind"] == kind for one in texts) for kind in ("dictation", "control", "near", "far", "prose")}
    print(f"{len(texts)} texts: {kinds}; {len(taken)} that are measured with were kept out")


def dictation(couchside, wanted, never_said, taken):
    """Utterances of dictation, none twice; each control word once."""
    command = [couchside, "grammar", "draw", "--json", "--written", "--seed", str(wanted["seed"]), "--count", str(wanted["dictation"])]
    command += [part for word in never_said for part in ("--without", word)]
    with tempfile.TemporaryDirectory() as home:  # nobody's own words
        run = subprocess.run(command, check=True, env={**os.environ, "COUCHSIDE_HOME": home}, stdout=subprocess.PIPE)
    seen = set()
    for phrase in map(json.loads, run.stdout.splitlines()):
        for one in phrase["utterances"]:
            control = one.get("control") is not None and not one.get("findings")
            if one["said"] not in seen and (control or one["said"] not in taken):
                seen.add(one["said"])
                yield {"kind": "control" if control else "dictation", "said": one["said"], "written": one["written"]}


def talk(phrases, wanted, taken):
    """Talk that is no dictation, from every second template: the others are only measured with."""
    drawing = phrases.Asides(wanted["seed"], set(taken))
    for how in ("near", "far"):
        drawing.templates[how] = drawing.templates[how][::2]
        for _ in range(wanted[how]):
            try:
                said = drawing.draw(how)[1]
            except ValueError:  # a template without gaps can be said only once
                break
            yield {"kind": how, "said": said, "written": written(said)}


def prose(folder, wanted, chance):
    """Sentences of ordinary English, one to three at a time."""
    found = set()
    for file in sorted(Path(folder) / subject for subject in SUBJECTS.split()):
        if not file.exists():
            sys.exit(f"{file} is not there: install Debian's packages fortunes and fortunes-min, or give another folder")
        for one in file.read_text(encoding="utf-8", errors="ignore").split("\n%\n"):
            lines = [line.strip() for line in one.split("\n") if not re.match(r"\s*--", line)]
            for sentence in re.split(r"(?<=[.?!])\s+", " ".join(lines)):
                if SENTENCE.fullmatch(sentence) and 4 <= len(sentence.split()) <= 18:
                    found.add(sentence)
    sentences = sorted(found)
    chance.shuffle(sentences)
    at = 0
    for _ in range(wanted["prose"]):
        count = chance.choice((1, 1, 1, 2, 2, 3))
        together = [sentences[(at + step) % len(sentences)] for step in range(count)]
        at += count
        yield {"kind": "prose", "said": " ".join(together), "written": " ".join(together)}


ONES = "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split()
TENS = {word: 10 * at for at, word in enumerate("twenty thirty forty fifty sixty seventy eighty ninety".split(), 2)}


def written(said):
    """A sentence as Whisper writes it."""
    words, out, at = said.split(), [], 0
    while at < len(words):
        value, length = number(words[at:])
        last = words[at + length - 1] if length else words[at]
        mark = re.search(r"[,.?!]*$", last)[0]
        out.append(f"{value}{mark}" if value >= 10 else words[at])
        at += max(length, 1)
    text = " ".join(out)
    text = text[0].upper() + text[1:]
    return text if re.search(r"[.?!]$", text) else text + "."


def number(words):
    """The number that these words begin with, and how many words it has; −1 and 0 if there is none."""
    plain = [re.sub(r"[,.?!]+$", "", word) for word in words]
    ended = [word != bare for word, bare in zip(words, plain)]
    one = lambda at: ONES.index(plain[at]) if at < len(plain) and plain[at] in ONES else None  # noqa: E731

    def below_hundred(at):
        if at < len(plain) and plain[at] in TENS:
            more = one(at + 1) if not ended[at] else None
            return (TENS[plain[at]] + more, 2) if more and more < 10 else (TENS[plain[at]], 1)
        return (one(at), 1) if one(at) is not None else None

    if plain[:2] == ["a", "hundred"]:
        rest = below_hundred(3) if plain[2:3] == ["and"] and not ended[1] else None
        return (100 + rest[0], 3 + rest[1]) if rest else (100, 2)
    if plain[:1] == ["one"] and not ended[0] and plain[1:2] and plain[1] in TENS:
        value, length = below_hundred(1)
        return 100 + value, 1 + length
    return below_hundred(0) or (-1, 0)


if __name__ == "__main__":
    main()
