"""Every way in which num2words writes the whole numbers that a range of movement can have, that of a year included.

Rows: value, words. The parser of spoken numbers must read each of them as the value.
"""

import sys

from num2words import num2words

from table import main


def forms(value):
    """British ('one hundred and ten') and American ('one hundred ten'), with hyphens and without, each sign; from a
    hundred on also as a year ('one ten', 'one oh-five'), which is how therapists say degrees."""
    plain = num2words(abs(value), lang="en")
    words = {plain, plain.replace(" and ", " ")}
    if value >= 100:
        words.add(num2words(value, lang="en", to="year"))
    words |= {form.replace("-", " ") for form in words}
    if value < 0:
        # num2words itself says minus; negative is the other usual word.
        words = {f"{sign} {form}" for sign in ("minus", "negative") for form in words}
    return sorted(words)


if __name__ == "__main__":
    rows = [(str(value), words) for value in range(-30, 361) for words in forms(value)]
    assert all(num2words(value) in forms(value) for value in range(-30, 361))
    sys.exit(main(__file__, "num2words", rows))
