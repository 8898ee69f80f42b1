"""Teaches the net what a larger reader and the net before it have learnt: ``python pupil.py ROWS.json READER.pt EARLIER OUT``.

READER.pt comes from ``reader.py``; EARLIER is a folder of ``train.py`` or of ``read_back.py``, and the pupil begins as it.
Beside the taught pairs, sentences are put behind other words than their own, and only the teachers say what they mean there.
495 s for seven passes on one H200.
"""

import argparse
import json
import math
import random
import time
from pathlib import Path

import reader
import torch
import torch.nn.functional as F
import train
from course import Course, balanced
from encoder import Net

SHARE = 0.5
"""How much of the teachers' opinion is the reader's; the rest is the earlier net's."""
BEHIND_OWN, BEHIND_OTHERS, BEHIND_ANY = 0.75, 0.88, 0.15
"""Of what leans on words before: so many behind these, from there to the second behind others', the rest alone.

Of what stands alone: so many behind words that something else leans on."""
UNKNOWN = {"intent": "?", "act": "?", "danger": None}
HEAD_RATE = 2e-3
DEVICE = train.DEVICE


class Batches(torch.utils.data.Dataset):
    """The batches of one pass, for the net and for the reader."""

    def __init__(self, rows, followed, pieces, readers, labels, seed):
        chance = random.Random(seed)
        placed = [self.placed(row, rows, followed, chance) for row in rows]
        chance.shuffle(placed)
        placed.sort(
            key=lambda r: (len(r["words"]) + min(train.LONGEST_BEFORE, len(r.get("before", ())))) // 6
        )
        self.parts = [placed[at : at + train.BATCH] for at in range(0, len(placed), train.BATCH)]
        chance.shuffle(self.parts)
        self.pieces, self.readers, self.labels, self.seed = pieces, readers, labels, seed

    @staticmethod
    def placed(row, rows, followed, chance):
        """Return a row behind words that it leans on, or behind others, where only teachers know what it means."""
        others = {**row, **UNKNOWN, "before": chance.choice(chance.choice(followed))}
        if not row.get("befores"):
            return others if chance.random() < BEHIND_ANY else train.placed(row, rows, chance)
        drawn = chance.random()
        if drawn < BEHIND_OWN:
            return {**row, "before": chance.choice(row["befores"])}
        return others if drawn < BEHIND_OTHERS else {**row, **UNKNOWN}

    def __len__(self):
        return len(self.parts)

    def __getitem__(self, at):
        chance, rows = random.Random(f"{self.seed} {at}"), []
        for row in self.parts[at]:
            words, roles = train.varied(row, chance)
            rows.append({**row, "words": words, "roles": roles})
        batch = train.batch_of(rows, self.pieces, self.labels, chance, vary=False)
        return (*batch, *reader.tensors([self.readers.coded(r["words"], r.get("before", ())) for r in rows]))


@torch.no_grad()
def opinions(large, earlier, batch):
    """Return the mean shares that the reader and the earlier net give to intents, acts and danger."""
    with torch.autocast(DEVICE, dtype=torch.bfloat16):
        said, act, danger = (x.float() for x in large(*batch[7:]))
        theirs = train.opinions([earlier], batch[:7])
    mine = (F.softmax(said, -1), F.softmax(act, -1), torch.sigmoid(danger))
    return tuple(SHARE * one + (1 - SHARE) * other for one, other in zip(mine, theirs))


def teach(net, earlier, large, readers, rows, pieces, labels, passes):
    """Train ``net`` on the rows and on both teachers' opinions."""
    weights = balanced(rows, labels["intents"], DEVICE)
    parts = [(net.head_parameters(), HEAD_RATE), (net.encoder_parameters(), train.ENCODER_RATE)]
    course = Course(net, parts, passes * math.ceil(len(rows) / train.BATCH) + 1)
    followed = [r["befores"] for r in rows if r.get("befores")]
    begun = time.time()
    for epoch in range(passes):
        net.train()
        for batch in train.made_ahead(Batches(rows, followed, pieces, readers, labels, 500 + epoch)):
            if not (batch[3] != train.IGNORE).any():
                continue
            taught = opinions(large, earlier, batch)
            with torch.autocast(DEVICE, dtype=torch.bfloat16, enabled=DEVICE == "cuda"):
                heard = net(*batch[:3])
            heard = type(heard)(*(x.float() for x in vars(heard).values()))
            loss = train.loss_of(heard, batch[:7], weights, taught)
            course.step(loss)
        print(f"pass {epoch + 1}: {time.time() - begun:.0f} s", flush=True)
    return net.eval()


def main():
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("rows", type=Path)
    asked.add_argument("reader", type=Path)
    asked.add_argument("earlier", type=Path)
    asked.add_argument("out", type=Path)
    asked.add_argument("--passes", type=int, default=7)
    given = asked.parse_args()
    data = json.loads(given.rows.read_text(encoding="utf-8"))
    labels = {kind: {name: i for i, name in enumerate(data[kind])} for kind in ("intents", "acts", "roles")}
    rows, pieces = [r for r in data["rows"] for _ in range(r.get("times", 1))], train.Pieces(data["pieces"])
    large, readers = reader.restored(given.reader)

    def begun():
        net = Net(len(data["pieces"]), len(data["intents"]), len(data["acts"]), len(data["roles"]))
        return train.restored(net, given.earlier, data["pieces"]).to(DEVICE)

    net = teach(begun(), begun(), large, readers, rows, pieces, labels, given.passes)
    for name, judged in data.get("unseen", {}).items():
        train.judge([net], judged, pieces, labels, name)
    given.out.mkdir(parents=True, exist_ok=True)
    train.save(net, given.out)


if __name__ == "__main__":
    main()
