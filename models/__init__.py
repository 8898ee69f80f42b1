"""Which speech models exist, where they are, and how they are fetched and checked."""
