"""Every way in which num2words writes the whole numbers that a range of movement can have.

Rows: value, words. The parser of spoken numbers must read each of them as the value.
"""

import sys

from num2words import num2words

from table import main


def forms(value):
    """British ('one hundred and ten') and American ('one hundred ten'), with hyphens and without, each sign."""
    plain = num2words(abs(value), lang="en")
    words = {plain, plain.replace(" and ", " "), plain.replace("-", " "), plain.replace(" and ", " ").replace("-", " ")}
    if value < 0:
        # num2words itself says minus; negative is the other usual word.
        words = {f"{sign} {form}" for sign in ("minus", "negative") for form in words}
    return sorted(words)


if __name__ == "__main__":
    rows = [(str(value), words) for value in range(-30, 361) for words in forms(value)]
    assert all(num2words(value) in forms(value) for value in range(-30, 361))
    sys.exit(main(__file__, "num2words", rows))
