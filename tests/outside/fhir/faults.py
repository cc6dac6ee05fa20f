"""Faults, each made in a copy of a good bundle, with the check that must see it.

Other checks may see it as well; one that no longer sees what it is there for has broken down, though.
"""

FAULTS = []


def fault(what, by):
    """Adds a fault to the list: what is wrong, and the name of the check that must refuse it."""

    def add(spoil):
        FAULTS.append((what, by, spoil))
        return spoil

    return add


def first(bundle, kind):
    return next(entry["resource"] for entry in bundle["entry"] if entry["resource"]["resourceType"] == kind)


def measured(bundle):
    """The first Observation; in each sample it has a value in degrees."""
    return first(bundle, "Observation")


def degrees(value, **other):
    return {"value": value, "unit": "degrees", "system": "http://unitsofmeasure.org", "code": "deg"} | other


@fault("Observation without status", "structure")
def no_status(bundle):
    del measured(bundle)["status"]


@fault("two values in one Observation", "structure")
def two_values(bundle):
    measured(bundle)["valueString"] = "thirty"


@fault('status "done"', "schema")
def unknown_status(bundle):
    measured(bundle)["status"] = "done"


@fault('a number as text: "30"', "structure")
def number_as_text(bundle):
    measured(bundle)["valueQuantity"]["value"] = "30"


@fault("unit code without its system (qty-3)", "invariants")
def unit_without_system(bundle):
    del measured(bundle)["valueQuantity"]["system"]


@fault("a value, and why there is none (obs-6)", "invariants")
def value_and_absent_reason(bundle):
    system = "http://terminology.hl7.org/CodeSystem/data-absent-reason"
    measured(bundle)["dataAbsentReason"] = {"coding": [{"system": system, "code": "not-performed"}]}


@fault("Composition not first (bdl-11)", "invariants")
def composition_not_first(bundle):
    bundle["entry"].append(bundle["entry"].pop(0))


@fault("document without identifier (bdl-9)", "invariants")
def no_identifier(bundle):
    del bundle["identifier"]


@fault("document without timestamp (bdl-10)", "invariants")
def no_timestamp(bundle):
    del bundle["timestamp"]


@fault("the same fullUrl twice (bdl-7)", "invariants")
def full_url_twice(bundle):
    bundle["entry"][-1]["fullUrl"] = bundle["entry"][-2]["fullUrl"]


@fault("reference to nothing", "references")
def reference_to_nothing(bundle):
    measured(bundle)["performer"] = [{"reference": "urn:uuid:5e55ffff-0b5e-4c0d-8e1f-000000000099"}]


@fault("invented element laterality", "structure")
def invented_element(bundle):
    measured(bundle)["laterality"] = "left"


@fault("component with its parent's code (obs-7)", "invariants")
def component_repeats_code(bundle):
    observation = measured(bundle)
    observation["component"][0]["code"] = observation["code"]


@fault("empty array", "structure")
def empty_array(bundle):
    measured(bundle)["note"] = []


@fault("date 02/03/2026", "schema")
def date_with_slashes(bundle):
    measured(bundle)["effectiveDateTime"] = "02/03/2026"


@fault("reference range without low, high and text (obs-3)", "invariants")
def empty_reference_range(bundle):
    system = "http://terminology.hl7.org/CodeSystem/referencerange-meaning"
    measured(bundle)["referenceRange"] = [{"type": {"coding": [{"system": system, "code": "normal"}]}}]


@fault("section with a title only (cmp-1)", "invariants")
def section_with_title_only(bundle):
    first(bundle, "Composition")["section"].append({"title": "Plan"})


@fault("period that ends before it starts (per-1)", "invariants")
def period_backwards(bundle):
    period = first(bundle, "Encounter")["period"]
    period["start"], period["end"] = period["end"], period["start"]


@fault("range from 40 to 30 (rng-2)", "invariants")
def range_backwards(bundle):
    observation = measured(bundle)
    del observation["valueQuantity"]
    observation["valueRange"] = {"low": degrees(40), "high": degrees(30)}


