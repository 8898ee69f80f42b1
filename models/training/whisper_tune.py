"""Teach Whisper kitchen talk in noise: a small low-rank change of its layers, trained on spoken clips.

python whisper_tune.py BASE.npz OUT.npz --speech a.npz b.npz --text jobs.npz --seconds 500 [--seed 1] [--people c.npz]
    [--people-unseen d.npz]

BASE is what whisper_network.py packs. The speech files say which job a clip speaks; JOBS holds `tokens` (whisper_text.py). The
people's file (people.py) holds its tokens itself, and how many times as often as others its clips are drawn; people play at a
wider range of paces, since so few speak. Those of --people-unseen are only judged. A model that knows more
than one language says first which one it hears: the mark of the language stands before the words, behind "no times".
Every step hears freshly hardened sound in a window of 5 to 30 s, cut and padded as the program does it; some clips
follow one another, some are noise alone (the model should say that nobody spoke). With --anchor the encoder is also drawn
to what the untaught one makes of the same sound before it was hardened: people are not synthetic voices, and what it
knows of people must stay. Stops by the clock.
"""

from __future__ import annotations

import argparse
import copy
import math
import pathlib
import time
from typing import NamedTuple

import numpy as np
import torch
import torch.nn.functional as F
from harden import RATE, NoiseBank, harden
from train import Clips, averaged
from whisper_network import LogMel, Marks, Whisper, load

T = torch.Tensor
WINDOWS, SHARES = (5, 8, 10, 15, 30), (0.33, 0.3, 0.08, 0.25, 0.04)  # seconds that the encoder sees
HINTED = 0.1  # share of clips with a hint of nouns before them, where one language is known


class Spoken(Clips):
    """Clips with the words' tokens in place of phones."""

    def __init__(self, paths: list[str], text: str, marks: Marks, device: torch.device) -> None:
        parts, jobs = [np.load(p) for p in paths], np.load(text)
        self.audio = torch.cat([torch.from_numpy(z["audio"]) for z in parts]).to(device)
        self.length = np.concatenate([np.diff(z["at"]) for z in parts])
        self.start = np.concatenate([[0], np.cumsum(self.length)[:-1]])
        self.of_people = np.concatenate([np.full(len(z["at"]) - 1, "job" not in z) for z in parts])
        self.often = np.concatenate(
            [z["often"] if "often" in z else np.full(len(z["at"]) - 1, 1 if "job" in z else 3) for z in parts]
        )
        self.tokens, languages = [], []
        for z in parts:
            own = z if "job" not in z else jobs
            which = range(len(z["at"]) - 1) if own is z else z["job"]
            at, tokens = own["tokens_at"], own["tokens"]
            self.tokens += [tokens[at[k] : at[k + 1]].astype(np.int64) for k in which]
            spoken = own["language"]
            languages += [spoken[k] == "es" for k in which]
        self.spanish = np.array(languages)
        self.marks = marks
        self.nouns = [
            jobs["nouns"][i:j] for i, j in zip(jobs["nouns_at"], jobs["nouns_at"][1:], strict=False)
        ]

    def mark(self, clip: int) -> list[int]:
        """The mark of the language, if the model knows several."""
        marks = self.marks
        return [] if marks.spanish < 0 else [marks.spanish if self.spanish[clip] else marks.english]


class Drawn(NamedTuple):
    hard: T
    clean: T
    until: T  # sample where speech ends; 0 where nobody speaks
    rows: list[tuple[list[int], list[int]]]


