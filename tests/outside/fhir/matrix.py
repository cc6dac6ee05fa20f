"""Proves the checks: good samples are accepted, each fault is refused by the check that is there for it."""

from copy import deepcopy

import check_units
from faults import FAULTS

WIDTH = 60


def line(title, marks):
    print(f"{title:{WIDTH}}" + "".join(f"{mark:>12}" for mark in marks))


def refused(look, bundle):
    """The names of the checks that refuse the bundle."""
    return {name for name, (problems, _) in look(bundle).items() if problems}


def as_collection(bundle):
    """The same content as loose data, which needs neither an identifier nor a time, and is as right."""
    return {name: value for name, value in bundle.items() if name not in ("identifier", "timestamp")} | {
        "type": "collection"
    }


def spoilt(bundle, spoil):
    changed = deepcopy(bundle)
    spoil(changed)
    return changed


def wrong_units():
    """The units of which it is known what they are, and of which the library says otherwise."""
    for right, codes in check_units.KNOWN.items():
        for code in codes.split():
            if check_units.is_ucum(code) != right:
                yield f"the unit {code} is {'refused' if right else 'accepted'}"


def prove(look, checks, good):
    """Prints the matrix; whether anything in it is not as it must be."""
    wrong = list(wrong_units())
    line("", checks)
    for name, bundle in good.items():
        for title, form in (name, bundle), (f"{name} as a collection", as_collection(bundle)):
            by = refused(look, form)
            line(title, ["refused" if check in by else "ok" for check in checks])
            wrong += [f"{title} is refused"] if by else []
    for number, (what, sees, spoil) in enumerate(FAULTS, 1):
        by = [refused(look, spoilt(bundle, spoil)) for bundle in good.values()]
        # A full mark where the check refuses the fault in every sample, an empty one where in some of them.
        seen = [sum(check in one for one in by) for check in checks]
        line(f"{number:2} {what}", ["" if not count else "●" if count == len(by) else "○" for count in seen])
        wrong += [] if all(sees in one for one in by) else [f"{what}: {sees} does not see it"]
    print("\n".join(wrong) or f"the good samples are accepted, each of the {len(FAULTS)} faults is refused")
    return bool(wrong)
