"""Invariants: the rules that HL7 states beside the structure (FHIR R4 4.0.1), run as the FHIRPath they are.

By fhirpathpy, over every element of every resource in the bundle. A rule that the engine cannot run is a
problem too, and so are too few rules: a check that runs none finds nothing either.
"""

from functools import cache

from fhirpathpy import apply_parsed_path
from fhirpathpy.engine.nodes import ResourceNode
from fhirpathpy.models import models
from fhirpathpy.parser import parse

from elements import elements
from narrative import plain_and_not_empty

# A visit with one finding is looked at by 25 different rules; a bundle with nothing in it, by 10.
LEAST_RULES = 20


def has_value(values):
    return [len(values) == 1 and not isinstance(values[0], dict)]


def html_checks(values):
    return [all(map(plain_and_not_empty, values))]


# FHIR adds these to FHIRPath (HL7 FHIR R4 4.0.1, "FHIRPath", additional functions); the engine lacks them.
FUNCTIONS = {
    "hasValue": {"fn": has_value, "arity": {0: []}},
    "htmlChecks": {"fn": html_checks, "arity": {0: []}},
}
# Rules that the engine cannot run as they are written, in other words.
INSTEAD = {
    # It cannot put quantities in order, but their numbers it can, if they are of one unit.
    "rng-2": "low.empty() or high.empty() or (low.code = high.code and low.value <= high.value)",
    # It takes as(uri) of one thing only. We refer to what is contained by references alone.
    "dom-3": "contained.where(('#' + id in %resource.descendants().reference).not()).empty()",
    # Without a reference, as where an identifier is given instead, its answer is neither yes nor no.
    "ref-1": "reference.empty() or reference.startsWith('#').not() or "
    "reference.substring(1) in %rootResource.contained.id",
}

parsed = cache(parse)


def applies(rule, element):
    """Advice is left out, as dom-6; and ele-1 of plain values, for the structure check sees empty ones."""
    return rule["severity"] == "error" and (rule["key"] != "ele-1" or isinstance(element.value, dict))


def holds(rule, element):
    """Whether the answer is yes. An answer that is empty, neither yes nor no, is not enough."""
    expression = INSTEAD.get(rule["key"], rule["expression"])
    node = ResourceNode.create_node(element.value, element.base)
    names = {"resource": element.resource, "rootResource": element.root}
    options = {"userInvocationTable": FUNCTIONS, "traceFn": lambda *_: None}
    return apply_parsed_path(node, parsed(expression), names, models["r4"], options) == [True]


def check(bundle):
    """(problems, how many different rules ran); a problem is (where, what)."""
    problems, ran = [], set()
    for element in elements(bundle):
        for rule in element.rules:
            if not applies(rule, element):
                continue
            try:
                if not holds(rule, element):
                    problems.append((element.where, f"{rule['key']}: {rule['human']}"))
                ran.add(rule["key"])
            except Exception as error:
                problems.append((element.where, f"{rule['key']} could not be run: {str(error)[:100]}"))
    if len(ran) < LEAST_RULES:
        problems.append(("Bundle", f"only {len(ran)} rules ran"))
    return problems, len(ran)
