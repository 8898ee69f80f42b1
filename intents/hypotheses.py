"""What was heard: the n-best words of one utterance with confidences. Typed text enters here too."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One way the utterance may have read. ``share`` is its part (0 to 1) of the n-best mass."""

    text: str
    share: float = 1.0


@dataclass(frozen=True, slots=True)
class Hypotheses:
    """All hypotheses of one utterance, best first; none means that nothing was understood.

    ``confidence`` is the engine's own figure for the best one (0 to 1), never comparable between
    engines. ``advice`` names a fault of the sound (``too_quiet``, ``clipped``, ``no_speech``), if any.
    """

    alternatives: tuple[Hypothesis, ...]
    confidence: float = 1.0
    engine: str = "typed"
    model: str = ""
    advice: str = ""
    timings_ms: dict[str, float] = field(default_factory=dict)
    language: str = ""  # of the recogniser, two letters; empty: not said
    crowded: bool = False  # others talked on in the same sound, and nobody called in it
    others_before: bool = False  # nobody called in it, and others talked on in what was said since the call
    woken: bool = False  # a listener for nothing but the wake phrase has heard it
    second: tuple[Hypothesis, ...] | None = None  # what a second listener heard, if one listened

    @classmethod
    def typed(cls, text: str, language: str = "") -> Hypotheses:
        """Wrap text that a person typed: one hypothesis, full confidence; in one language, or in any."""
        return cls((Hypothesis(text),) if text.strip() else (), language=language)

    @property
    def best(self) -> str:
        """The best hypothesis' words, or an empty string."""
        return self.alternatives[0].text if self.alternatives else ""
