"""Every visit of an invented case is exported and checked from outside, and what was found is in it once, with its value.

    .tools/fhir/run tests/outside/fhir/export.py
"""

import json
import os
import pathlib
import subprocess
import sys
import tempfile

HERE = pathlib.Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent / "page")]
import check
import scene

ROOT = HERE.parents[2]
COUCHSIDE = str(ROOT / os.environ.get("COUCHSIDE", "target/release/couchside"))
# One finding or more of every kind, and of every way to give a value.
KINDS = [
    "left shoulder flexion active one sixty pain five out of ten at end range",
    "right shoulder internal rotation passive seventy firm end feel",
    "right knee flexion active twenty to one hundred and ten",
    "left knee extension passive minus five",
    "both ankles dorsiflexion active twelve",
    "neck flexion full",
    "left shoulder abduction active painful arc sixty to one twenty",
    "right hip abduction resisted strong and pain free",
    "left gluteus medius four plus",
    "left quadriceps strength three minus",
    "right Lachman two plus",
    "left Thompson positive",
    "right adductor longus tender",
    "right mid calf girth thirty six point five centimetres",
    'note the client said <b>"it\'s 5 & rising"</b>',
]


def couchside(home, *words, input=None):
    environment = dict(os.environ, COUCHSIDE_HOME=str(home), COUCHSIDE_PASSPHRASE="a throw-away passphrase")
    environment.pop("COUCHSIDE_PASSPHRASE_FILE", None)
    run = subprocess.run([COUCHSIDE, *words], env=environment, input=input, capture_output=True, text=True)
    if run.returncode:
        raise SystemExit(f"couchside {' '.join(words)}: {run.stderr}")
    return run.stdout


def expected(finding):
    """What an Observation of a finding must hold: for each side its value."""
    sides = {"both": ["left", "right"], None: [None]}.get(finding.get("side"), [finding.get("side")])
    degrees = finding.get("degrees")
    if degrees and "from" in degrees:
        value = ("range", *sorted([degrees["from"], degrees["to"]]))
    elif degrees:
        value = ("deg", degrees["to"])
    elif "girth_cm" in finding:
        value = ("cm", finding["girth_cm"])
    elif finding["kind"] == "note":
        value = ("text", finding["text"])
    else:
        value = None
    return [(side, value) for side in sides]


def found(observation):
    if "valueRange" in observation:
        value = ("range", observation["valueRange"]["low"]["value"], observation["valueRange"]["high"]["value"])
    elif "valueQuantity" in observation:
        value = (observation["valueQuantity"]["code"], observation["valueQuantity"]["value"])
    elif "valueString" in observation:
        value = ("text", observation["valueString"])
    else:
        value = None
    place = observation.get("bodySite", {}).get("coding", [{"code": ""}])[0]["code"]
    side = place.rpartition(".")[2]
    return side if side in ("left", "right") else None, value


def main():
    failed = False
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        lines, home = folder / "scene.jsonl", folder / "home"
        scene.write(COUCHSIDE, lines, [*scene.VISITS, ("2026-11-02", KINDS)])
        couchside(home, "record", "import", str(lines))
        details = ["--history", "<script>alert(1)</script> & more", "--assessment", "better", "--plan", "again in two weeks"]
        couchside(home, "visit", "edit", "--client", scene.CLIENT, "--visit", "4", *details)
        couchside(home, "amend", "1", "one", "hundred", "--because", "misheard", input="confirm\n")
        couchside(home, "client", "edit", scene.CLIENT, "--name", "N. N.", "--born", "1980", "--sex", "female")
        files = []
        case = json.loads(couchside(home, "show", "--client", scene.CLIENT, "--json"))
        for visit in case["visits"]:
            number = str(visit["number"])
            out = folder / f"{number}.json"
            command = ["export", "fhir", "--client", scene.CLIENT, "--visit", number, "--output"]
            couchside(home, *command, str(out))
            couchside(home, *command, str(folder / "again.json"))
            same = out.read_bytes() == (folder / "again.json").read_bytes()
            (folder / "again.json").unlink()
            files.append(out)
            text = out.read_text(encoding="utf-8")
            resources = [entry["resource"] for entry in json.loads(text)["entry"]]
            derived = [one for one in resources if one["resourceType"] == "Observation" and "derivedFrom" not in one]
            wanted = [one for kept in visit["findings"] for one in expected(kept["finding"])]
            if not same or "N. N." in text or [found(one) for one in derived] != wanted:
                print(f"visit {number}: same bytes {same}; name {'N. N.' in text}; {[found(one) for one in derived]} is not {wanted}")
                failed = True
        with_name = folder / "with-name.json"
        couchside(home, "export", "fhir", "--client", scene.CLIENT, "--visit", "1", "--with-name", "--output", str(with_name))
        if '"N. N."' not in with_name.read_text(encoding="utf-8"):
            print("the name that was asked for is not there")
            failed = True
        history = couchside(home, "show", "--client", scene.CLIENT, "--history")
        if history.count("fhir, visit") != 2 * len(files) + 1 or "visit 1, with the name" not in history:
            print("not each export stands in the history")
            failed = True
        for file in [*files, with_name]:
            failed = check.check_file(file) or failed
    raise SystemExit(1 if failed else None)


if __name__ == "__main__":
    main()
