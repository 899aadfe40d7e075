"""What a case keeps to itself: ``private.toml`` by hand, and the mapping of what was withheld from its issues."""

from __future__ import annotations

from pathlib import Path

import tomlkit

from coldpin.casefile.storage import make_folder, write_new, write_over
from coldpin.casefile.toml_text import parse_toml, require_format
from coldpin.casefile.untrusted import MAXIMUM_TEXT, read_regular
from coldpin.errors import CaseError
from coldpin.records.plain import from_json, from_plain, to_json, to_plain
from coldpin.records.withheld import PRIVATE_FORMAT, PrivateDescription, WithheldMapping

PRIVATE_FILE = "private.toml"
FOLDER = "private"
MAPPING = "withheld.json"

_HEAD = "# What must not stand in anything published or bundled. This file never leaves the case.\n"

SHORTEST = 3
"""Ours: a text of two characters stands in too many words to be taken out of them. [characters]"""


def read_private(folder: Path) -> PrivateDescription:
    """Read what is to be kept out of everything published.

    Parameters
    ----------
    folder : Path
        The case.

    Returns
    -------
    PrivateDescription
        Empty where there is no such file.

    Raises
    ------
    CaseError
        The file cannot be read, or a text in it is too short to be found again.
    """
    path = folder / PRIVATE_FILE
    if not path.exists() and not path.is_symlink():
        return PrivateDescription(format=PRIVATE_FORMAT)
    plain = parse_toml(read_regular(path, limit=MAXIMUM_TEXT), where=PRIVATE_FILE)
    require_format(plain, PRIVATE_FORMAT, where=PRIVATE_FILE)
    held = from_plain(PrivateDescription, plain, where=PRIVATE_FILE)
    for place, wanted in enumerate(held.withhold, start=1):
        if len(wanted.text.strip()) < SHORTEST:
            raise CaseError(
                f"{PRIVATE_FILE}: text {place} under 'withhold' has fewer than {SHORTEST} characters and would be "
                "found in other words: give more of it"
            )
        if not wanted.what.strip():
            raise CaseError(f"{PRIVATE_FILE}: text {place} under 'withhold' does not say what it is: 'order number'")
    return held


def write_private(folder: Path, description: PrivateDescription) -> None:
    """Write what is to be kept out of everything published, where there is no such file yet.

    Parameters
    ----------
    folder : Path
        The case.
    description : PrivateDescription
        What a person wants withheld.

    Raises
    ------
    CaseError
        There is such a file: it is changed with any text editor.
    StorageError
        The disk refused.
    """
    plain = {**to_plain(description), "withhold": [to_plain(one) for one in description.withhold]}
    data = f"{_HEAD}{tomlkit.dumps(plain)}".encode()
    if not write_new(folder / PRIVATE_FILE, data, what=PRIVATE_FILE):
        raise CaseError(f"{folder / PRIVATE_FILE} is there already: change it with any text editor")


def read_mapping(folder: Path) -> WithheldMapping:
    """Read what stands for what in the issues so far.

    Parameters
    ----------
    folder : Path
        The case.

    Returns
    -------
    WithheldMapping
        Empty where nothing was withheld yet.

    Raises
    ------
    CaseError
        It is there and cannot be read.
    """
    path = folder / FOLDER / MAPPING
    if not path.exists() and not path.is_symlink():
        return WithheldMapping()
    return from_json(WithheldMapping, read_regular(path, limit=MAXIMUM_TEXT), where=f"{FOLDER}/{MAPPING}")


def keep_mapping(folder: Path, mapping: WithheldMapping) -> None:
    """Keep what stands for what, in the place of the last; the caller holds the case's edit lock or is alone.

    Parameters
    ----------
    folder : Path
        The case.
    mapping : WithheldMapping
        All of it, with what earlier issues withheld.

    Raises
    ------
    StorageError
        The disk refused; the earlier mapping is still there.
    """
    make_folder(folder / FOLDER, what=f"the folder {FOLDER!r}")
    write_over(folder / FOLDER / MAPPING, to_json(mapping).encode(), what="what was withheld")
