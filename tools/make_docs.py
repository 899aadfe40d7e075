"""Make the generated pages of ``docs/`` again, from the records they tell of."""

from __future__ import annotations

import sys

from tools.check_pages import check_pages
from tools.detection_page import detection_page
from tools.measured_page import PROJECT
from tools.reference_pages import schema_files, sources_page, vocabulary_page

DOCS = PROJECT / "docs"
GENERATED_FOLDERS = ("checks", "schema")
"""Folders that hold generated files only: what is no longer made is taken away."""


def generated() -> dict[str, str]:
    """Return every generated file.

    Returns
    -------
    dict
        Text by path under ``docs/``.
    """
    return {
        **check_pages(),
        **schema_files(),
        "detection.md": detection_page(),
        "sources.md": sources_page(),
        "vocabulary.md": vocabulary_page(),
    }


def leftovers() -> list[str]:
    """Return files in generated folders that nothing makes any more.

    Returns
    -------
    list of str
        Paths under ``docs/``.
    """
    made = generated()
    there = [path for folder in GENERATED_FOLDERS for path in (DOCS / folder).rglob("*") if path.is_file()]
    return sorted(name for path in there if (name := path.relative_to(DOCS).as_posix()) not in made)


def main() -> int:
    """Write what has changed and say so.

    Returns
    -------
    int
        0.
    """
    for name in leftovers():
        (DOCS / name).unlink()
        print(f"removed docs/{name}")
    for name, text in generated().items():
        target = DOCS / name
        if not target.exists() or target.read_text(encoding="utf-8") != text:
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_text(text, encoding="utf-8")
            print(f"wrote docs/{name}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
