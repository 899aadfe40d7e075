"""Every page of the page at the bench, once: where it is, what its picture shows. Tests and pictures walk this list."""

from __future__ import annotations

from dataclasses import dataclass

from playwright.sync_api import Page

PATIENCE = 15_000.0
"""Milliseconds after which a link is given up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """One page.

    Parameters
    ----------
    name : str
        Of its pictures.
    address : str
        Where it is; `{case}` stands for the address of a case, `{name}` for its name. One that ends in `*` is the
        first link that begins so, found on the page `seen_on`.
    title : str
        What it is called in the documentation.
    says : str
        One sentence on what one does there.
    seen_on : str
        Where the link to it is.
    shows : str
        The case of the demo whose page is pictured.
    """

    name: str
    address: str
    title: str
    says: str
    seen_on: str = "{case}"
    shows: str = "skerrow-16"

    def at(self, case: str) -> str:
        """Return the address for a case."""
        return self.address.replace("{case}", f"/case/{case}").replace("{name}", case)


PLACES = (
    Place(
        name="shelf",
        address="/",
        title="The shelf",
        says="Every case with what may be said of it and the state of each function; sieved by words and states.",
    ),
    Place(
        name="new-case",
        address="/new",
        title="A new case",
        says="What is marked on the specimen, what kind of unit it is, and what is claimed of it.",
    ),
    Place(
        name="instruments",
        address="/instruments",
        title="Instruments",
        says="What is on the bench, with its makers' words on accuracy, from which every ± comes.",
    ),
    Place(
        name="bundle",
        address="/bundle",
        title="Check a bundle",
        says="What somebody else packed: every file held against its manifest, the record computed anew.",
    ),
    Place(
        name="compare",
        address="/compare",
        title="Side by side",
        says="Cases in columns: what may be said, each function, how much was found, what was paid.",
    ),
    Place(
        name="case",
        address="{case}",
        title="Conclusion",
        says="The public sentence and why, what to test next, and the state of each protective function.",
    ),
    Place(
        name="plan",
        address="{case}/plan",
        title="Plan",
        says="What to do at the bench, in its order: cautions first, hold points, steps to tick, what is written down.",
    ),
    Place(
        name="report",
        address="{case}/report",
        title="Report",
        says="The draft page by page, what would go public and what is withheld; publishing; all that is taken along.",
    ),
    Place(
        name="findings",
        address="{case}/findings",
        title="Findings",
        says="Each finding beside its limit and outcome, sieved by outcome, function and words; what was not tested.",
    ),
    Place(
        name="evidence",
        address="{case}/evidence",
        title="Evidence",
        says="Everything that happened, day by day, with what was corrected and why; files come by drop or paste.",
    ),
    Place(
        name="record",
        address="{case}/record/earth%20resistance",
        title="Writing down a reading",
        says="The form of any word of the vocabulary: cautions first, readings as people write them, said back.",
    ),
    Place(
        name="words",
        address="{case}/record",
        title="What can be recorded",
        says="Every word of the vocabulary with what it means, found by a part of it.",
    ),
    Place(
        name="add",
        address="{case}/add",
        title="Bringing files",
        says="Where captures, logs, photographs, drawings and papers are brought to a case.",
    ),
    Place(
        name="entry",
        address="{case}/entry/*",
        title="An entry",
        says="One thing that happened, with its history; corrected or withdrawn, both remain.",
        seen_on="{case}/evidence",
    ),
    Place(
        name="readings",
        address="{case}/readings",
        title="Readings",
        says="Every reading as it was written and as a number with its uncertainty; also as a table.",
    ),
    Place(
        name="finding",
        address="{case}/finding/*",
        title="A finding",
        says="One value beside its limit, with the limit's source, the budget of its uncertainty, and its evidence.",
        seen_on="{case}/findings",
    ),
    Place(
        name="pilot",
        address="{case}/pilot",
        title="Pilot",
        says="Every capture of the control pilot with its states in small.",
    ),
    Place(
        name="wave",
        address="{case}/wave/*",
        seen_on="{case}/pilot",
        title="A capture",
        says="The wave in any zoom, its states, windows, cursors; figures of a cycle; how it is read, put right.",
    ),
    Place(
        name="board",
        address="{case}/board",
        title="Boards",
        says="Drawings of the boards with their distances, and the photographs on which another is begun.",
    ),
    Place(
        name="drawing",
        address="{case}/board/2*",
        title="A drawing",
        says="Copper and slots drawn over their photograph, with the shortest ways between nets judged as one draws.",
        seen_on="{case}/board",
    ),
    Place(
        name="new-drawing",
        address="{case}/board/new/*",
        title="A drawing begun",
        says="A photograph calibrated by its scale card or a known length, and outlines proposed where one points.",
        seen_on="{case}/board",
    ),
    Place(
        name="heating",
        address="{case}/heating",
        title="Heating",
        says="Runs, conductors, metal and ratings; a map of current and air that answers where it is pointed at.",
        shows="pellwick-20",
    ),
    Place(
        name="charges",
        address="{case}/charges",
        title="Charges",
        says="Every charge with energy, offer and losses of the supply; what the idle unit draws in a year.",
    ),
    Place(
        name="risk",
        address="{case}/risk",
        title="Risk",
        says="Every scenario of harm with its level, where each lies in the published matrix, all that was assumed.",
    ),
    Place(
        name="scenario",
        address="{case}/risk/touch-live-pins",
        title="A scenario",
        says="One chain, step by step: type another chance, and see scenario, specimen and uses move beside it.",
    ),
    Place(
        name="uses",
        address="{case}/uses",
        title="Uses",
        says="Where and how it may be used, with measures and grounds, the largest current and what limits it.",
    ),
    Place(
        name="described",
        address="{case}/described",
        title="Described",
        says="What is written of it by hand: case.toml field by field, kept line by line, a conflict shown with both.",
    ),
    Place(
        name="what-if",
        address="{case}/uses/what-if?like=Driveway,%20in%20rain",
        title="What if",
        says="Another supply, place, person or cover, answered at once beside a recorded use; added with a reason.",
    ),
    Place(
        name="sources",
        address="/sources?words=earth",
        title="Sources",
        says="Every constant with value, source, where it was read and how well it is known; searched by words.",
    ),
    Place(
        name="case-sources",
        address="{case}/sources?used=true",
        title="Sources of a case",
        says="The constants as they hold in a case, its own first, then those that its assessment uses.",
    ),
    Place(
        name="constant",
        address="{case}/sources/earth.in-service",
        title="A constant",
        says="What rests on it; type a value from a source of your own, and see which findings would move.",
    ),
)
"""In the order of the documentation."""


def found_at(page: Page, address: str, place: Place, case: str) -> str:
    """The address of a place on a shelf, where links lead to it; every case is assessed."""
    wanted = place.at(case)
    if not wanted.endswith("*"):
        return wanted
    page.goto(address + place.seen_on.replace("{case}", f"/case/{case}"))
    found = page.locator(f"a[href^='{wanted.removesuffix('*')}']").first.get_attribute("href", timeout=PATIENCE)
    assert found is not None, f"no link leads to {place.title}"
    return found
