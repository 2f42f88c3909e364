"""What a PDF says and how it is drawn, read back by an independent library (pypdf)."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass

from pypdf import PageObject, PdfReader

POINTS_A4 = (595.276, 841.89)  # ISO 216: 210 × 297 mm, at 72 points an inch
POINTS_LETTER = (612.0, 792.0)  # ANSI/ASME Y14.1: 8.5 × 11 in
SIZES = {"a4": POINTS_A4, "us-letter": POINTS_LETTER}


@dataclass(frozen=True)
class Read:
    """The pages as text without white space and break marks, their sizes in points, and the sizes of type in them."""

    pages: tuple[str, ...]
    sizes: tuple[tuple[float, float], ...]
    type_sizes: tuple[frozenset[float], ...]
    drawing: tuple[str, ...]

    def says(self, words: str) -> bool:
        """Whether these words stand anywhere, whatever the lines."""
        return squeezed(words) in "".join(self.pages)


def squeezed(words: str) -> str:
    """The words without white space and places to break."""
    return re.sub(r"[\s\u200b]+", "", words)


def read(pdf: bytes) -> Read:
    """Reads a PDF back."""
    pages, sizes, types, drawing = [], [], [], []
    for page in PdfReader(io.BytesIO(pdf)).pages:
        pages.append(squeezed(page.extract_text()))
        sizes.append((float(page.mediabox.width), float(page.mediabox.height)))
        content = page.get_contents()
        drawn = content.get_data().decode("latin-1") if content is not None else ""
        drawing.append("\n".join([drawn, *_hatches(page)]))
        types.append(frozenset(float(size) for size in re.findall(r"/f\d+ ([\d.]+) Tf", drawn)))
    return Read(tuple(pages), tuple(sizes), tuple(types), tuple(drawing))


def _hatches(page: PageObject) -> list[str]:
    """How the hatches of a page are drawn, where there are any."""
    patterns = page.get("/Resources", {}).get("/Pattern", {})
    found = [patterns[name].get_object() for name in patterns]
    return [pattern.get_data().decode("latin-1") for pattern in found if hasattr(pattern, "get_data")]
