"""The one gate to the PDF library, without its complaint that it can draw no pictures: pages have none."""

from __future__ import annotations

import warnings

with warnings.catch_warnings():
    warnings.filterwarnings("ignore", "Pillow could not be imported")
    from fpdf import FPDF
    from fpdf.enums import MethodReturnValue, TableBordersLayout, XPos, YPos
    from fpdf.errors import FPDFException
    from fpdf.fonts import FontFace, TTFFont

__all__ = [
    "FPDF", "FPDFException", "FontFace", "MethodReturnValue", "TTFFont", "TableBordersLayout", "XPos", "YPos",
]  # fmt: skip
