"""Single-use things and reused packaging: no rule is held, so another decides."""

from __future__ import annotations

from assistant.dialogue.answers.advice import always
from assistant.rules.basis import Citation

NO_RULE = Citation("no rule held", "single-use items and reused packaging", flag="PRACTICE")


always("single_use", NO_RULE)
