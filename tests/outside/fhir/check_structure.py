"""Structure: every element is known, allowed there, of the right type and as often as it may be.

By fhirkit, a validator of FHIR R4 4.0.1 that was written independently of this project.
"""

import json

import fhirkit


def check(bundle):
    """(problems, how many resources were looked at); a problem is (where, what)."""
    issues = fhirkit.validate(json.dumps(bundle))
    problems = [(issue.path, issue.message) for issue in issues if issue.severity == "error"]
    entries = bundle.get("entry", [])
    return problems, 1 + (len(entries) if isinstance(entries, list) else 0)
