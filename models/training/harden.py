"""Make clean clips hard: rooms, noises, other talkers, microphones, gain, clipping. All on the GPU, fresh each time."""

from __future__ import annotations

import math

import torch

RATE = 16000
SECONDS = 8  # length of one clip of the noise bank
T = torch.Tensor


def between(low: float, high: float, n: int, device: torch.device) -> T:
    return low + (high - low) * torch.rand(n, 1, device=device)


def chance(p: float, n: int, device: torch.device) -> T:
    return torch.rand(n, 1, device=device) < p


def rms(x: T) -> T:
    return torch.sqrt((x**2).mean(-1, keepdim=True) + 1e-9)


def shape_spectrum(x: T, gain_db: T) -> T:
    """Filter by a smooth curve: gain_db [batch, points] spread over 0 to 8 kHz, closer together below."""
    s = torch.fft.rfft(x)
    at = (torch.linspace(0, 1, s.shape[-1], device=x.device) ** 0.6) * (gain_db.shape[1] - 1)
    low = at.floor().long().clamp(max=gain_db.shape[1] - 2)
    curve = torch.lerp(gain_db[:, low], gain_db[:, low + 1], at - low)
    return torch.fft.irfft(s * 10 ** (curve / 20), x.shape[-1])


def band(x: T, low: T, high: T) -> T:
    s = torch.fft.rfft(x)
    f = torch.linspace(0, RATE / 2, s.shape[-1], device=x.device)[None]
    return torch.fft.irfft(s * torch.sigmoid((f - low) / 40) * torch.sigmoid((high - f) / 150), x.shape[-1])


def coloured(n: int, size: int, device: torch.device) -> T:
    s = torch.fft.rfft(torch.randn(n, size, device=device))
    f = torch.linspace(0, RATE / 2, s.shape[-1], device=device).clamp(min=30)
    x = torch.fft.irfft(s / f ** between(0, 1.3, n, device), size)
    return x / rms(x)


def hood(n: int, t: T) -> T:
    u = lambda a, b: between(a, b, n, t.device)  # noqa: E731
    x = coloured(n, t.shape[-1], t.device) * (
        1 + u(0, 0.7) * torch.sin(2 * math.pi * u(0.1, 2.5) * t + u(0, 6))
    )
    base = u(45, 240)
    hum = torch.stack(
        [torch.sin(2 * math.pi * base * k * t + u(0, 6)) * u(0, 1) / k for k in range(1, 6)]
    ).sum(0)
    return x + hum * u(0, 1.2) * chance(0.6, n, t.device)


def spray(n: int, t: T) -> T:
    u = lambda a, b: between(a, b, n, t.device)  # noqa: E731
    x = band(torch.randn(n, t.shape[-1], device=t.device), u(80, 900), u(2500, 8000))
    gate = torch.sigmoid(8 * (torch.sin(2 * math.pi * u(0.15, 1.5) * t + u(0, 6)) + u(-0.4, 1)))
    return x * (0.1 + gate) * (1 + u(0, 0.8) * torch.sin(2 * math.pi * u(2, 12) * t))


def clatter(n: int, t: T) -> T:
    u = lambda a, b: between(a, b, n, t.device)  # noqa: E731
    x = 0.02 * coloured(n, t.shape[-1], t.device)
    for _ in range(14):
        at = u(0, float(t[0, -1]))
        since = (t - at).clamp(min=0)
        decay = torch.exp(-since * u(8, 90)) * (t > at)
        ring = torch.stack([torch.sin(2 * math.pi * u(400, 7500) * since) * u(0, 1) for _ in range(4)]).sum(0)
        knock = torch.randn_like(x) * torch.exp(-since * u(60, 300)) * (t > at) * u(0, 3)
        x = x + u(0.1, 1.2) * (decay * ring + knock)
    return x


def beeps(n: int, t: T) -> T:
    """Timers, alarms and tunes: tones that change in steps, with overtones."""
    u = lambda a, b: between(a, b, n, t.device)  # noqa: E731
    step = (t * u(1, 8) + u(0, 1)).long() % 16
    notes = torch.gather(2 ** (torch.randint(-12, 13, (n, 16), device=t.device) / 12.0), 1, step)
    phase = torch.cumsum(2 * math.pi * u(200, 2000) * notes / RATE, 1)
    on = torch.gather((torch.rand(n, 16, device=t.device) < u(0.3, 1)).float(), 1, step)
    tone = torch.sin(phase) + u(0, 0.8) * torch.sin(2 * phase) + u(0, 0.5) * torch.sin(3 * phase)
    return tone * on + 0.05 * coloured(n, t.shape[-1], t.device)


