"""The English pack: concepts, intents and replies as tables; the number grammar as code."""
