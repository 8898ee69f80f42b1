"""Synthetic speech for the tests: the clips, their manifest, and the scripts that make and disturb them."""
