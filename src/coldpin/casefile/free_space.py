"""Room on the disk: what would leave none for entries is not written."""

from __future__ import annotations

import shutil
from pathlib import Path

from coldpin.errors import StorageError

SPARE = 16 << 20
"""Space that must stay free after filing, so that entries can still be written. [bytes]"""


def require_room(folder: Path, size: int, *, what: str) -> None:
    """Refuse what would leave no room for entries.

    Parameters
    ----------
    folder : Path
        Where it is to stand.
    size : int
        Of what is to be written. [bytes]
    what : str
        What it is, for a message.

    Raises
    ------
    StorageError
        There is no room.
    """
    free = shutil.disk_usage(folder).free
    if free < size + SPARE:
        raise StorageError(
            f"{what} has {size} bytes and {free} are free at {folder}; {SPARE} must stay free for entries; "
            "nothing was filed: free some space and do it again"
        )
