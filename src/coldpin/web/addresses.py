"""Addresses of pages that other pages lead to, made in one place each."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import quote, urlencode

from coldpin.records.plan import WriteBox


def record_address(name: str, box: WriteBox, test: str, then: str = "") -> str:
    """Return where what stands in a box of a plan is recorded, with what the box says already.

    Parameters
    ----------
    name : str
        The case's folder.
    box : WriteBox
        The box.
    test : str
        Id of the test it belongs to, whose cautions stand above the form.
    then : str
        Path of the section to go on to when it is written; empty for the entry itself.

    Returns
    -------
    str
        An address of this page.

    Examples
    --------
    >>> box = WriteBox(shows="coding resistance", label="", recorded_as="readings", unit="Ω", blanks=1, rows=(),
    ...     line="", conditions={"at": "plug"})
    >>> record_address("skerrow-16", box, "coding")
    '/case/skerrow-16/record/coding%20resistance?test=coding&condition.at=plug'
    """
    return form_address(name, box.shows, box.conditions, test=test, then=then)


def form_address(name: str, word: str, conditions: Mapping[str, str], *, test: str = "", then: str = "") -> str:
    """Return the form of a word of the vocabulary, filled with what is known already.

    Parameters
    ----------
    name : str
        The case's folder.
    word : str
        The word.
    conditions : mapping of str to str
        What is known of its conditions.
    test : str
        Id of the test whose cautions stand above the form; empty for those of all that record the word.
    then : str
        Path of the section to go on to when it is written; empty for the entry itself.

    Returns
    -------
    str
        An address of this page.

    Examples
    --------
    >>> form_address("skerrow-16", "earth resistance", {})
    '/case/skerrow-16/record/earth%20resistance'
    """
    stated = ({"test": test} if test else {}) | ({"then": then} if then else {})
    stated |= {f"condition.{one}": said for one, said in conditions.items()}
    asked = f"?{urlencode(stated, quote_via=quote)}" if stated else ""
    return f"/case/{quote(name, safe='')}/record/{quote(word, safe='')}{asked}"


def described_anchor(key: str) -> str:
    """Return how a field or a list of the page Described is called there.

    Parameters
    ----------
    key : str
        Such as ``"claims.plug"`` or ``"letters"``.

    Returns
    -------
    str
        An id of that page.

    Examples
    --------
    >>> described_anchor("claims.cable_print")
    'of-claims-cable-print'
    """
    return f"of-{key.replace('.', '-').replace('_', '-')}"


def described_address(name: str, key: str) -> str:
    """Return where a field or a list of ``case.toml`` is edited.

    Parameters
    ----------
    name : str
        The case's folder.
    key : str
        Such as ``"claims.plug"`` or ``"letters"``.

    Returns
    -------
    str
        An address of this page, with its anchor.

    Examples
    --------
    >>> described_address("a & b", "claims.plug")
    '/case/a%20%26%20b/described#of-claims-plug'
    """
    return f"/case/{quote(name, safe='')}/described#{described_anchor(key)}"
