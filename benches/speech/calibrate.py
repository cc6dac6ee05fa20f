"""Fits how far a model is believed to what spoke for each sentence of the fit set.

usage: calibrate.py MODEL EVIDENCE.jsonl BELIEFS.toml

EVIDENCE.jsonl is what `couchside evaluate --evidence` wrote for the fit set; the limits of MODEL in BELIEFS.toml are
replaced. Only the fit set may be used: what is published is measured with other voices and other phrases.
"""

import json
import pathlib
import re
import sys

import numpy as np
from sklearn.linear_model import LogisticRegression
from sklearn.model_selection import cross_val_predict

# What may go wrong at most, of all dictated utterances: taken wrongly without a doubt; and of all talk.
SILENTLY_WRONG = 0.01
TALK_TAKEN = 0.002
TALK_ASKED = 0.02
# What may be asked about needlessly at most, of what is right and taken.
DOUBTED = 0.03
# A control word acts without being said back.
CONTROL_WRONG = 0.0

NAMES = ["bend", "worst_bend", "end_bend", "distance", "lead", "agreed", "length"]
CLEAR, MIDDLING = 8.0, 30.0


def ranked(one, by_ear):
    return sorted(one["candidates"], key=lambda c: -(c["score"] - by_ear * c["sound_cost"]))


def lead(sentences, by_ear):
    """How far the first is ahead of the next that says something else, in nats."""
    weight = lambda c: c["score"] - by_ear * c["sound_cost"]
    others = [c for c in sentences if c["says"] != sentences[0]["says"]]
    return min(CLEAR, weight(sentences[0]) - weight(others[0])) if others else CLEAR


def features(one, by_ear):
    sentences = ranked(one, by_ear)
    best = sentences[0]
    values = {**best, "lead": lead(sentences, by_ear), "length": one["sounds"] / MIDDLING}
    return [float(values[name]) for name in NAMES]


def main():
    model, evidence, beliefs = sys.argv[1:]
    heard = [json.loads(line) for line in open(evidence, encoding="utf-8")]
    dictated = [one for one in heard if one["class"] in ("dictation", "control word")]
    talk = [one for one in heard if one["class"].startswith("talk")]
    print(f"{len(dictated)} dictated utterances, {len(talk)} of talk")

    # The weight of the second reader: with which the right sentence is most often the first.
    found = [one for one in dictated if any(c["right"] for c in one["candidates"])]
    first = lambda by_ear: sum(ranked(one, by_ear)[0]["right"] for one in found)
    grid = [0, 0.25, 0.5, 0.75, 1, 1.5, 2, 3, 4]
    for weight in grid:
        print(f"  by ear {weight:4}: the right sentence is first in {first(weight)} of {len(found)} where it is there")
    by_ear = max(grid, key=lambda weight: (first(weight), -weight))

    some = [one for one in dictated + talk if one["candidates"]]
    values = np.array([features(one, by_ear) for one in some])
    right = np.array([bool(ranked(one, by_ear)[0]["right"]) for one in some])
    control = np.array([ranked(one, by_ear)[0]["control"] for one in some])
    # Confirmed blindly, only what lacks nothing is recorded.
    settled = np.array([ranked(one, by_ear)[0]["settled"] for one in some])
    is_talk = np.array([one["class"].startswith("talk") for one in some])
    # Every kind of evidence is held back alike, whatever its unit.
    spread = values.std(axis=0)
    spread[spread == 0] = 1
    values_in_spreads = values / spread
    regression = LogisticRegression(C=1.0, max_iter=5000)
    # Limits are set by probabilities of utterances that the weights were not fitted to.
    sure = cross_val_predict(regression, values_in_spreads, right, cv=10, method="predict_proba")[:, 1]
    regression.fit(values_in_spreads, right)
    weights = regression.coef_[0] / spread
    leads = values[:, NAMES.index("lead")]

    steps = np.unique(np.round(np.quantile(sure, np.linspace(0, 1, 400)), 4))
    well = right & ~control
    # Doubts are cheap beside a wrong finding: as many as may be.
    doubts = [0, 0.5, 1, 1.5, 2, 2.5, 3, 4, 5]
    doubt = max(d for d in doubts if (well & (leads <= d)).sum() <= DOUBTED * well.sum())

    def silently(limit):
        return ((sure >= limit) & ~control & ~right & ~is_talk & settled & (leads > doubt)).sum()

    def talk_taken(limit):
        return ((sure >= limit) & ~control & is_talk).sum()

    take = next(
        s for s in [*steps, 1.0]
        if silently(s) <= SILENTLY_WRONG * len(dictated) and talk_taken(s) <= TALK_TAKEN * len(talk)
    )
    obeyed = lambda limit: (sure >= limit) & control
    obey = next(s for s in [*steps, 1.0] if s >= take and (obeyed(s) & ~right).sum() <= CONTROL_WRONG * len(heard))
    asked = lambda limit: ((sure >= limit) & (sure < take) & is_talk & ~control).sum()
    ask = next(s for s in [*steps, take] if asked(s) <= TALK_ASKED * len(talk))
    ask = min(ask, take)
    print(f"taken from {take:.4f}, obeyed from {obey:.4f}, asked from {ask:.4f}, in doubt up to a lead of {doubt} nats")
    found_well = (well & (sure >= take) & (leads > doubt)).sum()
    print(f"  right and taken without a doubt: {found_well} of {sum(o['class'] == 'dictation' for o in dictated)}")
    print(f"  talk taken: {talk_taken(take)}, asked: {asked(ask)}, obeyed: {(obeyed(obey) & is_talk).sum()}")

    lines = [
        f"[{key(model)}]",
        *(f"{name} = {value:.4f}" for name, value in
          [("by_ear", by_ear), ("take", take), ("obey", obey), ("ask", ask), ("doubt", doubt),
           ("constant", regression.intercept_[0])]),
        "",
        f"[{key(model)}.weights]",
        *(f"{name} = {value:.4f}" for name, value in zip(NAMES, weights)),
        "",
    ]
    file = pathlib.Path(beliefs)
    text = file.read_text(encoding="utf-8")
    pattern = re.compile(rf"\[{re.escape(key(model))}\]\n.*?(?=\n\[(?!{re.escape(key(model))}\.weights\])|\Z)", re.S)
    block = "\n".join(lines)
    text = pattern.sub(lambda _: block, text) if pattern.search(text) else text.rstrip("\n") + "\n\n" + block
    file.write_text(text.rstrip("\n") + "\n", encoding="utf-8")
    print(f"wrote {beliefs}")


def key(model):
    return model if re.fullmatch(r"[A-Za-z0-9_-]+", model) else f'"{model}"'


if __name__ == "__main__":
    main()
