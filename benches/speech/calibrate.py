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
SILENTLY_WRONG = 0.005
TALK_TAKEN = 0.002
TALK_ASKED = 0.05
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
    is_talk = np.array([one["class"].startswith("talk") for one in some])
    regression = LogisticRegression(C=1.0, max_iter=5000)
    # Limits are set by probabilities of utterances that the weights were not fitted to.
    sure = cross_val_predict(regression, values, right, cv=10, method="predict_proba")[:, 1]
    regression.fit(values, right)
    leads = values[:, NAMES.index("lead")]

    best = None
    steps = np.unique(np.round(np.quantile(sure, np.linspace(0, 1, 200)), 4))
    for doubt in [0, 0.5, 1, 1.5, 2, 2.5, 3, 4, 5]:
        for take in steps:
            taken = (sure >= take) & ~control
            silently = taken & ~right & ~is_talk & (leads > doubt)
            if silently.sum() > SILENTLY_WRONG * len(dictated) or (taken & is_talk).sum() > TALK_TAKEN * len(talk):
                continue
            well = (taken & right & (leads > doubt)).sum()
            if best is None or well > best[0]:
                best = (well, doubt, take)
            break
    well, doubt, take = best
    obeyed = lambda limit: (sure >= limit) & control
    obey = next(s for s in [*steps, 1.0] if s >= take and (obeyed(s) & ~right).sum() <= CONTROL_WRONG * len(heard))
    asked = lambda limit: ((sure >= limit) & (sure < take) & is_talk & ~control).sum()
    ask = next(s for s in [*steps, take] if asked(s) <= TALK_ASKED * len(talk))
    ask = min(ask, take)
    print(f"taken from {take:.4f}, obeyed from {obey:.4f}, asked from {ask:.4f}, in doubt up to a lead of {doubt} nats")
    print(f"  right and taken without a doubt: {well} of {(~np.array([o['class'] == 'control word' for o in dictated])).sum()}")
    print(f"  talk taken: {((sure >= take) & ~control & is_talk).sum()}, asked: {asked(ask)}, obeyed: {(obeyed(obey) & is_talk).sum()}")

    lines = [
        f"[{key(model)}]",
        *(f"{name} = {value:.4f}" for name, value in
          [("by_ear", by_ear), ("take", take), ("obey", obey), ("ask", ask), ("doubt", doubt),
           ("constant", regression.intercept_[0])]),
        "",
        f"[{key(model)}.weights]",
        *(f"{name} = {value:.4f}" for name, value in zip(NAMES, regression.coef_[0])),
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
