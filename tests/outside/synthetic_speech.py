"""A handful of the synthetic clips that recognition is measured with (benches/speech), spoken twice: they come out the
same, each in a folder that says what is heard, and as noisy as it says. With espeak-ng's voices alone, which is quick."""

import os
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SPEECH = ROOT / "benches" / "speech"
COUCHSIDE = os.environ.get("COUCHSIDE", str(ROOT / "target" / "release" / "couchside"))


def made(folder):
    """Digests of the clips of a report of 10 by their names, and what is said in them."""
    command = [sys.executable, SPEECH / "make.py", "--out", folder, "--couchside", COUCHSIDE]
    subprocess.run([*command, "--only", "espeak-ng", "--one-in", "150", "report"], check=True, stdout=subprocess.DEVNULL)
    cases = [tomllib.loads(file.read_text(encoding="utf-8")) for file in Path(folder, "report").glob("*/case.toml")]
    return {case["id"]: case["sha256"] for case in cases}, cases


def main():
    with tempfile.TemporaryDirectory() as first, tempfile.TemporaryDirectory() as second:
        (once, cases), (again, _) = made(first), made(second)
        measured = subprocess.run([sys.executable, SPEECH / "measure.py", Path(first, "report")], check=False)
    faults = ["the clips differ from one run to the next"] * (once != again)
    kinds = [case["kind"] for case in cases]
    if [kinds.count(kind) for kind in ("dictation", "near-domain aside", "aside")] != [6, 2, 2]:
        faults.append(f"not the clips that were asked for: {kinds}")
    for fault in faults:
        print(f"synthetic speech: {fault}", file=sys.stderr)
    print(f"synthetic speech: {len(cases)} clips made twice, {len(faults)} faults")
    return 1 if faults or measured.returncode else 0


if __name__ == "__main__":
    sys.exit(main())
