"""``docs/measured.md``: one section for what was proved, one for speed, each written by its own program."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path
from platform import python_version

PROJECT = Path(__file__).resolve().parent.parent
PAGE = PROJECT / "docs" / "measured.md"
MATTERS = ("src", "tests", "tools", "pyproject.toml", "requirements.lock", "requirements-dev.lock")
"""What a measured figure depends on; a change of the other files leaves it valid."""

HEAD = """# Measured

Written by `make prove` and `make bench`, never by hand. A figure stands beside its goal and the test that measured it.
"""
SECTIONS = ("Proved", "Speed")
LIBRARIES = ("numpy", "scipy", "polars", "GTC")


@dataclass(frozen=True, slots=True, kw_only=True)
class Commit:
    """The last commit that changed what matters, and whether there are changes beside it."""

    hash: str
    date: str
    changed: str

    def words(self) -> str:
        """Return the commit as the page names it.

        Returns
        -------
        str
            Hash and date, with a warning where the tree differs from it.
        """
        beside = ", **with changes that were not committed**" if self.changed else ""
        return f"Commit `{self.hash[:12]}` of {self.date}{beside}"


def git(*arguments: str) -> str:
    """Run git in the project and return what it printed.

    Parameters
    ----------
    *arguments : str
        The command's arguments.

    Returns
    -------
    str
        Standard output.
    """
    done = subprocess.run(["git", *arguments], cwd=PROJECT, check=True, capture_output=True, text=True)
    return done.stdout


def current_commit() -> Commit:
    """Return the commit that the working tree stands on, looking only at what matters to a figure.

    Returns
    -------
    Commit
        Its hash, its date, and the text of all changes beside it (empty where there are none).
    """
    hash_, date = git("log", "-1", "--format=%H %cs", "--", *MATTERS).split()
    changed = git("diff", "HEAD", "--", *MATTERS)
    for name in git("ls-files", "--others", "--exclude-standard", "--", *MATTERS).splitlines():
        changed += f"{name}\n{(PROJECT / name).read_bytes()!r}\n"
    return Commit(hash=hash_, date=date, changed=changed)


def conditions() -> str:
    """Return what the figures were made with, so far as it does not depend on the machine.

    Returns
    -------
    str
        One sentence.
    """
    return f"Python {python_version()} with " + ", ".join(f"{name} {version(name)}" for name in LIBRARIES) + "."


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Return a Markdown table.

    Parameters
    ----------
    head : sequence of str
        The column titles.
    rows : sequence of sequence of str
        The cells, row by row.

    Returns
    -------
    str
        The table's lines, with a final newline.
    """
    lines = [head, ["---"] * len(head), *rows]
    return "".join("| " + " | ".join(cell.replace("|", "\\|") for cell in line) + " |\n" for line in lines)


def with_section(page: str, title: str, body: str) -> str:
    """Return the page with one section replaced and the others as they were.

    Parameters
    ----------
    page : str
        The page as it is; empty where there is none yet.
    title : str
        The section, one of ``SECTIONS``.
    body : str
        What is to stand under its title.

    Returns
    -------
    str
        The whole page.
    """
    pieces = re.split(r"^## (.+)\n", page, flags=re.MULTILINE)[1:]
    bodies = dict(zip(pieces[::2], (text.strip() + "\n" for text in pieces[1::2]), strict=True))
    bodies[title] = body.strip() + "\n"
    written = [f"\n## {name}\n\n{bodies.get(name, 'Not measured yet.' + chr(10))}" for name in SECTIONS]
    return HEAD + "".join(written)


def write_section(title: str, body: str) -> None:
    """Write one section of the page and leave the others as they were.

    Parameters
    ----------
    title : str
        The section, one of ``SECTIONS``.
    body : str
        What is to stand under its title.
    """
    page = PAGE.read_text(encoding="utf-8") if PAGE.exists() else ""
    PAGE.write_text(with_section(page, title, body), encoding="utf-8")
