"""A table that an outside program made: printed, or compared with the one that is kept beside the script."""

import sys
from importlib.metadata import version
from pathlib import Path


def main(script, package, rows):
    """Prints `rows` with the package's version above them; with --check, says whether the kept table is the same.

    The table lies beside `script`, with the ending .tsv.
    """
    lines = [f"# {package} {version(package)}", *("\t".join(row) for row in rows)]
    made = "\n".join(lines) + "\n"
    if sys.argv[1:] != ["--check"]:
        sys.stdout.write(made)
        return 0
    kept = Path(script).with_suffix(".tsv")
    if made == kept.read_text(encoding="utf-8"):
        print(f"{kept.name}: {package} {version(package)} still writes the same {len(rows)} rows")
        return 0
    print(f"{kept.name}: {package} {version(package)} now writes something else; "
          f"make it again with: {Path(script).name} > {kept.name}", file=sys.stderr)
    return 1
