"""Where the fuzzer begins: the grammar's files, own words as the guide shows them, and the phrases of the golden cases."""

import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def loader():
    """The targets' files are those of grammars/ in order, with one file of each folder and without the examples."""
    grammars = ROOT / "grammars"
    names = sorted(path.relative_to(grammars).as_posix() for path in grammars.rglob("*.toml"))
    folders = {"joints/": "joints/knee.toml", "muscles/": "muscles/knee.toml", "tests/": "tests/knee.toml"}
    kept = [name for name in names if not name.startswith("examples")
            and all(not name.startswith(folder) or name == only for folder, only in folders.items())]
    for number, name in enumerate(kept):
        # Long files are begun only: entries after the first ones are like them.
        text = (grammars / name).read_text().encode()[:4000]
        yield bytes([number]) + text


def own_words():
    yield b'[[add]]\nsay = ["gristly", "like gristle"]\nmeans = "firm"\n'
    yield b'[[add]]\nsay = { say = "heel to bum", weight = -1 }\nmeans = "knee flexion"\n'
    yield b'[[add]]\nsay = "{degrees} clicks"\nmeans = "{degrees} degrees"\n'
    yield b'[[add]]\nsay = "tick it off"\nmeans = "confirm"\nof = "control"\n'


def parser():
    for path in sorted((ROOT / "tests/cases").glob("*.toml")):
        cases = tomllib.loads(path.read_text()).get("case", [])
        said = [case["heard"] for case in cases if isinstance(case.get("heard"), str)]
        yield "\n".join(said[:8]).encode()


folder = Path(sys.argv[2])
for number, seed in enumerate({"loader": loader, "own_words": own_words, "parser": parser}[sys.argv[1]]()):
    (folder / f"seed-{number}").write_bytes(seed)
