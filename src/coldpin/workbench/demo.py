"""The demonstration shelf: the weekend at Brackwater Boatyard, done through the same functions a person uses."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TypeAlias, TypedDict, get_args

import numpy as np

from coldpin.capture.board_file import render_board
from coldpin.casefile import create_shelf, open_case
from coldpin.casefile.private import write_private
from coldpin.errors import UnknownName
from coldpin.records.board_words import CALLIPER_GAP
from coldpin.records.distance_words import UNUSED_PINS
from coldpin.records.entry import Entry
from coldpin.records.waveform import Waveform
from coldpin.records.withheld import PRIVATE_FORMAT, PrivateDescription
from coldpin.simulator.brackwater import LOGGER, RECORDER, SCOPE, answer, capture, read
from coldpin.simulator.brackwater_boards import draw_on_photograph, lay_calliper, photograph, unused_pins
from coldpin.simulator.brackwater_charge import charge, mark, read_release, read_standby, stops
from coldpin.simulator.brackwater_copper import CONDUCTOR_WORDS, heat, read_conductor
from coldpin.simulator.brackwater_inside import INSIDE_ANSWERS, INSIDE_WORDS, look_inside, read_inside
from coldpin.simulator.brackwater_residual import RESIDUAL_WORDS, capture_residual_test, read_residual_test
from coldpin.simulator.brackwater_specimens import map_wiring
from coldpin.simulator.brackwater_yard import YARD_WORDS, read_yard
from coldpin.simulator.drawing import draw_face, draw_plate
from coldpin.simulator.export import as_csv, as_npz
from coldpin.simulator.log_export import as_log_csv
from coldpin.simulator.scope import VirtualScope
from coldpin.workbench.brackwater import INSTRUMENTS, QUESTION, SHELF_TITLE, STORY, ZONE
from coldpin.workbench.brackwater.step import (
    MARTA,
    SATURDAY,
    SUNDAY,
    Answered,
    Captured,
    CaseStory,
    Charged,
    Corrected,
    Drawn,
    Leaked,
    Linked,
    Mapped,
    Outlined,
    Photographed,
    Read,
    Saved,
    Seen,
    Step,
    Told,
    Warmed,
)
from coldpin.workbench.cases import new_case
from coldpin.workbench.drafting import Written, write_report
from coldpin.workbench.entries import add_evidence, correct, record

_SCOPES: Mapping[str, tuple[VirtualScope, Callable[[Waveform], bytes]]] = {
    "scope": (SCOPE, partial(as_csv, style="preamble")),
    "recorder": (RECORDER, partial(as_csv, style="step")),
    "logger": (LOGGER, as_npz),
}
"""The three instruments of the shelf that capture: which virtual one each is, and how it writes its files."""

_AIR = {SATURDAY: ("11 °C", "71 %"), SUNDAY: ("12 °C", "66 %")}
"""Temperature and humidity of the workshop on each day."""
_READ_BEFORE_WRITTEN = timedelta(minutes=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoResult:
    """Where the shelf stands, and each case as assessed, with its report."""

    shelf: Path
    written: tuple[Written, ...]


def make_demo(folder: Path | str, progress: Callable[[float], None] | None = None) -> DemoResult:
    """Make the shelf of Brackwater Boatyard: three donated leads, invented, tested and assessed.

    Dates and seeds belong to the story, so that the same shelf results each time.

    Parameters
    ----------
    folder : Path or str
        A folder that is no shelf yet.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.

    Returns
    -------
    DemoResult
        The shelf, and each case as assessed.

    Raises
    ------
    CaseError
        The folder is a shelf or a case already: take another, or remove it first.
    StorageError
        The disk refused.
    """
    shelf = tell_story(folder, progress=_part(progress, 0, 2))
    told = _part(progress, 1, 2)
    written = tuple(
        write_report(shelf / story.folder, progress=_part(told, place, len(STORY))) for place, story in enumerate(STORY)
    )
    told(1.0)
    return DemoResult(shelf=shelf, written=written)


def tell_story(folder: Path | str, *, progress: Callable[[float], None] | None = None) -> Path:
    """Make the shelf with its three cases, and assess none of them.

    Parameters
    ----------
    folder : Path or str
        A folder that is no shelf yet.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.

    Returns
    -------
    Path
        The shelf.

    Raises
    ------
    CaseError
        The folder is a shelf or a case already.
    StorageError
        The disk refused.
    """
    shelf = create_shelf(folder, SHELF_TITLE)
    for name, instrument in INSTRUMENTS.items():
        shelf.add_instrument(name, instrument)
    for place, story in enumerate(STORY):
        _tell(story, shelf.folder, _part(progress, place, len(STORY)))
    return shelf.folder


def lay_out(story: CaseStory, folder: Path | str, names: Collection[str]) -> tuple[Path, ...]:
    """Lay files of a story on a table, as they came from instruments and people before anything was filed.

    Parameters
    ----------
    story : CaseStory
        One of the three cases.
    folder : Path or str
        The table: a folder that is there.
    names : collection of str
        Which files, by their names in the story.

    Returns
    -------
    tuple of Path
        The files, in the order of the story.

    Raises
    ------
    UnknownName
        The story has no file of that name.
    """
    filed = [step for step in story.steps if isinstance(step, get_args(_Filed))]
    for name in names:
        if name not in {step.file for step in filed}:
            raise UnknownName.among("file", name, {step.file for step in filed})
    rng = np.random.default_rng(story.virtual.seed)
    bench = _Bench(story=story, folder=Path(), table=Path(folder), random_bytes=rng.bytes)
    return tuple(bench.lay(step) for step in filed if step.file in names)


def _part(progress: Callable[[float], None] | None, place: int, parts: int) -> Callable[[float], None]:
    def told(fraction: float) -> None:
        if progress is not None:
            progress((place + fraction) / parts)

    return told


def _tell(story: CaseStory, shelf: Path, progress: Callable[[float], None]) -> None:
    """Make a case and write down its steps."""
    rng = np.random.default_rng(story.virtual.seed)
    with TemporaryDirectory(prefix="coldpin-demo-") as table:
        bench = _Bench(story=story, folder=shelf / story.folder, table=Path(table), random_bytes=rng.bytes)
        bench.open_case()
        for place, step in enumerate(story.steps):
            progress(place / len(story.steps))
            bench.do(step)


_Filed: TypeAlias = Captured | Warmed | Charged | Leaked | Drawn | Photographed | Outlined | Saved
"""What is filed as a file."""


class _Around(TypedDict):
    """What every entry has, whatever it shows."""

    shows: str
    who: str
    made: datetime | str
    conditions: Mapping[str, str]
    instrument: str
    supply_voltage: str
    ambient: str
    humidity: str
    note: str
    private: bool
    now: datetime
    random_bytes: Callable[[int], bytes]


class _Bench:
    """Someone at the bench with a case open: does a step and remembers what was read and where it was written.

    Parameters
    ----------
    story : CaseStory
        The case.
    folder : Path
        Where it is kept.
    table : Path
        Where files lie before they are filed.
    random_bytes : callable
        Source of the random part of ids.
    """

    def __init__(self, *, story: CaseStory, folder: Path, table: Path, random_bytes: Callable[[int], bytes]) -> None:
        self.story = story
        self.folder = folder
        self.table = table
        self.random_bytes = random_bytes
        self.displayed: dict[str, tuple[str, ...]] = {}
        self.last: dict[str, str] = {}
        self.picture = ""

    def open_case(self) -> None:
        story, unit = self.story, self.story.unit
        new_case(
            self.folder,
            make=story.specimen.make,
            model=story.specimen.model,
            charging_mode=unit.charging_mode,
            build=unit.build,
            cable=unit.cable,
            electronics=unit.electronics,
            phases=unit.phases,
            connector=unit.connector,
            tester=MARTA,
            question=QUESTION,
            claims=story.claims,
            specimen=story.specimen,
        )
        case = open_case(self.folder)
        lists = (
            ("conditions_of_use", story.uses),
            ("alternatives", story.alternatives),
            ("listings", story.listings),
            ("surveys", story.surveys),
            ("quoted_claims", story.quoted),
            ("assumptions", story.assumptions),
            ("opinions", story.opinions),
            ("letters", story.letters),
        )
        for key, value in lists:
            if value:
                case.edit(key, (), value, who=MARTA, now=_instant(story.steps[0].at, story.steps[0].day))
        if story.withhold:
            write_private(self.folder, PrivateDescription(format=PRIVATE_FORMAT, withhold=story.withhold))

    def do(self, step: Step) -> None:
        match step:
            case Corrected():
                entry = self._correct(step)
            case Told():
                entry = record(self.folder, **self._around(step))
            case Answered():
                entry = record(self.folder, answer=self._answered(step), **self._around(step))
            case Seen():
                entry = record(self.folder, answer=step.answer, **self._around(step))
            case Mapped():
                closed = step.conditions.get("contacts") == "held closed"
                entry = record(self.folder, pairs=map_wiring(self.story.virtual, closed=closed), **self._around(step))
            case Read():
                entry = record(self.folder, readings=self._typed(step), **self._around(step))
            case _:
                entry = self._file(step)
        self.last[step.shows] = entry.id

    def _around(self, step: Step) -> _Around:
        at_bench = isinstance(
            step, Mapped | Read | Captured | Leaked | Answered | Seen | Warmed | Charged | Photographed
        )
        written = _instant(step.at, step.day)
        ambient, humidity = _AIR[step.day] if at_bench else ("", "")
        return _Around(
            shows=step.shows,
            who=step.who,
            made=step.made or (written - _READ_BEFORE_WRITTEN if at_bench else written),
            conditions=step.conditions,
            instrument=step.instrument,
            supply_voltage=step.supply,
            ambient=ambient,
            humidity=humidity,
            note=step.note,
            private=step.private,
            now=written,
            random_bytes=self.random_bytes,
        )

    def _typed(self, step: Read) -> tuple[str, ...]:
        virtual = self.story.virtual
        if step.shows in CONDUCTOR_WORDS:
            return read_conductor(virtual, step.shows, step.conditions, repeats=step.repeats)
        if step.shows in RESIDUAL_WORDS:
            return read_residual_test(virtual, step.shows, step.conditions, repeats=step.repeats)
        if step.shows in YARD_WORDS:
            return read_yard(virtual, step.shows, step.conditions, repeats=step.repeats)
        if step.shows in INSIDE_WORDS:
            return read_inside(virtual, step.shows, step.conditions, repeats=step.repeats)
        if step.shows == CALLIPER_GAP:
            ends = step.conditions["from"], step.conditions["to"]
            return lay_calliper(virtual, ends, repeats=step.repeats)
        if step.shows == "event mark":
            return (mark(virtual, step.conditions["event"]),)
        if step.shows == "current at release":
            return read_release(virtual)
        if step.shows == "standby power":
            return read_standby(virtual, repeats=step.repeats)
        edge = step.conditions.get("boundary", "")
        word = f"{step.shows}: {edge}" if edge else step.shows
        shown = read(virtual, word, repeats=step.repeats)
        self.displayed[step.shows] = shown
        return (slipped(shown[0]), *shown[1:]) if step.slip else shown

    def _correct(self, step: Corrected) -> Entry:
        return correct(
            self.folder,
            self.last[step.shows],
            who=step.who,
            reason=step.reason,
            readings=None if step.conditions else self.displayed[step.shows],
            conditions=step.conditions or None,
            now=_instant(step.at, step.day),
            random_bytes=self.random_bytes,
        )

    def _file(self, step: Step) -> Entry:
        around = self._around(step)
        match step:
            case Linked():
                return add_evidence(self.folder, None, address=step.address, time_code=step.time_code, **around).entry
            case Captured() | Warmed() | Charged():
                return add_evidence(self.folder, self.lay(step), choices=step.choices, **around).entry
            case Leaked() | Drawn() | Photographed() | Outlined() | Saved():
                return add_evidence(self.folder, self.lay(step), **around).entry
        raise TypeError(f"step {step!r} is of a kind that nobody knows how to do")

    def lay(self, step: _Filed) -> Path:
        """Lay a file on the table, as its instrument or its maker wrote it."""
        path = self.table / step.file
        path.write_bytes(self._made(step))
        return path

    def _made(self, step: _Filed) -> bytes:
        match step:
            case Captured():
                return self._saved(step)
            case Warmed() | Charged():
                return self._logged(step)
            case Leaked():
                return as_npz(capture_residual_test(self.story.virtual).waveform)
            case Drawn():
                return _picture(step)
            case Photographed():
                picture = photograph(self.story.virtual)
                self.picture = sha256(picture).hexdigest()
                return picture
            case Outlined():
                return render_board(draw_on_photograph(self.story.virtual, picture=self.picture))
            case Saved():
                return step.text.encode()

    def _saved(self, step: Captured) -> bytes:
        scope, write = _SCOPES[step.instrument]
        return write(capture(self.story.virtual, act=step.act, scope=scope).waveform)

    def _answered(self, step: Answered) -> str:
        if step.shows == "stop by user":
            return stops(self.story.virtual)
        if step.shows == UNUSED_PINS:
            return unused_pins(self.story.virtual)
        if step.shows in INSIDE_ANSWERS:
            return look_inside(self.story.virtual, step.shows, step.conditions)
        return answer(self.story.virtual, step.shows)

    def _logged(self, step: Warmed | Charged) -> bytes:
        virtual = self.story.virtual
        logged = heat(virtual, of=step.of) if isinstance(step, Warmed) else charge(virtual)
        lasted = timedelta(seconds=float(logged.stamps.shown_s[-1]))
        began = _instant(step.at, step.day) - lasted - _READ_BEFORE_WRITTEN
        return as_log_csv(logged.log, logged.stamps, began=began, style="zone")


def slipped(text: str) -> str:
    """Return a reading as it looks when the decimal point slips by one place in typing.

    Parameters
    ----------
    text : str
        Figures with two places or more after the point, and unit.

    Returns
    -------
    str
        The same figures, ten times as much.

    Examples
    --------
    >>> slipped("0.051 Ω")
    '0.51 Ω'
    """
    figures, unit = text.split()
    whole, _, part = figures.partition(".")
    return f"{int(whole + part[:1])}.{part[1:]} {unit}"


def _picture(step: Drawn) -> bytes:
    return draw_face(step.face, title=step.title) if step.face else draw_plate(step.lines, title=step.title)


def _instant(clock: str, day: str) -> datetime:
    return datetime.fromisoformat(f"{day}T{clock}{ZONE}")
