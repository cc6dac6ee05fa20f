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
from sklearn.model_selection import KFold, cross_val_predict

# What may go wrong at most, of all dictated utterances: taken wrongly without a doubt; and of all talk.
SILENTLY_WRONG = 0.01
TALK_TAKEN = 0.002
TALK_ASKED = 0.02
# What may be asked about needlessly at most, of what is right and taken.
DOUBTED = 0.03
# A control word acts without being said back.
CONTROL_WRONG = 0.0
# What is tried: weights of the second reader, and leads in nats up to which there is a doubt.
BY_EAR = [0, 0.25, 0.5, 0.75, 1, 1.5, 2, 3, 4]
DOUBTS = [0, 0.5, 1, 1.5, 2, 2.5, 3, 4, 5]

NAMES = ["bend", "worst_bend", "end_bend", "distance", "lead", "agreed", "length"]
# As in src/interpret/choose/candidate.rs.
CLEAR, MIDDLING = 8.0, 30.0


def ranked(one, by_ear):
    """Sentences with what speaks for them in nats, the best first."""
    weighed = [(sentence["score"] - by_ear * sentence["sound_cost"], sentence) for sentence in one["candidates"]]
    return sorted(weighed, key=lambda pair: -pair[0])


def features(one, by_ear):
    sentences = ranked(one, by_ear)
    weight, first = sentences[0]
    # How far it is ahead of the next that says something else, in nats.
    leads = [weight - other for other, sentence in sentences if sentence["says"] != first["says"]]
    values = {**first, "lead": min([CLEAR, *leads]), "length": one["sounds"] / MIDDLING}
    return [float(values[name]) for name in NAMES]


class Fitted:
    """Weights and limits for one weight of the second reader: those with which most is taken rightly and without a doubt."""

    def __init__(self, some, by_ear, dictated, talk):
        self.by_ear, self.of = by_ear, sum(one["class"] == "dictation" for one in dictated)
        best = [ranked(one, by_ear)[0][1] for one in some]
        values = np.array([features(one, by_ear) for one in some])
        right = np.array([bool(sentence["right"]) for sentence in best])
        control = np.array([sentence["control"] for sentence in best])
        # Confirmed blindly, only what lacks nothing is recorded.
        settled = np.array([sentence["settled"] for sentence in best])
        is_talk = np.array([one["class"].startswith("talk") for one in some])
        # Every kind of evidence is held back alike, whatever its unit.
        spread = values.std(axis=0)
        spread[spread == 0] = 1
        regression = LogisticRegression(C=1.0, max_iter=5000)
        # Limits are set by probabilities of utterances that the weights were not fitted to.
        folds = KFold(10, shuffle=True, random_state=0)
        sure = cross_val_predict(regression, values / spread, right, cv=folds, method="predict_proba")[:, 1]
        regression.fit(values / spread, right)
        self.weights, self.constant = regression.coef_[0] / spread, regression.intercept_[0]
        self.first = right.sum()

        leads = values[:, NAMES.index("lead")]
        steps = [*np.unique(np.round(sure, 4)), 1.0]
        well, wrong = right & ~control, settled & ~control & ~right & ~is_talk
        self.taken = -1
        for doubt in DOUBTS:
            clear = leads > doubt
            # Doubts are cheap beside a wrong finding, but not for nothing.
            if (well & ~clear).sum() > DOUBTED * well.sum():
                continue
            take = next(
                step for step in steps
                if (wrong & clear & (sure >= step)).sum() <= SILENTLY_WRONG * len(dictated)
                and (is_talk & ~control & (sure >= step)).sum() <= TALK_TAKEN * len(talk)
            )
            taken = (well & clear & (sure >= take)).sum()
            if taken >= self.taken:
                self.taken, self.doubt, self.take = taken, doubt, take
                self.silent = (wrong & clear & (sure >= take)).sum()
        obeyed = lambda step: (control & ~right & (sure >= step)).sum()
        self.obey = next(step for step in steps if step >= self.take and obeyed(step) <= CONTROL_WRONG * len(some))
        asked = lambda step: (is_talk & ~control & (sure >= step) & (sure < self.take)).sum()
        self.ask = min(self.take, next(step for step in steps if asked(step) <= TALK_ASKED * len(talk)))

    def __str__(self):
        return (
            f"by ear {self.by_ear:4}: the first is right in {self.first}; taken from {self.take:.4f} and out of doubt from a lead of "
            f"{self.doubt} nats on: {self.taken} of {self.of} rightly, {self.silent} wrongly"
        )


def main():
    model, evidence, beliefs = sys.argv[1:]
    heard = [json.loads(line) for line in open(evidence, encoding="utf-8")]
    dictated = [one for one in heard if one["class"] in ("dictation", "control word")]
    talk = [one for one in heard if one["class"].startswith("talk")]
    print(f"{len(dictated)} dictated utterances, {len(talk)} of talk")

    some = [one for one in dictated + talk if one["candidates"]]
    tried = [Fitted(some, by_ear, dictated, talk) for by_ear in BY_EAR]
    for one in tried:
        print(one)
    found = max(tried, key=lambda one: one.taken)

    lines = [
        f"[{key(model)}]",
        *(f"{name} = {value:.4f}" for name, value in
          [("by_ear", found.by_ear), ("take", found.take), ("obey", found.obey), ("ask", found.ask), ("doubt", found.doubt),
           ("constant", found.constant)]),
        "",
        f"[{key(model)}.weights]",
        *(f"{name} = {value:.4f}" for name, value in zip(NAMES, found.weights)),
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
