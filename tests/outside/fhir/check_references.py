"""References: each leads to a resource of this bundle, of a type that may stand there; none is left over.

Our own walk by HL7's definitions (FHIR R4 4.0.1; "Bundle", how references are resolved, and "Documents", what
a document holds), for no library looks at this.
"""

import re

from elements import elements

UUID = re.compile(r"urn:uuid:[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")


def resources(bundle):
    """The resources by the address that they are referred to by, in the order of the bundle."""
    return {entry.get("fullUrl"): entry.get("resource", {}) for entry in bundle.get("entry", [])}


def target(element, found):
    """The resource that a reference leads to, or None."""
    reference = element.value.get("reference", "")
    if not reference.startswith("#"):
        return found.get(reference)
    inside = [one for one in element.root.get("contained", []) if f"#{one.get('id')}" == reference]
    return element.root if reference == "#" else next(iter(inside), None)


def by_identifier(element):
    """Whether it names something outside, as a former version. A Composition may not: it is the content."""
    outside = "reference" not in element.value and "identifier" in element.value
    return outside and element.root.get("resourceType") != "Composition"


def wrong(element, to):
    """What is wrong with a reference that leads to the resource `to`, or None."""
    if to is None:
        return f"{element.value.get('reference')!r} is not in the bundle"
    kind = to.get("resourceType")
    profiles = [profile for kind in element.types for profile in kind.get("targetProfile", [])]
    allowed = {profile.rsplit("/", 1)[-1] for profile in profiles}
    if allowed and not allowed & {kind, "Resource"}:
        return f"leads to a {kind}; what may stand there: {', '.join(sorted(allowed))}"
    if element.value.get("type", kind) != kind:
        return f"says that it leads to a {element.value['type']}, but that is a {kind}"
    return None


def left_over(found, links):
    """The addresses of what the Composition does not lead to. A Provenance belongs to what it is about."""
    reached, before = {id(resource) for resource in list(found.values())[:1]}, None
    while reached != before:
        before = set(reached)
        for source, to, defined in links:
            if id(source) in before:
                reached.add(id(to))
            elif defined == "Provenance.target" and id(to) in before:
                reached.add(id(source))
    return [address for address, resource in found.items() if id(resource) not in reached]


def check(bundle):
    """(problems, how many references were followed); a problem is (where, what)."""
    problems, links, followed = [], [], 0
    found = resources(bundle)
    for address in found:
        if not isinstance(address, str) or (address.startswith("urn:uuid:") and not UUID.fullmatch(address)):
            problems.append(("Bundle.entry.fullUrl", f"{address!r} is no address to be referred to by"))
    for element in elements(bundle):
        if element.type != "Reference" or by_identifier(element):
            continue
        followed += 1
        to = target(element, found)
        what = wrong(element, to)
        if what:
            problems.append((element.where, what))
        else:
            links.append((element.root, to, element.defined))
    if bundle.get("type") == "document":
        problems += [("Bundle", f"nothing leads to {address}") for address in left_over(found, links)]
    if not followed:
        problems.append(("Bundle", "there is no reference in it at all"))
    return problems, followed
