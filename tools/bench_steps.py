"""The steps of a tutorial on the page: lines of plain English that a reader follows and a browser does.

A block of the language `bench` holds one step on a line::

    press "Make the case"
    reach "Skerrow 16"
    write "0.11 Ω" into "Reading 1"
    choose "milliohm" for "Instrument"
    tick "a long name"
    untick "a long name"
    closer "560 820"
    point "430 790, 690 850"
    give "steps.csv" to "From this device"
    see "Earth through the lead"
    wait until it is assessed
    picture earth

``point`` presses places of a picture that is drawn on, one after the other, in pixels of the picture from its upper
left corner; ``closer`` turns the wheel over such a place. ``reach`` waits for the page with that title. Things are
named by the words that stand on the page, as a reader would look for them; ``in "Heading"`` behind a step looks only in
the part of the page under that heading, or in the form of that name. So the text and the page cannot part: a word that
is not there any more, a step that leads elsewhere, and the step is told with its line.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Error, Locator, Page, expect

BLOCK = re.compile(r"^```bench\n(?P<body>.*?)^```$", flags=re.MULTILINE | re.DOTALL)
LINE = re.compile(
    r"(?P<verb>press|reach|follow|write|choose|tick|untick|closer|point|give|see|wait|picture)"
    r'(?: "(?P<first>[^"]*)"| (?P<bare>[\w-]+))?'
    r'(?: (?:into|for|to) "(?P<second>[^"]*)"| until it is assessed)?(?: in "(?P<part>[^"]*)")?'
)
SHOWN = "() => [...document.images].every(image => image.complete || image.loading === 'lazy')"
"""Who presses has seen what the page shows; of a picture still on its way the browser complains once it is filed."""
TURNED = -900
"""How far the wheel is turned to come closer: to about a quarter of what is seen. [px]"""
SOON = 15_000.0
"""Milliseconds after which a step is given up."""
ASSESSED = 120_000.0
"""Milliseconds after which an assessment is given up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step.

    Parameters
    ----------
    line : int
        Where it stands in the text.
    said : str
        The step as it stands there.
    verb : str
        What is done.
    first : str
        What with, or what is written.
    second : str
        Where it is written.
    part : str
        The heading of the part of the page where it is done; empty for the whole page.
    """

    line: int
    said: str
    verb: str
    first: str = ""
    second: str = ""
    part: str = ""


def steps_of(text: str) -> tuple[Step, ...]:
    """Read the steps of a tutorial.

    Parameters
    ----------
    text : str
        Markdown.

    Returns
    -------
    tuple of Step
        In reading order.

    Raises
    ------
    ValueError
        A line says something else; the message says which.

    Examples
    --------
    >>> text = '''Then:
    ...
    ... ```bench
    ... write "0.11 Ω" into "Reading 1" in "Earth"
    ... ```
    ... '''
    >>> [(step.line, step.verb, step.first, step.second, step.part) for step in steps_of(text)]
    [(4, 'write', '0.11 Ω', 'Reading 1', 'Earth')]
    """
    found = []
    for block in BLOCK.finditer(text):
        begins = text.count("\n", 0, block.start("body")) + 1
        for number, said in enumerate(block["body"].splitlines(), start=begins):
            read = LINE.fullmatch(said)
            if read is None:
                raise ValueError(f"line {number}: this step is not understood: {said}")
            found.append(
                Step(
                    line=number,
                    said=said,
                    verb=read["verb"],
                    first=read["first"] or read["bare"] or "",
                    second=read["second"] or "",
                    part=read["part"] or "",
                )
            )
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reader:
    """Somebody who follows a tutorial in a browser.

    Parameters
    ----------
    page : Page
        The page, open.
    table : Path
        The folder with the files that are given.
    take : callable
        Called with the name of each picture, while the page shows what it is of.
    """

    page: Page
    table: Path
    take: Callable[[str], None] = lambda _: None

    def follow(self, steps: tuple[Step, ...]) -> None:
        """Do all steps in their order.

        Parameters
        ----------
        steps : tuple of Step
            The steps.

        Raises
        ------
        AssertionError
            A step cannot be done; the message says which, and why.
        """
        for step in steps:
            try:
                self._do(step)
            except (AssertionError, Error) as error:
                told = " ".join(self.page.locator(".problem").all_inner_texts())
                where = f"line {step.line}: {step.said}\non {self.page.url} {told}"
                raise AssertionError(f"{where}\n{str(error)[:1500]}") from error

    def _do(self, step: Step) -> None:
        part = self._part(step.part)
        match step.verb:
            case "press":
                self.page.wait_for_function(SHOWN, timeout=SOON)
                self._named(part, step.first).click(timeout=SOON)
            case "follow":
                part.get_by_role("link", name=step.first).first.click(timeout=SOON)
            case "reach":
                expect(self.page.get_by_role("heading", level=1)).to_have_text(step.first, timeout=SOON)
            case "see":
                expect(part.get_by_text(step.first).locator("visible=true").first).to_be_visible(timeout=SOON)
            case "wait":
                expect(self.page.locator(".work")).to_have_count(0, timeout=ASSESSED)
            case "picture":
                self.take(step.first)
            case _:
                self._write(part, step)

    def _write(self, part: Page | Locator, step: Step) -> None:
        match step.verb:
            case "write":
                self._field(part, step.second).fill(step.first, timeout=SOON)
            case "choose":
                self._choose(part, step.first, step.second)
            case "tick":
                self._field(part, step.first).check(timeout=SOON)
            case "untick":
                self._field(part, step.first).uncheck(timeout=SOON)
            case "point":
                for place in step.first.split(", "):
                    self.page.mouse.click(*self._place(place))
            case "closer":
                self.page.mouse.move(*self._place(step.first))
                self.page.mouse.wheel(0, TURNED)
            case "give":
                self._field(part, step.second).set_input_files(self.table / step.first, timeout=SOON)

    def _place(self, said: str) -> tuple[float, float]:
        """Return where a place of the picture that is drawn on is on the screen: one that is seen."""
        sheet = self.page.locator("svg.sheet")
        sheet.scroll_into_view_if_needed(timeout=SOON)
        x, y = sheet.evaluate(
            "(sheet, [x, y]) => {"
            " const place = new DOMPoint(x, y).matrixTransform(sheet.getScreenCTM()); return [place.x, place.y]; }",
            [float(part) for part in said.split()],
        )
        seen = sheet.bounding_box()
        assert seen is not None, "the picture is not there"
        left, top = x - seen["x"], y - seen["y"]
        assert 0 <= left <= seen["width"], f"{said} is not in sight"
        assert 0 <= top <= seen["height"], f"{said} is not in sight"
        return x, y

    def _part(self, heading: str) -> Page | Locator:
        if not heading:
            return self.page
        headed = self.page.get_by_role("heading", name=heading)
        under = self.page.locator("section, fieldset, dialog, details, aside, form").filter(has=headed)
        return under.or_(self.page.get_by_role("form", name=heading, exact=True)).last

    def _named(self, part: Page | Locator, name: str) -> Locator:
        """Return what is pressed: a button, a link, the head of what is folded, by its whole name."""
        pressed = part.get_by_role("button", name=name, exact=True).or_(part.get_by_role("link", name=name, exact=True))
        folded = part.locator("summary", has_text=re.compile(rf"^\s*{re.escape(name)}\s*$"))
        return pressed.or_(folded).locator("visible=true").first

    def _field(self, part: Page | Locator, label: str) -> Locator:
        whole = part.get_by_label(label, exact=True)
        whole.or_(part.get_by_label(label)).first.wait_for(state="attached", timeout=SOON)
        return whole.first if whole.count() else part.get_by_label(label).first

    def _choose(self, part: Page | Locator, option: str, label: str) -> None:
        group = part.get_by_role("group", name=label)
        group.or_(part.get_by_label(label)).first.wait_for(state="attached", timeout=SOON)
        if group.count():
            group.first.get_by_label(option, exact=True).check(timeout=SOON)
            return
        field = self._field(part, label)
        words = field.locator("option").all_inner_texts()
        exact = [text for text in words if text == option] or [text for text in words if text.startswith(option)]
        assert exact, f"{label} offers {words}"
        field.select_option(label=exact[0], timeout=SOON)
