"""How loud and how fast the voice speaks: a plain value that the speaking part reads."""

from __future__ import annotations

from dataclasses import dataclass

LEAST, MOST = 0.25, 2.0


@dataclass(frozen=True)
class VoiceSetting:
    """How the voice speaks, as factors of the usual volume and speed (1.0)."""

    volume: float = 1.0
    speed: float = 1.0

    def changed(self, volume: float = 1.0, speed: float = 1.0) -> VoiceSetting:
        """Return the setting multiplied by factors, kept between a quarter and double."""
        return VoiceSetting(_within(self.volume * volume), _within(self.speed * speed))


def _within(factor: float) -> float:
    return round(min(max(factor, LEAST), MOST), 3)
