"""Every element of a resource, together with what HL7's definitions (FHIR R4 4.0.1) say of it."""

from dataclasses import dataclass
from functools import cache

from definitions import structure


@dataclass
class Element:
    where: str  # as a person finds it: Bundle.entry[4].resource.bodySite
    defined: str  # as the definitions name it: Observation.bodySite
    type: str  # its data type; of a resource its name
    base: str  # where its own elements are defined: CodeableConcept, Observation.component
    types: list  # what its definition allows, each with the profiles and the targets of that type
    rules: list  # the invariants of the element, of its data type and of that type's profile
    binding: dict | None  # the value set that it is bound to
    value: object
    resource: dict  # the resource that it is in
    root: dict  # the same, but of a contained resource the one around it


@cache
def children(path):
    """The elements below one path of a structure, by their names in JSON: (definition, data type)."""
    found = {}
    for element in structure(path.split(".")[0])["snapshot"]["element"]:
        above, _, name = element["path"].rpartition(".")
        if above != path or not name:
            continue
        for kind in element.get("type", [{}]):
            code = kind.get("code", "")
            # An element with a choice of types carries its type in its name: value[x] is valueQuantity.
            choice = name.replace("[x]", code[:1].upper() + code[1:])
            found[choice] = element, "string" if code.startswith("http") else code
    return found


@cache
def root_rules(type_or_profile):
    """The invariants of a whole data type, resource or profile, by key."""
    found = structure(type_or_profile)
    root = found["snapshot"]["element"][0] if found else {}
    return {rule["key"]: rule for rule in root.get("constraint", [])}


def below(value, base, where, resource, root):
    for name, found in value.items():
        element, code = children(base).get(name, (None, None))
        if element is None:
            continue  # the structure check names what does not belong there
        for index, one in enumerate(found if isinstance(found, list) else [found]):
            at = f"{where}.{name}[{index}]" if isinstance(found, list) else f"{where}.{name}"
            if code == "Resource":
                yield from elements(one, at, root if name == "contained" else None)
            else:
                yield from described(one, element, code, at, resource, root)


def described(value, element, code, where, resource, root):
    if code[:1].isupper() and not isinstance(value, dict):
        return  # here too
    types = element.get("type", [])
    rules = {rule["key"]: rule for rule in element.get("constraint", [])} | root_rules(code)
    for kind in types:
        for profile in kind.get("profile", []) if kind["code"] == code else []:
            rules |= root_rules(profile)
    base = code
    if code in ("BackboneElement", "Element", ""):
        # What is defined once and used again, as a section within a section, is referred to by its path.
        base = element.get("contentReference", "#" + element["path"])[1:]
    yield Element(
        where,
        element["path"],
        code,
        base,
        types,
        list(rules.values()),
        element.get("binding"),
        value,
        resource,
        root,
    )
    if isinstance(value, dict):
        yield from below(value, base, where, resource, root)


def elements(resource, where=None, root=None):
    """The resource and every element in it that is defined, down into the resources that are in it."""
    kind = resource.get("resourceType") if isinstance(resource, dict) else None
    if not isinstance(kind, str) or not structure(kind):
        return
    where, root = where or kind, root or resource
    rules = list(root_rules(kind).values())
    yield Element(where, kind, kind, kind, [], rules, None, resource, resource, root)
    yield from below(resource, kind, where, resource, root)