@fault("unit code degrees", "units")
def unit_in_words(bundle):
    measured(bundle)["valueQuantity"]["code"] = "degrees"


@fault("bodySite as a list", "structure")
def body_site_as_list(bundle):
    observation = measured(bundle)
    observation["bodySite"] = [observation["bodySite"]]


@fault("encounter leads to the Patient", "references")
def encounter_is_patient(bundle):
    measured(bundle)["encounter"] = dict(measured(bundle)["subject"])


# The five checks were chosen by the faults above. Those below prove what each of them sees besides.


@fault("confidentiality X", "schema")
def unknown_confidentiality(bundle):
    first(bundle, "Composition")["confidentiality"] = "X"


@fault("a code that HL7's system does not have", "schema")
def unknown_category(bundle):
    measured(bundle)["category"][0]["coding"][0]["code"] = "examination"


@fault("a code of HL7's system under another name", "schema")
def wrong_display(bundle):
    first(bundle, "Encounter")["class"]["display"] = "home health"


@fault("LOINC code with two digits exchanged", "schema")
def loinc_slip(bundle):
    first(bundle, "Composition")["type"]["coding"][0]["code"] = "15106-3"


@fault("script in the text (txt-1)", "invariants")
def script_in_text(bundle):
    text = '<div xmlns="http://www.w3.org/1999/xhtml"><script>alert(1)</script></div>'
    measured(bundle)["text"]["div"] = text


@fault("text that says nothing (txt-2)", "invariants")
def empty_text(bundle):
    measured(bundle)["text"]["div"] = '<div xmlns="http://www.w3.org/1999/xhtml"><p> </p></div>'


@fault("what was dictated not escaped in the text (txt-1)", "invariants")
def text_not_escaped(bundle):
    measured(bundle)["text"]["div"] = '<div xmlns="http://www.w3.org/1999/xhtml"><p>less < more</p></div>'


@fault("extension with neither value nor extensions (ext-1)", "invariants")
def empty_extension(bundle):
    measured(bundle)["extension"] = [
        {"url": "http://hl7.org/fhir/StructureDefinition/observation-bodyPosition"}
    ]


@fault("comparator in a reference range (sqty-1)", "invariants")
def comparator_in_range(bundle):
    measured(bundle)["referenceRange"] = [{"low": degrees(0, comparator=">")}]


@fault("#reference to nothing contained (ref-1)", "invariants")
def nothing_contained(bundle):
    measured(bundle)["performer"] = [{"reference": "#therapist"}]


@fault("contained resource that nothing refers to (dom-3)", "invariants")
def unused_contained(bundle):
    measured(bundle)["contained"] = [{"resourceType": "Practitioner", "id": "other"}]


@fault("number with a unit in words only", "units")
def unit_not_coded(bundle):
    measured(bundle)["valueQuantity"] = {"value": 30, "unit": "degrees"}


@fault("an entry that nothing refers to", "references")
def orphan(bundle):
    address = "urn:uuid:5e55ffff-0b5e-4c0d-8e1f-000000000098"
    bundle["entry"].append({"fullUrl": address, "resource": {"resourceType": "Patient", "id": "stranger"}})


@fault("an entry of the Composition left out of the bundle", "references")
def finding_left_out(bundle):
    found = measured(bundle)
    bundle["entry"] = [entry for entry in bundle["entry"] if entry["resource"] is not found]


@fault("fullUrl that is no UUID", "references")
def full_url_without_uuid(bundle):
    bundle["entry"][-1]["fullUrl"] = "urn:uuid:provenance-1"


@fault("a resource that FHIR does not have", "structure")
def unknown_resource(bundle):
    measured(bundle)["resourceType"] = "Finding"


@fault("nothing in it, so hardly a rule runs", "invariants")
def no_entries(bundle):
    del bundle["entry"]
