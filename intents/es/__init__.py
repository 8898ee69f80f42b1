"""The Spanish pack: concepts, intents, names and replies as tables; numbers, clock and spelling as code."""
