"""Teaches the net what was meant: ``python train.py ROWS.json PRETRAINED OUT [--teachers 4] [--passes 20] [--seed 0]``.

ROWS.json is made by ``rows.py``. Several teachers are trained, each with a seed of its own; the pupil that is kept
begins with the mean of their weights and learns their mean opinion of every sentence beside its label. On two processor cores about an hour with
``--teachers 1``, on a GPU a few minutes. ``--earlier FOLDERS`` teaches one pupil, which begins as the last of them, with what
earlier trainings saved as its teachers. ``heads.py`` teaches the last layers alone.
"""

import argparse
import json
import math
import os
import random
import time
from pathlib import Path

import torch
import torch.nn.functional as F
from course import Course, balanced, danger_loss
from encoder import Net, load_pretrained, pretrained_pieces
from safetensors.torch import load_file, save_file
from tokenizers import Tokenizer
from tokenizers.models import WordPiece
from tokenizers.pre_tokenizers import WhitespaceSplit

DEVICE = "cuda" if torch.cuda.is_available() else "cpu"
LONGEST, LONGEST_BEFORE = 72, 56
AFTER_ANY = 0.3
"""The share of sentences that stand alone which are read behind any other sentence: it must not bend them."""
IGNORE = -100
LEARNT = 0.5
"""A teacher that gives the label of a taught sentence a smaller share has no say in it (judgement)."""
BATCH, ENCODER_RATE, HEAD_RATE = 128, 1.5e-4, 2.5e-3
KEPT = set(
    "not no never over under above below before after hot cold raw cooked frozen i you is it can did on off in out".split()
)
"""Words that turn a sentence round: never dropped at random."""
OPENERS = [
    o.split()
    for o in (
        "hey",
        "okay so",
        "uh",
        "hey kitchen",
        "so um",
        "quick question",
        "alright",
        "listen",
        "yo",
        "sorry",
        "chef",
    )
]
CLOSERS = [
    c.split()
    for c in (
        "thanks",
        "please",
        "thank you",
        "you know",
        "man",
        "or what",
        "cheers",
        "chef",
        "real quick",
        "if you can",
    )
]


class Pieces:
    """The word pieces that are kept, and sentences as their numbers."""

    def __init__(self, kept: list[str]):
        self.kept = kept
        self.ids = {piece: i for i, piece in enumerate(kept)}
        self.tokenizer = Tokenizer(WordPiece(self.ids, unk_token="[UNK]"))
        self.tokenizer.pre_tokenizer = WhitespaceSplit()
        self.first, self.last, self.pad = self.ids["[CLS]"], self.ids["[SEP]"], self.ids["[PAD]"]

    def of(self, words: list[str], before: list[str] = ()) -> tuple[list[int], int, list[int]]:
        """Return the piece numbers behind those of ``before``, where the sentence begins, and where each word does."""
        said = self.tokenizer.encode(list(before), is_pretokenized=True, add_special_tokens=False).ids
        past = [self.first, *said[-LONGEST_BEFORE:]] if before else []
        found = self.tokenizer.encode(words, is_pretokenized=True, add_special_tokens=False)
        starts, seen = [], set()
        for at, word in enumerate(found.word_ids):
            if word not in seen:
                seen.add(word)
                starts.append(len(past) + at + 1)
        mark = self.last if before else self.first
        return [*past, mark, *found.ids[: LONGEST - 2], self.last], len(past), starts


def varied(row: dict, chance: random.Random) -> tuple[list[str], list[str]]:
    """Return a row's words and roles with small changes that leave its meaning alone."""
    options = row.get("also") or []
    words = list(row["words"] if not options or chance.random() < 0.7 else chance.choice(options))
    roles = list(row["roles"]) if row["roles"] and len(row["roles"]) == len(words) else [None] * len(words)
    if chance.random() < 0.35 and len(words) > 4:
        keep = [w in KEPT or chance.random() > 0.07 for w in words]
        if any(keep):
            words, roles = ([x for x, k in zip(xs, keep) if k] for xs in (words, roles))
    known = roles[0] is not None if roles else False
    if row["act"] != "talk" and chance.random() < 0.12:
        opener = chance.choice(OPENERS)
        words, roles = opener + words, ["courtesy" if known else None] * len(opener) + roles
    if row["act"] != "talk" and chance.random() < 0.12:
        closer = chance.choice(CLOSERS)
        words, roles = words + closer, roles + ["courtesy" if known else None] * len(closer)
    return words, roles


