"""Live and shucked molluscan shellfish: tags, and shells that are thrown out."""

from __future__ import annotations

from datetime import date, timedelta

from assistant.rules.basis import Citation
from assistant.rules.profile import Profile

TAGS = Citation("FDA Food Code 2022", "3-203.12", note="on the container until empty, then kept")
SOURCE = Citation("FDA Food Code 2022", "3-201.15; 3-202.18")


def tag_keep_until(last_served: date, profile: Profile) -> date:
    """Return the last day to keep a tag, counted from the day the last one of the container was served."""
    return last_served + timedelta(days=int(profile.value("shellfish_tag_days")))
