"""Schema: HL7's own JSON schema of FHIR R4 4.0.1: types, forms of dates, required codes, no unknown element.

Each resource is checked by the part of the schema that describes it: the whole of it says of a bundle with
one slip only that none of all resources fits, and takes seconds to prepare.
"""

from functools import cache

from jsonschema_rs import Draft6Validator

from definitions import json_schema
from elements import elements


def referred_to(schema):
    """The definitions that a part of the schema refers to."""
    if isinstance(schema, dict):
        if "$ref" in schema:
            yield schema["$ref"].rsplit("/", 1)[-1]
        schema = list(schema.values())
    if isinstance(schema, list):
        for part in schema:
            yield from referred_to(part)


@cache
def validator(kind):
    """The schema of one resource; a resource within it is not looked into, for it is checked by itself."""
    whole = json_schema()["definitions"]
    needed, waiting = {"ResourceList": {"type": "object"}}, [kind]
    while waiting:
        name = waiting.pop()
        if name not in needed:
            needed[name] = whole[name]
            waiting += referred_to(whole[name])
    return Draft6Validator({"$ref": f"#/definitions/{kind}", "definitions": needed})


def check(bundle):
    """(problems, how many resources were looked at); a problem is (where, what)."""
    problems, resources = [], 0
    for element in elements(bundle):
        if element.value is not element.resource:
            continue
        resources += 1
        for error in validator(element.type).iter_errors(element.value):
            steps = [f"[{step}]" if isinstance(step, int) else f".{step}" for step in error.instance_path]
            problems.append((element.where + "".join(steps), error.message))
    return problems, resources
