"""Checks exported FHIR documents from outside.

    check.py BUNDLE.json…    one line for each problem: file, check, where, what; status 1 if there is any
    check.py --faults        proves the checks: see matrix.py

None of the five checks sees all that the others see, so each bundle goes through every one of them.
"""

import json
import sys
from pathlib import Path

import check_codes
import check_invariants
import check_references
import check_schema
import check_structure
import check_units
import matrix

# What a check is made of, each with what it counts.
CHECKS = {
    "structure": {"resources": check_structure.check},
    "schema": {"resources": check_schema.check, "codes": check_codes.check},
    "invariants": {"rules": check_invariants.check},
    "units": {"quantities": check_units.check},
    "references": {"references": check_references.check},
}


def no_name_twice(pairs):
    """An object of JSON. Most readers pass over a name that stands in it twice, so here it is an error."""
    found = dict(pairs)
    if len(found) < len(pairs):
        raise ValueError("a name stands twice in one object")
    return found


def read(path):
    bundle = json.loads(Path(path).read_text(encoding="utf-8"), object_pairs_hook=no_name_twice)
    if not isinstance(bundle, dict) or bundle.get("resourceType") != "Bundle":
        raise ValueError("not a Bundle")
    return bundle


def look(bundle):
    """For each check its problems, and what it looked at in words."""
    results = {}
    for name, parts in CHECKS.items():
        problems, counts = [], []
        for counted, part in parts.items():
            try:
                found, count = part(bundle)
            except Exception:
                # What is not even built as FHIR need not be readable to each check; one must have said so.
                if not any(refused for refused, _ in results.values()):
                    raise
                found, count = [], "no"
            problems += found
            counts.append(f"{count} {counted}")
        results[name] = problems, f"{name} {' and '.join(counts)}"
    return results


def check_file(path):
    """Prints what is wrong with a file; whether anything is."""
    try:
        results = look(read(path))
    except Exception as error:  # whatever is in the file, the other files are still checked
        print(f"{path}: cannot be checked: {error!r}")
        return True
    count = 0
    for name, (problems, _) in results.items():
        for where, what in problems:
            print(f"{path}: {name}: {where}: {what}")
            count += 1
    print(f"{path}: {count} problems; looked at: {', '.join(words for _, words in results.values())}")
    return count > 0


if __name__ == "__main__":
    arguments = sys.argv[1:]
    if not arguments:
        sys.exit("usage: check.py BUNDLE.json... | check.py --faults")
    if arguments == ["--faults"]:
        folder = Path(__file__).parent
        good = {name: read(folder / name) for name in ("good.json", "good_shoulder.json")}
        sys.exit(matrix.prove(look, list(CHECKS), good))
    sys.exit(any([check_file(path) for path in arguments]))
