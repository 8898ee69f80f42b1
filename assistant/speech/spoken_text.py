"""What a recogniser wrote, brought near to what was said: lower case, no punctuation between words."""

from __future__ import annotations

import re

_NOISES = re.compile(r"\[[^\]]*\]|\([^)]*\)|\*[^*]*\*|[♪♫]+")  # "[noise]", "(music)": no words at all
_QUOTES = str.maketrans({"’": "'", "‘": "'", "“": " ", "”": " ", '"': " ", "…": " ", "–": "-", "—": " "})
_HYPHEN = re.compile(r"(?<=[a-z])-(?=[a-z])")
_LEADING = re.compile(r"^[\s.,:/]+(?=[^\d\s.,:/])")  # but the point of ".5" stays
_MARK = re.compile(r"[^\w\s]")
_SEPARATORS = ".,"  # kept between two numbers and as a decimal point
_BESIDE_DIGITS = "-%/:°$'#"


def spoken_text(written: str) -> str:
    """Return ``written`` as plain spoken-like text.

    Digits stay exactly as written, with every mark beside them ("1-84", "8.2. 5%", "41s"): what
    they mean is for the number grammar to say. A full stop or comma that ends the text goes.
    """
    text = _NOISES.sub(" ", written).translate(_QUOTES).lower()
    text = _HYPHEN.sub(" ", text)
    text = _MARK.sub(lambda mark: _keep(mark, text), text)
    return _LEADING.sub("", " ".join(text.split()).rstrip(".,-:/ ")) if re.search(r"\w", text) else ""


def _keep(mark: re.Match[str], text: str) -> str:
    """Keep a mark that may belong to a number, and the apostrophe inside a word."""
    sign, before, after = mark.group(), text[: mark.start()], text[mark.end() :]
    digit_before, digit_after = before.rstrip()[-1:].isdigit(), after.lstrip()[:1].isdigit()
    if sign == "'" and before[-1:].isalpha() and after[:1].isalpha():
        return sign
    if sign in _SEPARATORS:
        decimal = sign == "." and after[:1].isdigit()
        return sign if decimal or (digit_before and digit_after) else " "
    return sign if sign in _BESIDE_DIGITS and (digit_before or digit_after) else " "
