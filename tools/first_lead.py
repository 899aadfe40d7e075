"""The tutorial on the page, "Your first lead in one afternoon": its text, its files, and somebody who follows it."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Page

from coldpin.workbench.brackwater.skerrow import SKERROW
from coldpin.workbench.demo import lay_out
from tools.bench_steps import Reader, Step, steps_of
from tools.measured_page import PROJECT

TUTORIAL = PROJECT / "docs" / "tutorial_first_lead.md"
PICTURES = PROJECT / "docs" / "pictures" / "first_lead"
SHELF = "Brackwater Boatyard"
"""The folder that the reader makes, and what the shelf is called by it."""
PICTURE = re.compile(r"!\[(?P<says>[^\]]+)\]\(pictures/first_lead/(?P<name>[\w-]+)\.webp\)")


def tutorial_steps() -> tuple[Step, ...]:
    """Return the steps of the tutorial.

    Returns
    -------
    tuple of Step
        In reading order.
    """
    return steps_of(TUTORIAL.read_text(encoding="utf-8"))


def lay_table(folder: Path) -> Path:
    """Lay the files out that the tutorial gives to the page, as the demo holds them.

    Parameters
    ----------
    folder : Path
        Where; made if it is not there.

    Returns
    -------
    Path
        The folder.
    """
    folder.mkdir(exist_ok=True)
    lay_out(SKERROW, folder, {step.first for step in tutorial_steps() if step.verb == "give"})
    return folder


def follow(page: Page, address: str, table: Path, take: Callable[[str], None]) -> None:
    """Do the whole tutorial, from the empty shelf on.

    Parameters
    ----------
    page : Page
        A page of a browser.
    address : str
        Of the empty shelf.
    table : Path
        Of :func:`lay_table`.
    take : callable
        Called with the name of each picture, while the page shows what it is of.

    Raises
    ------
    AssertionError
        A step cannot be done; the message says which.
    """
    page.goto(address)
    Reader(page=page, table=table, take=take).follow(tutorial_steps())
