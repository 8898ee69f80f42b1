"""Train the network with CTC on spoken clips (speak.py, robots.py); every step hears freshly hardened sound.

python train.py OUT.npz --speech a.npz b.npz --seconds 400 [--start before.pt] [--save after.pt] [--seed 1] [--rate 0.002]
    [--people people.npz behind.npz] [--grow MODEL_FOLDER --width 640 --bottleneck 192]

Stops by the clock, so that it fits a lent machine; the learning rate falls to nothing by then. OUT holds plain affine
layers, the output prior, and a check signal with its outputs (check.py compares). `--start` goes on from a saved state,
`--grow` from an exported model, which gets wider. `--people` (people.py, behind.py) are a share of each batch, and are
played at a wider range of paces, since so few people speak.
"""

from __future__ import annotations

import argparse
import copy
import math
import pathlib
import time

import numpy as np
import torch
import torch.nn.functional as F
from grow import grown
from harden import RATE, NoiseBank, harden
from network import BOTTLENECK, CEPSTRA, OUTPUTS, WIDTH, Mfcc, Net
from torch import nn

T = torch.Tensor


class Clips:
    """All clips in one line of int16 samples on the device, with their labels."""

    def __init__(self, paths: list[str], device: torch.device) -> None:
        parts = [np.load(p) for p in paths]
        self.audio = torch.cat([torch.from_numpy(z["audio"]) for z in parts]).to(device)
        self.length = np.concatenate([np.diff(z["at"]) for z in parts])
        self.start = np.concatenate([[0], np.cumsum(self.length)[:-1]])
        self.labels = [
            z["labels"][i:j].astype(np.int64)
            for z in parts
            for i, j in zip(z["labels_at"], z["labels_at"][1:], strict=False)
        ]
        self.labels = [np.zeros(0, np.int64) if len(x) == 0 else x for x in self.labels]

    def __len__(self) -> int:
        return len(self.length)

    def lay(self, which: np.ndarray, before: np.ndarray, size: int, pace: np.ndarray) -> T:
        """[batch, size] floats: each clip at its place, played at its pace (linear interpolation)."""
        device = self.audio.device
        put = lambda a: torch.as_tensor(a, device=device)[:, None]  # noqa: E731
        at = (torch.arange(size, device=device)[None] - put(before)) * put(pace.astype(np.float32))
        inside = (at >= 0) & (at < put(self.length[which] - 1))
        low = at.floor().clamp(min=0)
        index = (put(self.start[which]) + low.long()).clamp(max=len(self.audio) - 2)
        a, b = self.audio[index].float(), self.audio[index + 1].float()
        return torch.where(inside, torch.lerp(a, b, at - low), 0.0) / 32768


