"""An invented case over several visits, as what `couchside record export` writes: acts, each with the hash of the one before.

The words of each finding are read by `couchside parse`, so that what stands in the record is what the program understands.
"""

import hashlib
import json
import subprocess

CLIENT = "P-7"
# A date, and what was dictated on it.
VISITS = [
    (
        "2026-08-03",
        [
            "right hip flexion active one oh five pain four out of ten end range",
            "left hip flexion active one twenty pain free",
            "right hip internal rotation passive twenty firm painful at end range",
            "left hip internal rotation passive thirty eight firm pain free",
            "right hip abduction active thirty hip hitching",
            "left hip abduction active forty two",
            "right hip abduction resisted strength four minus pain three out of ten",
            "left hip abduction resisted strength five pain free",
            "note groin is stiff in the morning since the half marathon",
        ],
    ),
    (
        "2026-09-07",
        [
            "right hip flexion active one ten pain two out of ten end range",
            "left hip flexion active one twenty",
            "right hip internal rotation passive twenty six firm painful at end range",
            "left hip internal rotation passive thirty eight firm",
            "right hip abduction active thirty six",
            "left hip abduction active forty two",
        ],
    ),
    (
        "2026-10-19",
        [
            "right hip flexion active one eighteen pain free",
            "left hip flexion active one twenty two pain free",
            "right hip internal rotation passive thirty three firm pain free",
            "left hip internal rotation passive thirty nine firm pain free",
            "right knee flexion active one thirty five",
            "left knee flexion active one thirty eight",
            "right Lachman negative firm end point",
            "note stairs are no trouble any more",
        ],
    ),
]


class Lines:
    """The lines of an export."""

    def __init__(self):
        self.lines = ['{"couchside_record":1}']
        self.acts = 0
        self.prior = "0" * 64

    def act(self, at, what, **body):
        self.acts += 1
        body = json.dumps(body, separators=(",", ":"), ensure_ascii=False)
        digest = hashlib.sha256(f"{self.prior}\n{at}\n{what}\n{body}".encode()).hexdigest()
        line = {"id": self.acts, "at": at, "what": what, "body": body, "prior": self.prior, "hash": digest}
        self.lines.append(json.dumps(line, ensure_ascii=False))
        self.prior = digest


def read(couchside, words):
    """What the program understands of words; each line by itself."""
    run = subprocess.run(
        [couchside, "parse", "--each"], input="\n".join(words), capture_output=True, text=True, check=True
    )
    findings = [json.loads(line)["findings"] for line in run.stdout.splitlines()]
    assert all(len(of_line) == 1 for of_line in findings), findings
    return [of_line[0] for of_line in findings]


def write(couchside, path, visits=VISITS):
    """Writes the export; every visit but the last is signed off."""
    lines = Lines()
    lines.act("2026-08-03T08:00:00.000Z", "record made", program="scene")
    lines.act("2026-08-03T08:00:01.000Z", "client added", client=1, code=CLIENT)
    number = 0
    for visit, (date, words) in enumerate(visits, 1):
        lines.act(f"{date}T09:00:00.000Z", "visit opened", visit=visit, client=1, date=date)
        for minute, (said, finding) in enumerate(zip(words, read(couchside, words))):
            number += 1
            at = f"{date}T09:{minute + 1:02}:00.000Z"
            common = {"visit": visit, "finding": finding}
            lines.act(at, "proposed", proposal=number, **common, heard=said, model="tiny.en-joints", grammar="0123456789ab")
            lines.act(at, "confirmed", id=number, proposal=number, **common)
        if visit < len(visits):
            lines.act(f"{date}T10:00:00.000Z", "visit closed", visit=visit)
    with open(path, "w", encoding="utf-8") as file:
        file.write("\n".join(lines.lines) + "\n")