def batch_of(rows, pieces, labels, chance, vary=True):
    """Return one batch as tensors."""
    made = [varied(r, chance) if vary else (r["words"], r["roles"] or [None] * len(r["words"])) for r in rows]
    coded = [pieces.of(words, r.get("before", ())) for (words, _), r in zip(made, rows)]
    length = max(len(ids) for ids, _, _ in coded)
    ids = torch.full((len(rows), length), pieces.pad)
    roles = torch.full((len(rows), length), IGNORE)
    own = torch.zeros((len(rows), length), dtype=torch.bool)
    for i, ((numbers, begin, starts), (_, said)) in enumerate(zip(coded, made)):
        ids[i, : len(numbers)] = torch.tensor(numbers)
        own[i, begin : len(numbers)] = True
        for at, role in zip(starts, said):
            if role is not None and at < len(numbers) - 1:
                roles[i, at] = labels["roles"][role]
    intents = torch.tensor([labels["intents"].get(r["intent"], IGNORE) for r in rows])
    acts = torch.tensor([labels["acts"].get(r["act"], IGNORE) for r in rows])
    danger = torch.tensor([float("nan") if r["danger"] is None else float(r["danger"]) for r in rows])
    return ids, ids != pieces.pad, own, intents, acts, danger, roles


def placed(row, rows, chance):
    """Return a row behind what was said before it: what it follows, or now and then anything at all."""
    if row.get("befores"):
        return {**row, "before": chance.choice(row["befores"])}
    if chance.random() < AFTER_ANY:
        return {**row, "before": chance.choice(rows)["words"]}
    return row


