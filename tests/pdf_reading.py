"""The one typed door to pypdfium2, with which tests look into a PDF as a reader would."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pypdfium2  # type: ignore[import-untyped]  # the library ships no types
from numpy.typing import NDArray


def page_texts(pdf: Path | bytes) -> list[str]:
    """Return the text of each page, as it can be selected and searched."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return [str(page.get_textpage().get_text_bounded()) for page in document]
    finally:
        document.close()


def save_page(pdf: Path | bytes, number: int, target: Path, *, scale: float = 2.0) -> None:
    """Draw a page, counted from 0, as a picture; a scale of 1 is 72 dots an inch."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        document[number].render(scale=scale).to_pil().save(target)
    finally:
        document.close()


def page_pixels(pdf: Path | bytes, number: int, *, dots_per_mm: float) -> NDArray[np.uint8]:
    """Return a page, counted from 0, as an array of grey values."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        drawn = document[number].render(scale=dots_per_mm * 25.4 / 72.0, grayscale=True).to_numpy()
        return np.array(drawn, dtype=np.uint8).reshape(drawn.shape[:2])
    finally:
        document.close()
