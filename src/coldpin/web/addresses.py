"""Addresses of pages that other pages lead to, made in one place each."""

from __future__ import annotations

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
    stated = {"test": test} | ({"then": then} if then else {})
    stated |= {f"condition.{name}": said for name, said in box.conditions.items()}
    asked = urlencode(stated, quote_via=quote)
    return f"/case/{quote(name, safe='')}/record/{quote(box.shows, safe='')}?{asked}"
