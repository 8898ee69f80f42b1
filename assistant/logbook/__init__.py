"""The append-only log: entries, the store, playback, verification and export."""
