"""The one door to the library that looks at pictures, which is an optional part."""

from __future__ import annotations

from types import ModuleType

from coldpin.errors import MissingExtra


def load_opencv(what: str) -> ModuleType:
    """Return the library that looks at pictures.

    Parameters
    ----------
    what : str
        What it is wanted for, as the subject of a sentence.

    Returns
    -------
    module
        ``cv2``.

    Raises
    ------
    MissingExtra
        It is not installed.
    """
    try:
        import cv2
    except ModuleNotFoundError as error:
        raise MissingExtra.of("photo", what) from error
    return cv2
