"""Why an answer was given: the frame of what was heard and the row of the policy that decided, in lines."""

from __future__ import annotations

from itertools import groupby

from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from intents.meaning import OTHER


def explained(heard: Heard, outcome: Outcome) -> tuple[str, ...]:
    """Return what was understood: act, the likeliest intents, roles, what was left out, and what decided."""
    read = heard.interpretation
    meaning = read.meaning
    guesses = ", ".join(f"{guess.intent} {guess.share:.2f}" for guess in meaning.guesses[:3])
    act = f"{meaning.act} {meaning.share_of(meaning.act):.2f}"
    lines = [f"act: {act}, a plain yes would hurt: {meaning.danger:.2f}", f"meant: {guesses}"]
    paired = list(zip(meaning.roles, read.heard.words, strict=False))
    roles = [
        f"[{role}: {' '.join(word for _, word in words)}]"
        for role, words in groupby(paired, key=lambda pair: pair[0])
        if role != OTHER
    ]
    if roles:
        lines.append(f"roles: {' '.join(roles)}")
    lines += [
        "reads as: " + ", ".join(f"{r.subject} {r.value:f} {r.unit or r.quantity}" for r in option)
        for option in read.readings.options
    ]
    if read.beside:
        lines.append("left out: " + " ".join(read.heard.words[i] for i in read.beside))
    if outcome.decided:
        lines.append(f"decided: {outcome.decided}")
    return tuple(lines)