class Batches:
    """Batches of hardened clips; those from `people` on are people's, and make up `share` of each batch."""

    def __init__(
        self, clips: Clips, ids: np.ndarray, bank: NoiseBank, seed: int, people: int, share: float = 0.0
    ) -> None:
        self.clips, self.bank, self.rng, self.mfcc = (
            clips,
            bank,
            np.random.default_rng(seed),
            Mfcc().to(clips.audio.device),
        )
        self.people, self.share = people, share
        self.easy = 0.0  # decibels taken off the noise; training starts easy, which shortens CTC's plateau
        ids = ids[np.argsort(clips.length[ids], kind="stable")]
        self.by_length, self.theirs = ids[ids < people], ids[ids >= people]

    def draw(self, n: int) -> tuple[T, T, T]:
        """Features [n, frames, 40], labels in one line, label counts: n clips of like length, hardened."""
        rng = self.rng
        at = int(rng.integers(0, max(1, len(self.by_length) - 4 * n)))
        near = self.by_length[at : at + 4 * n]
        which = rng.choice(near, n)
        if count := round(n * self.share):
            lengths = self.clips.length[self.theirs]
            few = min(len(lengths), max(4 * count, len(lengths) // 6))
            middle = int(np.searchsorted(lengths, self.clips.length[near].mean()))
            first = min(max(0, middle - few // 2), len(lengths) - few)
            which[:count] = rng.choice(self.theirs[first : first + few], count)
        return self.make(which)

    def make(self, which: np.ndarray) -> tuple[T, T, T]:
        rng, n, clips = self.rng, len(which), self.clips
        pace = np.where(which < self.people, rng.uniform(0.9, 1.12, n), rng.uniform(0.82, 1.22, n))
        spoken = clips.length[which] / pace
        before = rng.integers(400, int(rng.choice([4000, 16000])), n)
        size = int((before + spoken + rng.integers(3200, 14000, n)).max())
        size = -(-size // 8000) * 8000  # few distinct lengths: transforms are planned once for each
        x = clips.lay(which, before, size, pace)
        rivals = rng.choice(self.by_length, n)
        rival = clips.lay(rivals, rng.integers(-8000, 16000, n), size, rng.uniform(0.85, 1.2, n))
        device = x.device
        silent = torch.rand(n, 1, device=device) < 0.03
        seconds = torch.as_tensor(spoken / RATE, device=device, dtype=torch.float32)[:, None]
        x = harden(x, seconds, silent, self.bank, rival, self.easy)
        quiet = silent[:, 0].cpu().numpy()
        labels = [np.zeros(0, np.int64) if q else clips.labels[i] for q, i in zip(quiet, which, strict=True)]
        return (
            self.mfcc(x),
            torch.from_numpy(np.concatenate(labels)).to(device),
            torch.tensor([len(y) for y in labels]),
        )


def errors(log_probs: T, labels: T, counts: T) -> tuple[int, int]:
    """Phone errors of best-path decoding, and phones in the labels."""
    wrong = total = 0
    at = np.cumsum([0, *counts.tolist()])
    truth = labels.cpu().numpy()
    for row, (i, j) in zip(log_probs.argmax(-1).cpu().numpy(), zip(at, at[1:], strict=False), strict=True):
        heard = [v for k, v in enumerate(row) if v and (k == 0 or row[k - 1] != v)]
        want, d = truth[i:j], list(range(j - i + 1))
        for x, h in enumerate(heard, 1):
            before, d[0] = d[0], x
            for y, w in enumerate(want, 1):
                before, d[y] = d[y], min(d[y] + 1, d[y - 1] + 1, before + (h != w))
        wrong, total = wrong + d[-1], total + len(want)
    return wrong, total


def averaged(average: nn.Module, net: nn.Module, keep: float) -> None:
    with torch.no_grad():
        for a, b in zip(average.state_dict().values(), net.state_dict().values(), strict=True):
            if a.dtype.is_floating_point:
                a.lerp_(b, 1 - keep)
            else:
                a.copy_(b)


def train(net: Net, batches: Batches, unseen: np.ndarray, a: argparse.Namespace) -> Net:
    """Returns the running average of the network, which is what gets exported."""
    device = batches.clips.audio.device
    optimiser = torch.optim.AdamW(net.parameters(), a.rate, weight_decay=1e-2)
    average, start, step, seen = copy.deepcopy(net), time.time(), 0, 0.0
    gone_on = bool(a.start or a.grow)
    while (done := (time.time() - start) / a.seconds) < 1:
        for group in optimiser.param_groups:
            group["lr"] = a.rate * min(1.0, (step + 1) / 400) * (0.5 * (1 + math.cos(math.pi * done)) + 0.003)
        batches.easy = 0.0 if gone_on else max(0.0, 25 - step / 60)
        with torch.no_grad():
            f, y, counts = batches.draw(a.batch)
        with torch.autocast(device.type, torch.bfloat16, enabled=device.type == "cuda"):
            log_probs = net(f)
        frames = torch.full((len(counts),), log_probs.shape[1])
        loss = F.ctc_loss(log_probs.float().transpose(0, 1), y, frames, counts, zero_infinity=True)
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        nn.utils.clip_grad_norm_(net.parameters(), 5.0)
        optimiser.step()
        step += 1
        averaged(average, net, min(0.999, step / (step + 10)))
        if step % a.report == 0:
            rate, seen = step / (time.time() - start), time.time()
            print(
                f"{seen - start:5.0f} s, step {step} ({rate:.1f}/s), loss {loss.item():.3f}, {judged(average, batches, unseen)}",
                flush=True,
            )
    print("steps", step, judged(average, batches, unseen, 4))
    return average.eval()


def judged(net: Net, batches: Batches, unseen: np.ndarray, rounds: int = 1) -> str:
    """Synthetic clips and people's apart."""
    theirs = unseen[unseen >= batches.people]
    said = judge(net, batches, unseen[unseen < batches.people], rounds)
    return said + (f"; people's: {judge(net, batches, theirs, rounds)}" if len(theirs) else "")


def judge(net: Net, batches: Batches, unseen: np.ndarray, rounds: int = 1) -> str:
    net.eval()
    wrong = total = 0
    with torch.no_grad():
        for k in range(rounds):
            if not len(some := unseen[k * 200 : (k + 1) * 200]):
                break
            f, y, counts = batches.make(some)
            w, t = errors(net(f), y, counts)
            wrong, total = wrong + w, total + t
    return f"phone errors on hardened unseen clips {wrong / max(1, total):.1%}"


def save(path: str, net: Net, batches: Batches) -> None:
    device = batches.clips.audio.device
    x = (
        np.sin(np.arange(32000) * 0.05) * 3000 + 50 * np.random.default_rng(0).standard_normal(32000)
    ).round()
    with torch.no_grad():
        prior = torch.stack([net(batches.draw(64)[0]).exp().mean((0, 1)) for _ in range(10)]).mean(0)
        check = net(batches.mfcc(torch.tensor(x, device=device).float()[None]))[0]
    half = {k: v.astype(np.float16) if v.ndim == 2 else v for k, v in net.folded().items()}
    np.savez_compressed(
        path, **half, prior=prior.cpu().numpy(), check_in=x.astype(np.int16), check_out=check.cpu().numpy()
    )


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    p.add_argument("out")
    p.add_argument("--speech", nargs="+", required=True)
    p.add_argument("--seconds", type=float, default=400)
    p.add_argument("--batch", type=int, default=192)
    p.add_argument("--rate", type=float, default=2e-3)
    p.add_argument("--seed", type=int, default=1)
    p.add_argument("--report", type=int, default=500)
    p.add_argument("--noises", type=int, default=2400)
    p.add_argument("--start")
    p.add_argument("--save")
    p.add_argument("--people", nargs="*", default=[])
    p.add_argument(
        "--people-unseen", nargs="*", default=[], help="clips of people to judge on while training"
    )
    p.add_argument("--share", type=float, default=0.15, help="people's share of each batch")
    p.add_argument("--grow", type=pathlib.Path, metavar="MODEL_FOLDER")
    p.add_argument("--width", type=int, default=WIDTH)
    p.add_argument("--bottleneck", type=int, default=BOTTLENECK)
    a = p.parse_args()
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True
    torch.manual_seed(a.seed)
    begun, clips = time.time(), Clips([*a.speech, *a.people, *a.people_unseen], device)
    people = sum(len(np.load(path)["at"]) - 1 for path in a.speech)
    strangers = len(clips) - sum(len(np.load(path)["at"]) - 1 for path in a.people_unseen)
    order = np.random.default_rng(a.seed).permutation(people)
    unseen, ids = order[: min(800, len(order) // 10)], order[min(800, len(order) // 10) :]
    ids = np.concatenate([ids, np.arange(people, strangers)])
    unseen = np.concatenate([unseen, np.arange(strangers, len(clips))])
    share = a.share if a.people else 0.0
    batches = Batches(clips, ids, NoiseBank(clips.audio, a.noises), a.seed, people, share)
    net = Net(a.width, a.bottleneck).to(device)
    if a.grow:
        with torch.no_grad():
            net = grown(a.grow, batches.draw(a.batch)[0], a.width, a.bottleneck)
    elif a.start:
        net.load_state_dict(torch.load(a.start, map_location=device))
    else:
        f = torch.cat([batches.draw(min(64, len(ids) // 4))[0].reshape(-1, CEPSTRA) for _ in range(8)])
        net.mean.copy_(f.mean(0))
        net.std.copy_(f.std(0))
    size = sum(q.numel() for q in net.parameters())
    print(
        f"{len(clips)} clips, {clips.length.sum() / RATE / 3600:.1f} hours, {size} parameters, {OUTPUTS} outputs, ready in {time.time() - begun:.0f} s",
        flush=True,
    )
    net = train(net, batches, unseen, a)
    if a.save:
        torch.save(net.state_dict(), a.save)
    save(a.out, net, batches)


if __name__ == "__main__":
    main()
