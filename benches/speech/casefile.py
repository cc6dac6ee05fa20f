"""A case.toml as in audio-samples, with what a measurement wants to be broken down by."""

import json


def written(case):
    """The text of the file: plain values first, then one table an utterance."""
    plain = [f"{key} = {value(one)}" for key, one in case.items() if key != "utterance" and one is not None]
    for utterance in case.get("utterance", []):
        plain += ["", "[[utterance]]", *(f"{key} = {value(one)}" for key, one in utterance.items() if one is not None)]
    return "\n".join(plain) + "\n"


def value(one):
    """As TOML writes it."""
    if isinstance(one, dict):
        return "{ " + ", ".join(f"{key} = {value(of)}" for key, of in one.items()) + " }"
    if isinstance(one, list):
        return "[" + ", ".join(map(value, one)) + "]"
    return json.dumps(one, ensure_ascii=False)
