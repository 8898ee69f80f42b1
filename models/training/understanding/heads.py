"""Teaches the last layers alone: ``uv run python -m models.training.understanding.heads OUT [--net FOLDER]``.

For a new intent while it is written, without a GPU, PyTorch or the pretrained weights. The encoder of the net that is
in use (or of ``--net``) stays as it is and reads every sentence once; then the layers for intents, acts and danger
learn, each from where it was, drawn back to it (``HOLD``) so that the intents that were there keep their sentences.
OUT becomes a whole net: copied over the one in use, it is tried. Words that only the new sentences have are read in pieces
that the net knows, and roles are not taught: the whole training does both. ``--passes 0`` leaves every old row as it
was and gives a new intent the mean of its sentences, which shows at once whose sentences lie beside its own.
"""

import argparse
import json
import shutil
import time
from collections import Counter
from pathlib import Path

import numpy as np

from intents.meaning import FOLDER, Meanings
from models.training.understanding.rows import ACTS, gathered, known_words, unseen

PASSES, BATCH, RATE = 12, 256, 2e-3
HOLD = 3e-3
"""How strongly a layer is drawn back to what it was, a step."""
SMOOTH = 0.05
"""The share of certainty that labels leave to everything else."""
COPIED = ("model.bin", "config.json", "vocabulary.json", "calibration.json")


def vectors_of(net, rows, say=print):
    """Return the encoder's mean vector of each row, read in batches of like length."""
    order = sorted(range(len(rows)), key=lambda i: len(rows[i]["words"]))
    found = np.zeros((len(rows), net._heads["intents_weight"].shape[1]), np.float32)
    begun = time.time()
    for at in range(0, len(order), 64):
        part = order[at : at + 64]
        read = net.vectors(
            [net.coded(tuple(rows[i]["words"]), tuple(rows[i].get("before", ()))) for i in part]
        )
        found[part] = [each.mean(axis=0) for each in read]
        if at % 6400 == 0:
            say(f"{at} of {len(rows)} read, {time.time() - begun:.0f} s", flush=True)
    return found


def begun_with(old_names, names, weight, bias, vectors, labels):
    """Return a layer for ``names``: the old row of each, and for a new one the mean of its sentences."""
    new_weight, new_bias = (
        np.zeros((len(names), weight.shape[1]), np.float32),
        np.zeros(len(names), np.float32),
    )
    for i, name in enumerate(names):
        if name in old_names:
            new_weight[i], new_bias[i] = weight[old_names.index(name)], bias[old_names.index(name)]
        else:
            middle = vectors[labels == i].mean(axis=0) - vectors.mean(axis=0)
            new_weight[i] = middle / np.linalg.norm(middle) * np.linalg.norm(weight, axis=1).mean()
            new_bias[i] = bias.mean()
    return new_weight, new_bias


def taught(weight, bias, vectors, targets, counts, *, one=False, passes=PASSES):
    """Return a layer after its passes; ``targets`` are shares, ``counts`` how much each sentence weighs."""
    chance = np.random.default_rng(1)
    start = [weight.copy(), bias.copy()]
    now = [weight.copy(), bias.copy()]
    mean, square = ([np.zeros_like(x) for x in now] for _ in range(2))
    step, steps = 0, passes * -(-len(vectors) // BATCH)
    for _ in range(passes):
        order = chance.permutation(len(vectors))
        for at in range(0, len(order), BATCH):
            part = order[at : at + BATCH]
            logits = vectors[part] @ now[0].T + now[1]
            if one:
                shares = 1 / (1 + np.exp(-logits))
            else:
                shares = np.exp(logits - logits.max(axis=1, keepdims=True))
                shares /= shares.sum(axis=1, keepdims=True)
            wrong = (shares - targets[part]) * counts[part, None] / counts[part].sum()
            slopes = [wrong.T @ vectors[part], wrong.sum(axis=0)]
            step += 1
            rate = RATE * (1 - step / steps)
            for k in range(2):
                slope = slopes[k] + HOLD * (now[k] - start[k])
                mean[k] = 0.9 * mean[k] + 0.1 * slope
                square[k] = 0.999 * square[k] + 0.001 * slope**2
                now[k] -= rate * (mean[k] / (1 - 0.9**step)) / (np.sqrt(square[k] / (1 - 0.999**step)) + 1e-8)
    return now


def shares_of(labels, size):
    """Return one row of shares a label."""
    found = np.full((len(labels), size), SMOOTH / size, np.float32)
    found[np.arange(len(labels)), labels] += 1 - SMOOTH
    return found


def main() -> None:
    """Teach and write."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("out", type=Path)
    asked.add_argument("--net", type=Path, default=FOLDER)
    asked.add_argument("--passes", type=int, default=PASSES)
    given = asked.parse_args()
    net = Meanings(given.net)
    rows = gathered(unseen())
    counts = Counter(r["intent"] for r in rows)
    names = {"intents": sorted(counts), "acts": list(ACTS)}
    new = sorted(set(names["intents"]) - set(net.intents))
    print(
        len(rows),
        "sentences; new intents:",
        ", ".join(f"{n} ({counts[n]})" for n in new) or "none",
        flush=True,
    )
    vectors = vectors_of(net, rows)
    times = np.array([r.get("times", 1) for r in rows], np.float32)
    heads = {name: array.astype(np.float32) for name, array in net._heads.items()}
    fair = np.array([1 / max(counts[r["intent"]], 4) ** 0.5 for r in rows], np.float32)
    for head, key, old in (("intents", "intent", net.intents), ("acts", "act", net.acts)):
        known = np.array([r[key] in names[head] for r in rows])
        labels = np.array([names[head].index(r[key]) for r in rows if r[key] in names[head]])
        weight, bias = begun_with(
            old, names[head], heads[f"{head}_weight"], heads[f"{head}_bias"], vectors[known], labels
        )
        weigh = times[known] * (fair[known] if head == "intents" else 1)
        learnt = taught(
            weight, bias, vectors[known], shares_of(labels, len(names[head])), weigh, passes=given.passes
        )
        heads[f"{head}_weight"], heads[f"{head}_bias"] = learnt
    known = np.array([r["danger"] is not None for r in rows])
    risky = np.array([[r["danger"] * 0.96 + 0.02] for r in rows if r["danger"] is not None], np.float32)
    heads["danger_weight"], heads["danger_bias"] = taught(
        heads["danger_weight"],
        heads["danger_bias"],
        vectors[known],
        risky,
        times[known],
        one=True,
        passes=given.passes,
    )
    given.out.mkdir(parents=True, exist_ok=True)
    for name in COPIED:
        if given.out.resolve() != given.net.resolve():
            shutil.copyfile(given.net / name, given.out / name)
    np.savez_compressed(given.out / "heads.npz", **{k: v.astype(np.float16) for k, v in heads.items()})
    (given.out / "labels.json").write_text(
        json.dumps({**names, "roles": net._roles}, indent=0), encoding="utf-8"
    )
    (given.out / "words.json").write_text(json.dumps(known_words(rows)), encoding="utf-8")


if __name__ == "__main__":
    main()
