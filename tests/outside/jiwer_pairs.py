"""Word error rates by jiwer of 200 sentence pairs, to compare with the program's own count.

Rows: what was said, what was heard, word error rate with 6 decimals.
"""

import random
import sys

import jiwer

from table import main

PAIRS = 200
TRADE = """right left hip knee flexion extension abduction adduction internal external rotation active passive
resisted firm soft end feel painful range one two five ten thirty forty hundred and four plus minus""".split()
PROSE = """the a of to that it was you can when for with your my leg does hurt there then they walk stairs
yesterday really quite about again over down""".split()


def sentence(rng):
    """One to fourteen words, of the trade, of prose or of both; words repeat."""
    words = rng.choice((TRADE, PROSE, TRADE + PROSE))
    return [rng.choice(words) for _ in range(rng.randint(1, 14))]


def misheard(rng, said):
    """`said` with words left out, replaced, added and repeated; sometimes the same, sometimes nothing at all."""
    if rng.random() < 0.05:
        return []
    rate = rng.choice((0.0, 0.2, 0.3, 0.5, 0.8))
    heard = []
    for word in said:
        if rng.random() >= rate:
            heard.append(word)
            continue
        edit = rng.choice(("leave out", "replace", "add", "repeat", "swap"))
        if edit == "replace":
            heard.append(rng.choice(TRADE + PROSE))
        elif edit == "add":
            heard += [word, rng.choice(TRADE + PROSE)]
        elif edit == "repeat":
            heard += [word] * rng.randint(2, 4)
        elif edit == "swap":
            heard.insert(max(0, len(heard) - 1), word)
    return heard


if __name__ == "__main__":
    rng = random.Random(20)
    rows = []
    for _ in range(PAIRS):
        said = sentence(rng)
        heard = misheard(rng, said)
        rate = jiwer.wer(" ".join(said), " ".join(heard))
        rows.append((" ".join(said), " ".join(heard), f"{rate:.6f}"))
    sys.exit(main(__file__, "jiwer", rows))
