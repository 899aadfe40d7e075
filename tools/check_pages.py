"""A page of the docs for each check, made from its record, and the page that lists them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

from coldpin.checks import CHECKS, method
from coldpin.checks.check import Check
from coldpin.records.case import Build, Cable, UnitClass
from coldpin.records.finding import Limit
from coldpin.standards.book import load_book
from coldpin.standards.wording import limit_paragraph
from tools.measured_page import table

MADE = "Made from the record of the check by `make docs`; never edited by hand."


def limits_of(check: Check) -> tuple[Limit, ...]:
    """Return the constants that a check may be judged against, in all editions.

    Parameters
    ----------
    check : Check
        The check.

    Returns
    -------
    tuple of Limit
        In the order of the tables, each once.
    """
    book = load_book()
    found = {row.limit.id: row.limit for prefix in check.limits for row in book.under(prefix)}
    return tuple(found.values())


def reasons_not_to_apply(check: Check) -> tuple[str, ...]:
    """Return why a check does not apply, for all classes of unit that exist.

    Parameters
    ----------
    check : Check
        The check.

    Returns
    -------
    tuple of str
        Each reason once; empty where it applies to every class.
    """
    classes = (
        UnitClass(charging_mode=mode, build=build, cable=cable, connector=connector)
        for mode, build, cable, connector in product((1, 2, 3), Build, Cable, ("type 1", "type 2"))
    )
    return tuple(sorted({reason for unit in classes if (reason := check.applies(unit))}))


def bullets(lines: Sequence[str]) -> str:
    """Return a Markdown list.

    Parameters
    ----------
    lines : sequence of str
        Its items.

    Returns
    -------
    str
        One line each.
    """
    return "".join(f"- {line}\n" for line in lines)


def numbered(lines: Sequence[str]) -> str:
    """Return a numbered Markdown list.

    Parameters
    ----------
    lines : sequence of str
        Its items.

    Returns
    -------
    str
        One line each.
    """
    return "".join(f"{number}. {line}\n" for number, line in enumerate(lines, start=1))


def section(title: str, body: str) -> str:
    """Return a section, or nothing where it has no body.

    Parameters
    ----------
    title : str
        Its title.
    body : str
        Markdown.

    Returns
    -------
    str
        The section.
    """
    return f"\n## {title}\n\n{body}" if body else ""


def judged_against(check: Check) -> str:
    """Return the list of constants of a check with their sources.

    Parameters
    ----------
    check : Check
        The check.

    Returns
    -------
    str
        Markdown.
    """
    return bullets([limit_paragraph(limit) for limit in limits_of(check)])


def bearings(check: Check) -> str:
    """Return the table of what a check says of the protective functions.

    Parameters
    ----------
    check : Check
        The check.

    Returns
    -------
    str
        Markdown.
    """
    rows = [
        [bearing.function, f"{bearing.within_if_works:g}", f"{bearing.within_if_not:g}", bearing.source]
        for bearing in check.bears
    ]
    return table(["function", "P(within), it works", "P(within), it does not", "source"], rows) if rows else ""


def check_page(check: Check) -> str:
    """Return the page of one check: what it asks, what it needs, how it is done, what it is judged against.

    Cautions stand before the steps, as everywhere.

    Parameters
    ----------
    check : Check
        The check.

    Returns
    -------
    str
        Markdown.
    """
    bench = check.bench
    work = [
        f"Kind of work: **{bench.level}**",
        f"Instrument: {bench.instrument}",
        f"Time at the bench: about {bench.minutes} min",
        f"Repeats: {bench.repeats}",
    ]
    reasons = reasons_not_to_apply(check)
    return (
        f"# {check.title}\n\n{check.question}\n\nId: `{check.id}`. {MADE}\n"
        + section("Needs", bullets([need.describe() for need in check.needs]))
        + section("Does not apply", bullets(reasons))
        + section("At the bench", bullets(work))
        + section("Cautions, before anything else", bullets(bench.cautions))
        + section("Steps", numbered(bench.steps))
        + section("Do not go on unless", bullets(bench.hold_points))
        + section("Stop at", bullets(list(method(check, load_book()).stop_values)))
        + section("Does the result hold for the closed unit?", bench.transfers and bench.transfers + "\n")
        + section("Judged against", judged_against(check))
        + section("What it says of the protective functions", bearings(check))
    )


def index_page() -> str:
    """Return the page that lists the checks in the order in which they may be done.

    Returns
    -------
    str
        Markdown.
    """
    rows = [
        [
            f"[{check.title}]({check.id}.md)",
            str(check.bench.level),
            f"{check.bench.minutes} min",
            ", ".join(bearing.function for bearing in check.bears),
        ]
        for check in CHECKS
    ]
    head = f"# The checks\n\nIn the order in which they may be done: dead before live. {MADE}\n\n"
    return head + table(["check", "kind of work", "time", "speaks of"], rows)


def check_pages() -> dict[str, str]:
    """Return all pages of the folder ``checks``.

    Returns
    -------
    dict
        Text by path under ``docs/``.
    """
    return {"checks/README.md": index_page()} | {f"checks/{check.id}.md": check_page(check) for check in CHECKS}
