"""Speak planned jobs with Kokoro on one GPU (or the CPU): python speak.py JOBS.npz KOKORO.onnx OUT.npz [--part 0/2] [--seconds 150]

OUT holds int16 samples at 16 kHz, peak at 20000, with about 50 ms left before and 100 ms after the words; phone labels;
and the number of each clip's job. Stops after --seconds and writes what there is; batches come in random order.
"""

from __future__ import annotations

import argparse
import collections
import pathlib
import time

import kokoro_batch
import numpy as np
import torch

RATE = 16000


def styles(jobs: dict[str, np.ndarray], which: np.ndarray, row: int, device: str) -> torch.Tensor:
    """[batch, 256] style vectors: weighted sums over voices, other weights for the sound half than for the prosody half."""
    mix = torch.tensor(jobs["mix"][which], dtype=torch.float32, device=device)
    rows = torch.tensor(jobs["bank"][:, row], dtype=torch.float32, device=device)[mix[:, :4].long()]
    return torch.cat(
        [(rows[..., :128] * mix[:, 4:8, None]).sum(1), (rows[..., 128:] * mix[:, 8:, None]).sum(1)], 1
    )


def resample(x: torch.Tensor, shift: float) -> torch.Tensor:
    """24 kHz to 16 kHz, played `shift` times faster (pitch and formants rise with it); by its spectrum."""
    n = x.shape[-1]
    m = round(n * 16 / 24 / shift)
    spectrum = torch.fft.rfft(x)
    keep = m // 2 + 1
    if keep <= spectrum.shape[-1]:
        spectrum = spectrum[..., :keep]
    return torch.fft.irfft(spectrum, m) * (m / n)


def trim(x: torch.Tensor) -> np.ndarray:
    """Cut silence, set the peak, return int16."""
    size = x.abs()
    loud = torch.nonzero(size > 0.012 * size.max())
    start, end = max(0, int(loud[0]) - 800), int(loud[-1]) + 1600
    x = x[start:end]
    return (x / x.abs().max() * 20000).round().to(torch.int16).cpu().numpy()


class Speaker:
    """Turns jobs into clips; `clips` fills up as (job, samples)."""

    def __init__(self, jobs: dict[str, np.ndarray], model: str, device: str) -> None:
        self.jobs, self.device = jobs, device
        self.graph = kokoro_batch.load(model, device)
        self.clips: list[tuple[int, np.ndarray]] = []

    def timed(
        self, which: np.ndarray
    ) -> list[tuple[int, int, torch.Tensor, torch.Tensor, torch.Tensor, torch.Tensor]]:
        """Durations for jobs of one token count. The last token's silence is drawn out so that lengths are multiples of 6."""
        j = self.jobs
        n = int(j["ids_at"][which[0] + 1] - j["ids_at"][which[0]])
        tokens = torch.tensor(
            np.stack([j["ids"][j["ids_at"][k] : j["ids_at"][k] + n] for k in which]).astype(np.int64),
            device=self.device,
        )
        style = styles(j, which, n - 2, self.device)
        pace = torch.tensor(j["speed"][which], dtype=torch.float32, device=self.device)
        frames, prosody, text = kokoro_batch.durations(
            self.graph, tokens, style, (pace[:, 0] / pace[:, 1])[:, None]
        )
        frames = frames.clone()
        frames[:, -1] += (-frames.sum(1)) % 6
        total = frames.sum(1).long().tolist()
        return [(int(k), total[i], frames[i], prosody[i], text[i], style[i]) for i, k in enumerate(which)]

    def spoken(
        self, group: list[tuple[int, int, torch.Tensor, torch.Tensor, torch.Tensor, torch.Tensor]]
    ) -> None:
        """Sound for jobs with equal token count or padded to it, and equal frame totals."""
        n = max(g[2].shape[0] for g in group)
        pad = lambda t, size: torch.nn.functional.pad(t, size)  # noqa: E731
        frames = torch.stack([pad(g[2], (0, n - g[2].shape[0])) for g in group])
        prosody = torch.stack([pad(g[3], (0, 0, 0, n - g[3].shape[0])) for g in group])
        text = torch.stack([pad(g[4], (0, n - g[4].shape[1])) for g in group])
        audio = kokoro_batch.sound(self.graph, frames, prosody, text, torch.stack([g[5] for g in group]))
        for g, samples in zip(group, audio, strict=True):
            shift = float(self.jobs["speed"][g[0], 1])
            if bool(samples.isfinite().all()):
                self.clips.append((g[0], trim(resample(samples, shift))))


def speak(speaker: Speaker, order: np.ndarray, seconds: float, batch: int) -> None:
    """Walk the jobs in chunks of a few thousand, each grouped by token count and then by length."""
    start, length = time.time(), np.diff(speaker.jobs["ids_at"])
    for at in range(0, len(order), 6000):
        chunk = order[at : at + 6000]
        ready = collections.defaultdict(list)
        for n in np.unique(length[chunk]):
            same = chunk[length[chunk] == n]
            for i in range(0, len(same), 256):
                for item in speaker.timed(same[i : i + 256]):
                    ready[item[1]].append(item)
        for total, group in ready.items():
            size = max(1, min(batch, batch * 120 // total))
            for i in range(0, len(group), size):
                if time.time() - start > seconds:
                    return
                speaker.spoken(group[i : i + size])
        print(f"{time.time() - start:.0f} s: {len(speaker.clips)} clips", flush=True)


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    p.add_argument("jobs")
    p.add_argument("model")
    p.add_argument("out", type=pathlib.Path)
    p.add_argument("--part", default="0/1")
    p.add_argument("--seconds", type=float, default=1e9)
    p.add_argument("--batch", type=int, default=48)
    p.add_argument("--device", default="cuda" if torch.cuda.is_available() else "cpu")
    a = p.parse_args()
    torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True
    jobs = dict(np.load(a.jobs))
    part, of = map(int, a.part.split("/"))
    order = np.random.default_rng(1).permutation(len(jobs["speed"]))[part::of]
    speaker = Speaker(jobs, a.model, a.device)
    start = time.time()
    with torch.no_grad():
        speak(speaker, order, a.seconds, a.batch)
    save(a.out, speaker.clips, jobs)
    hours = sum(len(x) for _, x in speaker.clips) / RATE / 3600
    print(
        f"part {part}: {len(speaker.clips)} clips, {hours:.2f} hours in {time.time() - start:.0f} s",
        flush=True,
    )


def save(out: pathlib.Path, clips: list[tuple[int, np.ndarray]], jobs: dict[str, np.ndarray]) -> None:
    label = [jobs["labels"][jobs["labels_at"][k] : jobs["labels_at"][k + 1]] for k, _ in clips]
    np.savez(
        out, audio=np.concatenate([x for _, x in clips]), at=np.cumsum([0] + [len(x) for _, x in clips]), job=np.array([k for k, _ in clips]),
        labels=np.concatenate(label), labels_at=np.cumsum([0] + [len(x) for x in label]),
    )  # fmt: skip


if __name__ == "__main__":
    main()
