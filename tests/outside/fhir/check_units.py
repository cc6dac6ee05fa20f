"""Units: every quantity has its unit as a code of UCUM (Unified Code for Units of Measure, version 2.2).

By ucumvert, which reads such codes by UCUM's own grammar and table of units.
"""

from functools import cache

from lark.exceptions import LarkError
from ucumvert import get_ucum_parser

from elements import elements

UCUM = "http://unitsofmeasure.org"
QUANTITIES = ("Quantity", "Age", "Count", "Distance", "Duration")
# Codes that a visit may hold, and what is easily written instead: the proof of the library.
KNOWN = {
    True: "deg cm mm m N kgf [lbf_av] N.m kg s min h d wk {score} {repetition} 1 deg/s % mm[Hg] /min kg/m2",
    False: "degrees degree ° Nm lbf_av Deg mm[hg] {a{b}}",
}

parser = cache(get_ucum_parser)


def is_ucum(code):
    try:
        parser().parse(code)
    except (LarkError, TypeError):
        return False
    return True


def check(bundle):
    """(problems, how many quantities were looked at); a problem is (where, what)."""
    problems, looked_at = [], 0
    for element in elements(bundle):
        if element.type not in QUANTITIES:
            continue
        looked_at += 1
        system, code = element.value.get("system"), element.value.get("code")
        if system != UCUM:
            problems.append((element.where, f"the unit is not coded by UCUM but by {system!r}"))
        elif not is_ucum(code):
            problems.append((element.where, f"{code!r} is not a unit of UCUM"))
    return problems, looked_at
