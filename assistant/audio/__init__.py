"""Frames in and out: microphone, speaker, sound files, end of speech."""
