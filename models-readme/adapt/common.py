"""What every step needs: the settings, where things lie, and the model's tokens."""

import argparse
import math
import re
import struct
import sys
import tomllib
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]


def arguments(about, *more):
    """The options that every step has, and its own."""
    reader = argparse.ArgumentParser(description=about.splitlines()[0])
    reader.add_argument("--work", type=Path, default=ROOT / ".cache" / "adapt", help="where this step finds and leaves its files")
    reader.add_argument("--benches", type=Path, default=ROOT / "benches" / "speech", help="the folder of the synthetic speech's programs")
    reader.add_argument("--small", action="store_true", help="a tiny run, to see that it works")
    for names, how in more:
        reader.add_argument(names, **how)
    options = reader.parse_args()
    options.work.mkdir(parents=True, exist_ok=True)
    # The synthetic speech for measuring has parts that are used here too.
    sys.path.append(str(options.benches))
    return options


def settings(part, small):
    """One table of settings.toml; for a small run with the values of its [small] table in place of its own."""
    data = tomllib.loads((HERE / "settings.toml").read_text(encoding="utf-8"))
    return data[part] | (data["small"].get(part, {}) if small else {})


def tensors_in(data):
    """Where each tensor's values lie in a ggml file, its sizes and its type."""
    bands, frequencies = struct.unpack_from("<2I", data, 48)
    at = 56 + 4 * bands * frequencies
    (count,) = struct.unpack_from("<I", data, at)
    at += 4
    for _ in range(count):
        at += 4 + struct.unpack_from("<I", data, at)[0]
    places = {}
    while at < len(data):
        dimensions, length, kind = struct.unpack_from("<3I", data, at)
        shape = struct.unpack_from(f"<{dimensions}I", data, at + 12)[::-1]
        at += 12 + 4 * dimensions
        name = data[at : at + length].decode()
        at += length
        places[name] = (at, shape, ("<f4", "<f2")[kind])
        at += math.prod(shape) * (4, 2)[kind]
    return places


class Tokens:
    """The tokens of an English-only Whisper model, and text cut into them as Whisper's own tokenizer does it."""

    END, START, NO_SPEECH, NO_TIMES = 50256, 50257, 50361, 50362
    # GPT-2's cutting of text into words, for plain Latin letters.
    WORD = re.compile(r"'s|'t|'re|'ve|'m|'ll|'d| ?[A-Za-z]+| ?[0-9]+| ?[^\sA-Za-z0-9]+|\s+(?!\S)|\s+")

    def __init__(self, file):
        """`file` is a ggml model, which spells out its tokens in the order of their numbers."""
        data = Path(file).read_bytes()
        bands, frequencies = struct.unpack_from("<2I", data, 48)
        at = 56 + 4 * bands * frequencies
        (count,) = struct.unpack_from("<I", data, at)
        at += 4
        self.numbers, self.spelt = {}, []
        for number in range(count):
            (length,) = struct.unpack_from("<I", data, at)
            token = data[at + 4 : at + 4 + length]
            self.numbers.setdefault(token, number)
            self.spelt.append(token)
            at += 4 + length
        self.known = {}

    def cut(self, text):
        """The numbers of the tokens of a text. Byte pairs are joined in the order in which the vocabulary learnt them."""
        return [number for word in self.WORD.findall(text) for number in self.word(word)]

    def word(self, word):
        if word not in self.known:
            parts = [bytes([byte]) for byte in word.encode()]
            while len(parts) > 1:
                pairs = [self.numbers.get(a + b, 1 << 30) for a, b in zip(parts, parts[1:])]
                first = min(pairs)
                if first == 1 << 30:
                    break
                at = pairs.index(first)
                parts[at : at + 2] = [parts[at] + parts[at + 1]]
            self.known[word] = [self.numbers[part] for part in parts]
        return self.known[word]

    def text(self, numbers):
        return b"".join(self.spelt[number] for number in numbers if number < len(self.spelt) and number != self.END).decode(errors="replace")
