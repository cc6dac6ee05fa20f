"""What is said: dictation drawn from the grammar by couchside itself, and talk drawn from the templates of asides.toml."""

import json
import os
import random
import re
import subprocess
import tempfile
import tomllib
from pathlib import Path

HERE = Path(__file__).resolve().parent


def dictation(couchside, seed, count, never_said, seen):
    """`count` phrases that are not in `seen`, each a list of utterances with `said` and what it means."""
    drawn = count + count // 2
    command = [couchside, "grammar", "draw", "--json", "--seed", str(seed), "--count", str(drawn)]
    command += [part for word in never_said for part in ("--without", word)]
    with tempfile.TemporaryDirectory() as home:  # nobody's own words
        environment = {**os.environ, "COUCHSIDE_HOME": home}
        lines = subprocess.run(command, check=True, env=environment, stdout=subprocess.PIPE).stdout.splitlines()
    phrases = []
    for phrase in map(json.loads, lines):
        text = " · ".join(one["said"] for one in phrase["utterances"])
        if text not in seen or phrase["about"] == "control":
            seen.add(text)
            phrases.append(phrase)
        if len(phrases) == count:
            return phrases
    raise ValueError(f"the grammar gave only {len(phrases)} of {count} phrases")


class Asides:
    """Draws sentences, every template in turn, none twice."""

    def __init__(self, seed, seen):
        self.random = random.Random(seed)
        self.seen = seen
        data = tomllib.loads((HERE / "asides.toml").read_text(encoding="utf-8"))
        self.lists = data["lists"]
        self.templates = {how: [(group["kind"], said) for group in data[how] for said in group["said"]] for how in ("near", "far")}
        self.dealt = {"near": [], "far": []}

    def draw(self, how, kind=None):
        """A sentence, `near` the trade or `far` from it, and who speaks in it; only of `kind` if that is given."""
        for _ in range(100_000):
            if not self.dealt[how]:
                self.dealt[how] = self.random.sample(self.templates[how], len(self.templates[how]))
            of, template = self.dealt[how].pop()
            said = self.filled(template)
            # A sentence without a gap can be said once only; long talk may repeat it.
            if (kind is None or kind(of)) and (said not in self.seen or kind):
                self.seen.add(said)
                return of, said
        raise ValueError("asides.toml has no more sentences")

    def filled(self, template):
        used = {}

        def pick(match):
            left = [word for word in self.lists[match[1]] if word not in used.get(match[1], ())]
            used.setdefault(match[1], []).append(self.random.choice(left))
            return used[match[1]][-1]

        return " ".join(re.sub(r"{(\w+)}", pick, template).split())


def asides(seed, counts, seen):
    """`counts` says how many `near` and `far`."""
    drawing = Asides(seed, seen)
    return {how: [drawing.draw(how)[1] for _ in range(count)] for how, count in counts.items()}
