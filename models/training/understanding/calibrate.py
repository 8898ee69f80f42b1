"""Fits by how much the net's shares are sharpened: ``uv run python -m models.training.understanding.calibrate [FOLDER]``.

On the judged sentences that may be read (``tests/understanding/unseen_1.csv``): the factor on the logits that makes
the right intents, acts and dangers likeliest. Writes ``calibration.json`` beside the net.
"""

import argparse
import csv
import json
from pathlib import Path

import numpy as np

from intents.meaning import FOLDER, Meanings
from intents.words import tokenise

ROOT = Path(__file__).resolve().parents[3]
FACTORS = [round(0.6 + 0.1 * k, 1) for k in range(30)]


def main() -> None:
    """Fit and write."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("net", type=Path, nargs="?", default=FOLDER)
    folder = asked.parse_args().net
    net = Meanings(folder)
    with (ROOT / "tests" / "understanding" / "unseen_1.csv").open(encoding="utf-8", newline="") as file:
        rows = [r for r in csv.DictReader(file) if tokenise(r["say"])]
    fitted = {}
    for head, column in (("intents", "intent"), ("acts", "act"), ("danger", "unsafe")):
        best = (-1e9, 1.0)
        logits = [net.logits(head, tokenise(r["say"])) for r in rows]
        labels = {"intents": net.intents, "acts": net.acts}.get(head, [])
        for factor in FACTORS:
            total = 0.0
            for row, each in zip(rows, logits, strict=True):
                scaled = each * factor
                if head == "danger":
                    share = 1 / (1 + np.exp(-scaled[0]))
                    total += float(np.log(max(share if row[column] == "yes" else 1 - share, 1e-9)))
                else:
                    total += float(scaled[labels.index(row[column])] - np.logaddexp.reduce(scaled))
            best = max(best, (total / len(rows), factor))
        fitted[head] = best[1]
        print(head, "factor", best[1], "mean log share", round(best[0], 3))
    (folder / "calibration.json").write_text(json.dumps({"sharpness": fitted}) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