def talkers(n: int, size: int, speech: T, voices: int) -> T:
    """Sums of `voices` stretches of a long line of speech [samples], at unequal loudness."""
    x = torch.zeros(n, size, device=speech.device)
    for _ in range(voices):
        at = torch.randint(0, len(speech) - size, (n, 1), device=speech.device)
        x += speech[at + torch.arange(size, device=speech.device)].float() * between(0.3, 1, n, speech.device)
    return x


class NoiseBank:
    """Thousands of 8-second noises of unit level, made once; `draw` mixes stretches of them. Without talk: no voices."""

    def __init__(self, speech: T, clips: int = 2400, talk: bool = True) -> None:
        chunk = min(60, clips)
        device, size = speech.device, SECONDS * RATE
        t = torch.arange(size, device=device)[None] / RATE
        self.bank = torch.zeros(clips, size, dtype=torch.float16, device=device)
        makers = [
            lambda: hood(chunk, t), lambda: spray(chunk, t), lambda: clatter(chunk, t), lambda: beeps(chunk, t),
            lambda: talkers(chunk, size, speech, 6), lambda: talkers(chunk, size, speech, 3), lambda: hood(chunk, t),
            lambda: coloured(chunk, size, device),
        ]  # fmt: skip
        makers = makers if talk else makers[:4] + makers[6:]
        for k, at in enumerate(range(0, clips - clips % chunk, chunk)):
            x = makers[k % len(makers)]()
            self.bank[at : at + chunk] = (x / rms(x)).clamp(-60, 60).half()

    def draw(self, n: int, size: int) -> T:
        out = torch.zeros(n, size, device=self.bank.device)
        for k in range(2):
            row = torch.randint(0, len(self.bank), (n, 1), device=out.device)
            at = torch.randint(0, self.bank.shape[1], (n, 1), device=out.device)
            x = self.bank[row, (at + torch.arange(size, device=out.device)) % self.bank.shape[1]].float()
            out = out + x if k == 0 else out + x * between(0, 1, n, out.device) * chance(0.5, n, out.device)
        return out / rms(out)


def room(x: T) -> T:
    """Half of the clips in a room: early echoes and a decaying tail, 0.1 to 0.9 s, near or far."""
    n, device, size = x.shape[0], x.device, RATE // 2
    t = torch.arange(size, device=device)[None] / RATE
    tail = torch.randn(n, size, device=device) * torch.exp(-6.9 * t / between(0.1, 0.9, n, device))
    early = (
        (torch.rand(n, size, device=device) < 0.004) * (t < 0.05) * torch.randn(n, size, device=device) * 4
    )
    h = shape_spectrum((tail + early) * (t > 0.002), torch.randn(n, 6, device=device) * 3)
    h = h / (h.pow(2).sum(-1, keepdim=True).sqrt() + 1e-9) * 10 ** (between(-18, 3, n, device) / 20)
    h = h * chance(0.55, n, device)
    h[:, 0] = 1
    m = 1 << (x.shape[1] + size - 1).bit_length()
    return torch.fft.irfft(torch.fft.rfft(x, m) * torch.fft.rfft(h, m), m)[:, : x.shape[1]]


def harden(x: T, seconds: T, silent: T, bank: NoiseBank, rival: T, easy: float = 0.0) -> T:
    """x [batch, samples] clean speech with silence around it, seconds [batch, 1] of speech in each, silent [batch, 1]:
    clips that get noise only, rival: other talkers, easy: decibels by which noise is weaker.

    Returns samples in the int16 range, as a microphone would deliver them.
    """
    n, device = x.shape[0], x.device
    u, p = (lambda a, b: between(a, b, n, device)), (lambda q: chance(q, n, device))
    x = torch.where(p(0.7), shape_spectrum(x, torch.randn(n, 8, device=device) * 3), x)
    x = room(x)
    level = torch.sqrt(x.pow(2).sum(-1, keepdim=True) / (seconds * RATE)) + 1e-6
    x = torch.where(silent, torch.zeros_like(x), x)
    snr = torch.where(p(0.15), u(30, 55), u(-5, 28)) + easy
    x = x + bank.draw(n, x.shape[1]) * level * 10 ** (-snr / 20)
    x = x + rival / (rms(rival) + 1e-6) * level * 10 ** (-u(6, 24) / 20) * p(0.15)
    x = torch.where(p(0.6), shape_spectrum(x, torch.randn(n, 8, device=device) * 4), x)
    x = torch.where(p(0.4), band(x, u(30, 400), u(3000, 8200)), x)
    x = x / x.abs().amax(-1, keepdim=True).clamp(min=1e-6) * 10 ** u(2.3, 4.51)
    x = torch.where(p(0.12), (x * u(1.5, 6)), x) + torch.randn_like(x) * 10 ** u(-0.7, 1.0)
    return x.clamp(-32768, 32767).round()