class Lessons:
    """Batches: sound [n, samples], the same before it was hardened, where speech ends, and rows of (prompt, tokens)."""

    def __init__(self, clips: Spoken, ids: np.ndarray, bank: NoiseBank, seed: int) -> None:
        self.clips, self.ids, self.bank, self.rng = clips, ids, bank, np.random.default_rng(seed)
        self.still = NoiseBank(clips.audio, max(60, len(bank.bank) // 8), talk=False)

    def draw(self, n: int, window: int, ids: np.ndarray | None = None) -> Drawn:
        rng, clips = self.rng, self.clips
        some = self.ids if ids is None else ids
        which = rng.choice(some[clips.length[some] < (window - 1) * RATE * 0.92], n)
        theirs = clips.of_people[which]
        pace = np.where(theirs, rng.uniform(0.86, 1.18, n), rng.uniform(0.92, 1.1, n))
        limit = (window - 1) * RATE
        pace = np.maximum(pace, clips.length[which] / limit)
        spoken = np.minimum(clips.length[which] / pace, limit)
        before = (rng.uniform(0, 0.45, n) + rng.uniform(0, 2, n) * (rng.random(n) < 0.15)) * RATE
        before = np.minimum(before, limit - spoken).astype(np.int64)
        size = window * RATE
        x = clips.lay(which, before, size, pace)
        ends = before + spoken
        tokens = [clips.mark(i) + clips.tokens[i].tolist() for i in which]
        second = rng.choice(self.ids, n)
        pause = rng.uniform(0.05, 0.9, n) * RATE
        length = clips.length[second] / pace
        both = (
            (rng.random(n) < 0.3)
            & (ends + pause + length < limit)
            & (clips.spanish[which] == clips.spanish[second])
        )
        y = clips.lay(second, (ends + pause).astype(np.int64), size, pace)
        x = x + y * torch.as_tensor(both, device=x.device)[:, None]
        tokens = [
            t + (clips.tokens[j].tolist() if b else []) for t, j, b in zip(tokens, second, both, strict=True)
        ]
        ends = np.where(both, ends + pause + length, ends)
        silent = rng.random(n) < 0.04
        clean, x = x, self.hard(x, ends - before, silent)
        after = rng.uniform(0.02, 0.5, n) + rng.uniform(0, 3, n) * (rng.random(n) < 0.15)
        heard = torch.as_tensor(np.minimum(ends + after * RATE, size), device=x.device)[:, None]
        x = torch.where(torch.arange(size, device=x.device)[None] < heard, x, 0.0) / 32768
        rows = [([clips.marks.no_speech], []) if s else ([], t) for s, t in zip(silent, tokens, strict=True)]
        spoken_until = torch.as_tensor(np.where(silent, 0, np.minimum(ends, size)), device=x.device)
        return Drawn(
            x, clean, spoken_until, [(p or self.hint(i), t) for (p, t), i in zip(rows, which, strict=True)]
        )

    def hard(self, x: T, spoken: np.ndarray, silent: np.ndarray) -> T:
        n, size = x.shape
        rivals = self.rng.choice(self.ids, n)
        rival = self.clips.lay(
            rivals, self.rng.integers(-8000, size // 3, n), size, self.rng.uniform(0.85, 1.2, n)
        )
        seconds = torch.as_tensor(spoken / RATE, device=x.device, dtype=torch.float32)[:, None]
        nobody = torch.as_tensor(silent, device=x.device)[:, None]
        hard = harden(x, seconds, nobody, self.bank, rival)
        if some := int(silent.sum()):  # where nobody spoke no other talkers may be heard either
            alone = torch.as_tensor(np.flatnonzero(silent), device=x.device)
            still = harden(
                x[alone], seconds[alone], nobody[alone], self.still, torch.zeros(some, size, device=x.device)
            )
            hard[alone] = still
        return hard

    def hint(self, clip: int) -> list[int]:
        """Nouns of the trade, as the program gives a site's names; seldom those that are said."""
        rng, nouns = self.rng, self.clips.nouns
        if rng.random() > HINTED or self.clips.marks.spanish >= 0:
            return []
        some = [nouns[k] for k in rng.integers(0, len(nouns), rng.integers(2, 20))]
        joined = [t for k, noun in enumerate(some) for t in ([11] if k else []) + noun.tolist()]
        return [self.clips.marks.previous, *joined, 13]


def targets(rows: list[tuple[list[int], list[int]]], marks: Marks, device: torch.device) -> tuple[T, T]:
    """Tokens in and tokens wanted, padded; -100 where nothing is asked. After the start comes "no speech" or the words."""
    taken, wanted = [], []
    for prompt, words in rows:
        silent = prompt == [marks.no_speech]
        before = [] if silent else prompt
        taken.append([*before, marks.start, marks.no_times, *words])
        wanted.append(
            [-100] * len(before)
            + [
                marks.no_speech if silent else marks.no_times,
                -100 if silent else (words + [marks.end])[0],
                *(words + [marks.end])[1:],
            ]
        )
    longest = max(map(len, taken))
    pad = lambda row, value: row + [value] * (longest - len(row))  # noqa: E731
    put = lambda some, value: torch.tensor([pad(row, value) for row in some], device=device)  # noqa: E731
    return put(taken, marks.end), put(wanted, -100)


def loss_of(net: Whisper, mel: LogMel, drawn: Drawn, marks: Marks, plain: Whisper | None, anchor: float) -> T:
    device = drawn.hard.device
    kind = torch.bfloat16 if device.type == "cuda" else torch.float32
    with torch.no_grad():
        features = mel(drawn.hard).to(kind)
    taken, wanted = targets(drawn.rows, marks, device)
    with torch.autocast(device.type, torch.bfloat16, enabled=device.type == "cuda"):
        sound = net.encode(features)
        states = net.decode(taken, sound)
        scores = net.scores(states[wanted >= 0])
    loss = F.cross_entropy(scores.float(), wanted[wanted >= 0], label_smoothing=0.02)
    if plain is None:
        return loss
    with torch.no_grad(), torch.autocast(device.type, torch.bfloat16, enabled=device.type == "cuda"):
        ideal = plain.encode(mel(drawn.clean).to(kind)).float()
    frame = torch.arange(ideal.shape[1], device=device)[None] * 320
    spoken = frame < drawn.until[:, None]
    wide = (ideal[spoken] - ideal[spoken].mean(0)).pow(2).mean()
    return loss + anchor * (sound.float()[spoken] - ideal[spoken]).pow(2).mean() / wide


def train(
    net: Whisper,
    mel: LogMel,
    lessons: Lessons,
    unseen: np.ndarray,
    plain: Whisper | None,
    a: argparse.Namespace,
) -> Whisper:
    """Returns the running average of the network."""
    low = [q for name, q in net.named_parameters() if name.endswith(("-up", "-down"))]
    free = [q for name, q in net.named_parameters() if not name.endswith(("-up", "-down"))]
    groups = [{"params": low, "share": 1.0}, {"params": free, "share": 0.1}]
    optimiser = torch.optim.AdamW(groups, a.rate, weight_decay=1e-2, betas=(0.9, 0.98))
    average, start, step = copy.deepcopy(net), time.time(), 0
    while (done := (time.time() - start) / a.seconds) < 1:
        for group in optimiser.param_groups:
            group["lr"] = (
                a.rate
                * group["share"]
                * min(1.0, (step + 1) / 200)
                * (0.5 * (1 + math.cos(math.pi * done)) + 0.003)
            )
        window = int(lessons.rng.choice(WINDOWS, p=SHARES))
        with torch.no_grad():
            drawn = lessons.draw(max(8, a.batch * 10 // window), window)
        loss = loss_of(net, mel, drawn, lessons.clips.marks, plain, a.anchor)
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 1.0)
        optimiser.step()
        step += 1
        averaged(average, net, min(0.998, step / (step + 10)))
        if step % a.report == 0:
            spent = time.time() - start
            print(
                f"{spent:5.0f} s, step {step} ({step / spent:.1f}/s), loss {loss.item():.3f}, {judged(average, mel, lessons, unseen, a.judged)}",
                flush=True,
            )
    return average.eval()


def judged(net: Whisper, mel: LogMel, lessons: Lessons, unseen: np.ndarray, count: int) -> str:
    """Synthetic clips and people's apart."""
    theirs = lessons.clips.of_people[unseen]
    said = judge(net, mel, lessons, unseen[~theirs], count)
    return said + (f"; people's {judge(net, mel, lessons, unseen[theirs], count)}" if theirs.any() else "")


def judge(net: Whisper, mel: LogMel, lessons: Lessons, unseen: np.ndarray, count: int) -> str:
    """Loss on unseen clips, and the share of sentences whose every token comes first (given those before it)."""
    with torch.no_grad():
        drawn = lessons.draw(count, 15, unseen)
        x, rows = drawn.hard, drawn.rows
        loss = loss_of(net, mel, drawn, lessons.clips.marks, None, 0).item()
        taken, wanted = targets(rows, lessons.clips.marks, x.device)
        with torch.autocast(x.device.type, torch.bfloat16, enabled=x.device.type == "cuda"):
            best = net.scores(
                net.decode(taken, net.encode(mel(x).to(torch.bfloat16 if x.is_cuda else torch.float32)))
            ).argmax(-1)
        right = ((best == wanted) | (wanted < 0)).all(1).float().mean().item()
    return f"unseen: loss {loss:.3f}, sentences right {right:.1%}"


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    p.add_argument("base", type=pathlib.Path)
    p.add_argument("out")
    p.add_argument("--speech", nargs="+", required=True)
    p.add_argument("--text", required=True)
    p.add_argument("--people", nargs="*", default=[])
    p.add_argument("--people-unseen", nargs="*", default=[])
    p.add_argument("--seconds", type=float, default=500)
    p.add_argument("--batch", type=int, default=160, help="clips a step in a window of 10 s")
    p.add_argument("--rate", type=float, default=1e-3)
    p.add_argument("--rank", type=int, default=32)
    p.add_argument("--seed", type=int, default=1)
    p.add_argument("--report", type=int, default=250)
    p.add_argument("--judged", type=int, default=192, help="unseen clips of each kind that a report judges")
    p.add_argument("--noises", type=int, default=2400)
    p.add_argument("--anchor", type=float, default=0.0, help="weight of staying near the untaught encoder")
    p.add_argument("--start", help="a state to go on from")
    p.add_argument("--change", help="a change to go on from, of this rank or less")
    p.add_argument("--save", help="where to leave the state")
    a = p.parse_args()
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True
    torch.manual_seed(a.seed)
    begun, (arrays, filters, marks) = time.time(), load(a.base)
    clips = Spoken([*a.speech, *a.people, *a.people_unseen], a.text, marks, device)
    kept = sum(len(np.load(f)["at"]) - 1 for f in a.people_unseen)
    order = np.random.default_rng(0).permutation(len(clips.length) - kept)
    synthetic = order[~clips.of_people[order]]
    held = synthetic[: min(1000, len(synthetic) // 10)]
    taught = np.setdiff1d(order, held)
    unseen = np.concatenate([held, np.arange(len(clips.length) - kept, len(clips.length))])
    lessons = Lessons(clips, np.repeat(taught, clips.often[taught]), NoiseBank(clips.audio, a.noises), a.seed)
    net, mel = Whisper(arrays, a.rank).to(device), LogMel(filters).to(device)
    plain = Whisper(arrays, 1).to(device).eval() if a.anchor else None
    if a.change:
        net.layers.begin_with(dict(np.load(a.change)))
    if a.start:
        net.load_state_dict(torch.load(a.start, map_location=device))
    size = sum(q.numel() for q in net.parameters())
    hours = clips.length.sum() / RATE / 3600
    print(
        f"{len(clips.length)} clips, {hours:.1f} hours, {size} numbers to learn, ready in {time.time() - begun:.0f} s; {judged(net, mel, lessons, unseen, a.judged)}",
        flush=True,
    )
    net = train(net, mel, lessons, unseen, plain, a)
    if a.save:
        torch.save(net.state_dict(), a.save)
    np.savez_compressed(a.out, **net.layers.changes())


if __name__ == "__main__":
    main()
