"""One turn of talk: context, follow-ups, confirmation, corrections, guided rounds."""
