"""The findings of an invented case, exported as CSV, are read back by Python's csv module (RFC 4180), and are what `couchside show` says;
each column is described beside as CSV on the Web (W3C).

    python3 tests/outside/csv_export.py
"""

import csv
import json
import os
import pathlib
import subprocess
import sys
import tempfile

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE / "page"))
import scene

COUCHSIDE = str(HERE.parents[1] / os.environ.get("COUCHSIDE", "target/release/couchside"))
# What a spreadsheet could take for a formula, and what needs quotes.
AWKWARD = ['note =1+1, "quoted"', "note minus five", "both ankles dorsiflexion active twelve", "left shoulder abduction active painful arc sixty to one twenty"]
PLAIN = ["kind", "side", "joint", "movement", "mode", "muscle", "test", "structure", "level", "range", "end_feel", "strength", "power", "result"]


def couchside(home, *words):
    environment = dict(os.environ, COUCHSIDE_HOME=str(home), COUCHSIDE_PASSPHRASE="a throw-away passphrase")
    environment.pop("COUCHSIDE_PASSPHRASE_FILE", None)
    run = subprocess.run([COUCHSIDE, *words], env=environment, capture_output=True, text=True)
    if run.returncode:
        raise SystemExit(f"couchside {' '.join(words)}: {run.stderr}")
    return run.stdout


def expected(visit, kept):
    """The row of a finding, as `show --json` says it."""
    finding = kept["finding"]
    pain, degrees = finding.get("pain", {}), finding.get("degrees", {})
    words = finding.get("text", kept["heard"])
    row = {name: finding.get(name, "") for name in PLAIN}
    row |= {
        "finding": kept["id"],
        "visit": visit["number"],
        "client": scene.CLIENT,
        "date": visit["date"],
        "recorded_at": kept["at"],
        "status": "amended" if "amended" in kept else "final" if "signed" in visit else "preliminary",
        "degrees": degrees.get("to", ""),
        "degrees_from": degrees.get("from", ""),
        "painful": str(pain["felt"]).lower() if pain else "",
        "pain_score": pain.get("score", ""),
        "pain_when": pain.get("when", ""),
        "pain_arc_from": pain.get("arc", {}).get("from", ""),
        "pain_arc_to": pain.get("arc", {}).get("to", ""),
        "laxity": finding.get("laxity", ""),
        "girth": finding.get("girth_cm", ""),
        "signs": "; ".join(finding.get("signs", [])),
        "words": "'" + words if words[0] in "=+-@" else words,
    }
    return {name: str(value) for name, value in row.items()}


def main():
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        home, out = folder / "home", folder / "findings.csv"
        scene.write(COUCHSIDE, folder / "scene.jsonl", [*scene.VISITS, ("2026-11-02", AWKWARD)])
        couchside(home, "record", "import", str(folder / "scene.jsonl"))
        couchside(home, "export", "csv", "--client", scene.CLIENT, "--output", str(out))
        couchside(home, "export", "csv", "--all", "--output", str(folder / "all.csv"))
        raw = out.read_bytes()
        assert raw == (folder / "all.csv").read_bytes(), "one client and all clients differ"
        assert raw.count(b"\r\n") == raw.count(b"\n"), "a line does not end in CR LF"
        with open(out, newline="", encoding="utf-8") as file:
            rows = list(csv.DictReader(file, strict=True))
        case = json.loads(couchside(home, "show", "--client", scene.CLIENT, "--json"))
        wanted = [expected(visit, kept) for visit in case["visits"] for kept in visit["findings"]]
        wanted.sort(key=lambda row: int(row["finding"]))
        for row, want in zip(rows, wanted, strict=True):
            assert row == want, {name: (row[name], want[name]) for name in row if row[name] != want[name]}
        described = json.loads((folder / "findings.csv-metadata.json").read_text(encoding="utf-8"))
        columns = [column["name"] for column in described["tableSchema"]["columns"]]
        assert described["url"] == "findings.csv" and columns == list(rows[0]), "the description is of other columns"
        for column in described["tableSchema"]["columns"]:
            assert column["dc:description"] and not (column["required"] and any(row[column["name"]] == "" for row in rows))
    print(f"exported CSV: {len(rows)} findings read back by Python's csv module are what show says")


if __name__ == "__main__":
    main()
