"""Codes: what is taken from a list of codes is in that list, under the name that it has there.

* A code of a list that HL7 requires (FHIR R4 4.0.1, bindings of strength "required").
* A code of any code system that HL7's definitions hold whole, with its name.
* Every code has a system, by its whole address.
* A LOINC code by its check digit, the last one (Luhn's formula): LOINC's own table is not at hand here.
"""

from functools import cache

from definitions import definition
from elements import elements


@cache
def code_system(url):
    """The codes of a system with their names; None if the definitions do not hold all of it."""
    found = definition("CodeSystem", url)
    if not found or found["content"] != "complete":
        return None
    codes, waiting = {}, list(found.get("concept", []))
    while waiting:
        concept = waiting.pop()
        codes[concept["code"]] = concept.get("display", concept["code"])
        waiting += concept.get("concept", [])
    return codes


@cache
def value_set(url):
    """(system, code) of each code of a value set; None unless it is made of codes and whole systems."""
    found = definition("ValueSet", url)
    if not found or "exclude" in found["compose"]:
        return None
    codes = set()
    for part in found["compose"]["include"]:
        system = code_system(part.get("system", ""))
        if "filter" in part or "valueSet" in part or ("concept" not in part and system is None):
            return None
        chosen = [concept["code"] for concept in part["concept"]] if "concept" in part else system
        codes.update((part["system"], code) for code in chosen)
    return codes


def luhn(digits):
    """Luhn's formula: with every second digit from the right doubled, the digits sum up to full tens."""
    doubled = (int(digit) * (1 + place % 2) for place, digit in enumerate(reversed(digits)))
    return sum(sum(divmod(number, 10)) for number in doubled) % 10 == 0


def of_required_list(value, url):
    """What is wrong with a value that must be of a list. Those that we write are all single codes."""
    codes = value_set(url)
    if codes is not None and isinstance(value, str) and value not in {code for _, code in codes}:
        yield f"{value!r} is not in the list that HL7 requires here, {url}"


def of_system(coding):
    """What is wrong with a code of a named system."""
    url, code, name = (coding.get(part, "") for part in ("system", "code", "display"))
    if not code or ":" not in url:
        yield "a code means nothing without the address of its system"
    if url == "http://loinc.org":
        digits = code.replace("-", "")
        if code[-2:-1] != "-" or not digits.isdigit() or not luhn(digits):
            yield f"{code!r} is not a LOINC code: the check digit is not right"
    codes = code_system(url)
    if codes is not None and code not in codes:
        yield f"{code!r} is not a code of {url}"
    elif codes is not None and name and name.lower() != codes[code].lower():
        yield f"{code!r} of {url} is called {codes[code]!r}, not {name!r}"


def check(bundle):
    """(problems, how many codes were looked at); a problem is (where, what)."""
    problems, looked_at = [], 0
    for element in elements(bundle):
        required = element.binding and element.binding["strength"] == "required"
        found = list(of_required_list(element.value, element.binding["valueSet"])) if required else []
        if element.type == "Coding":
            found += of_system(element.value)
        looked_at += bool(required or element.type == "Coding")
        problems += [(element.where, what) for what in found]
    return problems, looked_at
