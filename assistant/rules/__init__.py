"""Pure food-safety rules: plain values in, cited judgements out. No clock, no sound, no wording."""
