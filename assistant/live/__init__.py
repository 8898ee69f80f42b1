"""The live loop: listens, decides whether it is meant, answers aloud, and never hears itself."""