class Batches(torch.utils.data.Dataset):
    """The batches of one pass, shuffled; workers make them while the net learns."""

    def __init__(self, rows, pieces, labels, seed, size):
        chance = random.Random(seed)
        rows = [placed(r, rows, chance) for r in rows]
        chance.shuffle(rows)
        # alike in length: less is padded
        rows.sort(key=lambda r: (len(r["words"]) + min(LONGEST_BEFORE, len(r.get("before", ())))) // 6)
        self.parts = [rows[at : at + size] for at in range(0, len(rows), size)]
        random.Random(seed + 1).shuffle(self.parts)
        self.pieces, self.labels, self.seed = pieces, labels, seed

    def __len__(self):
        return len(self.parts)

    def __getitem__(self, at):
        return batch_of(self.parts[at], self.pieces, self.labels, random.Random(f"{self.seed} {at}"))


def made_ahead(batches):
    """Return the batches one by one, made by other processes where the machine has many cores."""
    workers = min(12, max(0, (os.cpu_count() or 1) - 3))
    loader = torch.utils.data.DataLoader(batches, batch_size=None, num_workers=workers)
    for batch in loader:
        yield tuple(t.to(DEVICE, non_blocking=True) for t in batch)


def loss_of(heard, batch, weights, taught=None):
    """Return the loss of all heads; with ``taught`` the teachers' mean opinion counts besides the label.

    Where the teachers hold the label for less likely than not they have not learnt the sentence: the label alone counts.
    """
    _, _, _, intents, acts, danger, roles = batch
    smooth = {"label_smoothing": 0.05, "ignore_index": IGNORE}
    if taught is None:
        loss = F.cross_entropy(heard.intents, intents, weight=weights, **smooth)
    else:
        opinion, act_opinion, danger_opinion = taught
        told = intents != IGNORE
        unlearnt = told & (opinion.gather(1, intents.clamp(min=0)[:, None])[:, 0] < LEARNT)
        share = torch.where(unlearnt, 1.0, 0.4) * weights[intents.clamp(min=0)] * told
        each = F.cross_entropy(heard.intents, intents, reduction="none", **smooth)
        loss = (share * each).sum() / (weights[intents.clamp(min=0)] * told).sum().clamp(min=1e-6)
        apart = F.kl_div(F.log_softmax(heard.intents, -1), opinion, reduction="none").sum(-1)
        loss = loss + 1.2 * (apart * ~unlearnt).mean()
        loss = loss + 0.3 * F.kl_div(F.log_softmax(heard.acts, -1), act_opinion, reduction="batchmean")
        loss = loss + 0.3 * F.binary_cross_entropy_with_logits(heard.danger, danger_opinion)
    if (acts != IGNORE).any():
        loss = loss + 0.3 * F.cross_entropy(heard.acts, acts, label_smoothing=0.03, ignore_index=IGNORE)
    loss = loss + 0.4 * danger_loss(heard.danger, danger)
    if (roles != IGNORE).any():
        loss = loss + 0.6 * F.cross_entropy(heard.roles.flatten(0, 1), roles.flatten(), ignore_index=IGNORE)
    return loss


def teach(net, rows, pieces, labels, *, passes, seed, teachers=(), size=BATCH, rate=1.0, say=print):
    """Train ``net`` on ``rows``, at ``rate`` times the usual rates."""
    torch.manual_seed(seed)
    weights = balanced(rows, labels["intents"], DEVICE)
    parts = [(net.head_parameters(), rate * HEAD_RATE), (net.encoder_parameters(), rate * ENCODER_RATE)]
    course = Course(net, parts, passes * math.ceil(len(rows) / size))
    net.train()
    begun = time.time()
    for epoch in range(passes):
        total = torch.zeros((), device=DEVICE)
        for batch in made_ahead(Batches(rows, pieces, labels, 1000 * seed + epoch, size)):
            with torch.autocast(DEVICE, dtype=torch.bfloat16, enabled=DEVICE == "cuda"):
                heard = net(*batch[:3])
                taught = opinions(teachers, batch) if teachers else None
            heard = type(heard)(*(x.float() for x in vars(heard).values()))
            loss = loss_of(heard, batch, weights, taught)
            course.step(loss)
            total += loss.detach()
        if epoch % 5 == 4 or DEVICE == "cpu":
            say(
                f"pass {epoch + 1}: loss {total.item() / math.ceil(len(rows) / size):.3f}, {time.time() - begun:.0f} s",
                flush=True,
            )
    net.eval()
    return net


@torch.no_grad()
def opinions(nets, batch):
    """Return the mean shares that several nets give to intents, acts and danger."""
    heard = [net(*batch[:3]) for net in nets]
    return (
        sum(F.softmax(h.intents.float(), -1) for h in heard) / len(heard),
        sum(F.softmax(h.acts.float(), -1) for h in heard) / len(heard),
        sum(torch.sigmoid(h.danger.float()) for h in heard) / len(heard),
    )


def judge(nets, rows, pieces, labels, name):
    """Print how many of ``rows`` (with ``others``: further right intents) are right."""
    names = list(labels["intents"])
    acts = list(labels["acts"])
    shares, act_shares, dangers = [], [], []
    for at in range(0, len(rows), 256):
        part = [{**r, "before": r["befores"][0]} if r.get("befores") else r for r in rows[at : at + 256]]
        batch = batch_of(part, pieces, labels, random.Random(0), vary=False)
        batch = tuple(t.to(DEVICE) for t in batch)
        found = opinions(nets, batch)
        for kept, new in zip((shares, act_shares, dangers), found):
            kept.append(new.cpu())
    shares, act_shares, dangers = (torch.cat(x) for x in (shares, act_shares, dangers))
    top = shares.topk(3)
    real = [i for i, r in enumerate(rows) if r["intent"] not in ("none", "unsupported")]
    talk = [i for i, r in enumerate(rows) if r["intent"] == "none"]

    def right(i, k=0):
        said = names[top.indices[i, k]]
        return said == rows[i]["intent"] or said in rows[i].get("others", ())

    line = f"{name}: right {sum(map(right, real)) / len(real):.1%}, of best three {sum(any(right(i, k) for k in range(3)) for i in real) / len(real):.1%}"
    for least in (0.3, 0.5, 0.7):
        answered = [
            i
            for i in real
            if top.values[i, 0] >= least and names[top.indices[i, 0]] not in ("none", "unsupported")
        ]
        line += f" | {least}: answers {len(answered) / len(real):.0%}, right {sum(map(right, answered)) / max(1, len(answered)):.1%}"
        line += f", talk {sum(top.values[i, 0].item() >= least and names[top.indices[i, 0]] not in ('none', 'unsupported') for i in talk)}/{len(talk)}"
    acted = [i for i, r in enumerate(rows) if r["act"] in acts]
    line += f" | act {sum(acts[act_shares[i].argmax()] == rows[i]['act'] for i in acted) / max(1, len(acted)):.1%}"
    risky = [i for i, r in enumerate(rows) if r["danger"]]
    safe = [i for i, r in enumerate(rows) if r["danger"] == 0]
    for least in (0.2, 0.5):
        line += f" | danger>={least}: {sum(dangers[i].item() >= least for i in risky)}/{len(risky)}, false {sum(dangers[i].item() >= least for i in safe)}/{len(safe)}"
    print(line, flush=True)


def averaged(nets, into):
    """Return ``into`` with the mean of several nets' weights."""
    states = [net.state_dict() for net in nets]
    into.load_state_dict({k: sum(s[k].float() for s in states) / len(states) for k in states[0]})
    return into.eval()


def save(net, out: Path) -> None:
    """Write the weights in half precision, in files below 15 MB."""
    parts, size = [{}], 0
    for name, weight in net.state_dict().items():
        weight = weight.half().cpu().contiguous()
        if size + weight.numel() * 2 > 14_500_000 and parts[-1]:
            parts.append({})
            size = 0
        parts[-1][name] = weight
        size += weight.numel() * 2
    for number, part in enumerate(parts):
        save_file(part, out / f"net_{number}.safetensors")


def restored(net, folder: Path, kept: list[str]):
    """Fill a net with what an earlier training saved; of pieces that it lacked (``pieces.json``) the mean."""
    weights = {
        k: v.float() for part in sorted(folder.glob("net_*.safetensors")) for k, v in load_file(part).items()
    }
    theirs = {piece: i for i, piece in enumerate(json.loads((folder / "pieces.json").read_text()))}
    words = weights["pieces.weight"]
    mean = words.mean(0)
    weights["pieces.weight"] = torch.stack([words[theirs[p]] if p in theirs else mean for p in kept])
    net.load_state_dict(weights)
    return net.eval()


def main():
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("rows", type=Path)
    asked.add_argument("pretrained", type=Path)
    asked.add_argument("out", type=Path)
    asked.add_argument("--teachers", type=int, default=4)
    asked.add_argument("--passes", type=int, default=20)
    asked.add_argument("--seed", type=int, default=0)
    asked.add_argument("--earlier", type=Path, nargs="*", default=[])
    asked.add_argument("--rate", type=float, default=1.0, help="times the usual rates, with --earlier")
    given = asked.parse_args()
    data = json.loads(given.rows.read_text(encoding="utf-8"))
    kept = data["pieces"]
    pieces = Pieces(kept)
    labels = {kind: {name: i for i, name in enumerate(data[kind])} for kind in ("intents", "acts", "roles")}
    rows, unseen = [r for r in data["rows"] for _ in range(r.get("times", 1))], data.get("unseen", {})
    print(
        len(rows), "sentences,", len(kept), "pieces,", len(data["intents"]), "intents, on", DEVICE, flush=True
    )

    def fresh():
        torch.manual_seed(0)  # all begin alike, so that their weights may be averaged
        net = empty()
        number = {piece: i for i, piece in enumerate(pretrained_pieces(given.pretrained))}
        load_pretrained(net, given.pretrained, [number[p] for p in kept])
        return net.to(DEVICE)

    def empty():
        return Net(len(kept), len(data["intents"]), len(data["acts"]), len(data["roles"]))

    given.out.mkdir(parents=True, exist_ok=True)
    if given.earlier:
        taught = [restored(empty(), folder, kept).to(DEVICE) for folder in given.earlier]
        net = restored(empty(), given.earlier[-1], kept).to(DEVICE)
        course = {"passes": given.passes, "seed": 98 + given.seed, "rate": given.rate}
        net = teach(net, rows, pieces, labels, teachers=taught, **course)
        for name, judged in unseen.items():
            judge(taught, judged, pieces, labels, f"earlier ones, {name}")
            judge([net], judged, pieces, labels, f"pupil, {name}")
        save(net, given.out)
        return
    teachers = []
    for seed in range(given.seed, given.seed + given.teachers):
        teachers.append(teach(fresh(), rows, pieces, labels, passes=given.passes, seed=seed))
        for name, judged in unseen.items():
            judge(teachers[-1:], judged, pieces, labels, f"teacher {seed}, {name}")
    for name, judged in unseen.items():
        judge(teachers, judged, pieces, labels, f"{len(teachers)} teachers, {name}")
    if len(teachers) > 1:
        for name, judged in unseen.items():
            judge([averaged(teachers, fresh())], judged, pieces, labels, f"mean weights, {name}")
        net = teach(
            averaged(teachers, fresh()),
            rows,
            pieces,
            labels,
            passes=max(1, given.passes - 2),
            seed=99 + given.seed,
            teachers=teachers,
        )
    else:
        net = teachers[0]
    for name, judged in unseen.items():
        judge([net], judged, pieces, labels, f"pupil, {name}")
    save(net, given.out)


if __name__ == "__main__":
    main()
