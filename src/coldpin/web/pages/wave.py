"""A capture of the pilot: its wave in any zoom, the figures of a cycle, and putting right how it is read."""

from __future__ import annotations

import json
from dataclasses import dataclass
from http import HTTPStatus
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import Form, Query, Request, Response

from coldpin.errors import InputError, UnknownName
from coldpin.records.assessment import PilotEvidence
from coldpin.records.entry import Entry
from coldpin.records.plain import to_json, to_plain
from coldpin.records.showing import OUTPUT_CHANNEL, OUTPUT_FACTOR, PILOT_CHANNEL, PILOT_FACTOR
from coldpin.records.wave import CycleFigures, WaveMarks
from coldpin.report.anchors import Anchors
from coldpin.report.document import Figure
from coldpin.report.figures.ribbon import ribbon, ribbon_told
from coldpin.web.answering import FRESH, JSON, TOLD, Pages, done, wants_piece
from coldpin.web.desk import Desk
from coldpin.web.figure import Picture, serve
from coldpin.web.opened import Opened
from coldpin.web.works import Work
from coldpin.workbench.entries import correct
from coldpin.workbench.listing import list_entries
from coldpin.workbench.long_capture import OUTPUT_NOT_JUDGED
from coldpin.workbench.wave_captures import is_pilot_capture
from coldpin.workbench.wave_correction import Preview, preview_correction
from coldpin.workbench.wave_cut import cut_bytes, cut_record
from coldpin.workbench.wave_cycle import bands_of_case, cycle_of_wave
from coldpin.workbench.wave_marks import marks_of
from coldpin.workbench.waves import MOST_COLUMNS

BINARY = "application/octet-stream"

WAVE = "/case/{name}/wave/{entry}"

BEING_PREPARED: dict[int | str, dict[str, Any]] = {
    HTTPStatus.ACCEPTED.value: {
        "description": "The wave is being prepared for so wide a window: ask again. What prepares it is told.",
        "content": {JSON: {"schema": {"type": "object"}}},
    }
}

ABOUT_SAMPLES = """A window of a wave: the lowest and highest sample of each column, never a thinned one.

The body holds numbers of 32 bits, little-endian: of each channel the lowest of all columns, then the highest of all;
where `samples_per_column` is 1, the samples alone. NaN stands for a column without samples. The header `coldpin-wave`
is the same record as at `samples.json`, without the numbers: `first`, `stop`, `samples_per_column`, `start_s` and
`sample_interval_s` in 64 bits. A column stands for a power of two of samples and begins at a multiple of it, so there
may be one more than asked for."""

First = Annotated[int, Query(ge=0, description="The first sample of the window, counted from 0.")]
Count = Annotated[int, Query(ge=1, description="How many samples the window has.")]
Columns = Annotated[int, Query(ge=1, le=MOST_COLUMNS, description="In how many columns it is to be drawn.")]
Factor = Annotated[str, Form(description="By what the voltage in the file is to be multiplied, such as 10.")]
Channel = Annotated[str, Form(description="Which column or channel of the file it is.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class WavePage:
    """One capture of a case.

    Parameters
    ----------
    name : str
        The case's folder.
    title : str
        What it is called.
    entry : Entry
        What filed the capture, or corrected how it is read.
    file : str
        The name of the capture as it came.
    fresh : bool
        True where the assessment is of the case as it stands.
    work : Work or None
        What makes the next assessment, while it is made.
    capture : PilotEvidence or None
        As it was assessed last; None where it was not yet, or does not hold.
    figure : Picture or None
        The figure of the report.
    preparing : Work or None
        What prepares the wave, where it is not prepared.
    problem : str
        Why it cannot be opened, where it cannot.
    unjudged : str
        Why its output decides nothing, where it does not.
    channels : tuple of str
        The columns or channels of the file it was read from.
    replaced_by : str
        Id of the entry that takes the place of this one; empty where it holds.
    marks : WaveMarks or None
        What is drawn beside it; None where it cannot be opened.
    """

    name: str
    title: str
    entry: Entry
    file: str
    fresh: bool
    work: Work | None
    capture: PilotEvidence | None
    figure: Picture | None
    preparing: Work | None
    problem: str
    unjudged: str
    channels: tuple[str, ...]
    replaced_by: str
    marks: WaveMarks | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CyclePage:
    """The figures of one cycle of a capture; none where the wave is still being prepared."""

    name: str
    title: str
    entry: str
    file: str
    at_s: float
    figures: CycleFigures | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PreviewPage:
    """What a capture would show if it were read otherwise."""

    name: str
    title: str
    entry: str
    file: str
    changes: tuple[tuple[str, str], ...]
    preview: Preview


def wave_page(desk: Desk, name: str, entry: str) -> WavePage:
    """Return one capture of a case.

    Parameters
    ----------
    desk : Desk
        The shelf.
    name : str
        The case's folder on it.
    entry : str
        Id of the entry that filed the capture.

    Returns
    -------
    WavePage
        At once, as it was assessed last.

    Raises
    ------
    UnknownName
        There is no such case or capture.
    CaseError
        The case cannot be read.
    """
    folder = desk.case(name).folder
    found, replaced_by = _entry(desk, name, entry)
    opened, marks, problem = None, None, ""
    try:  # before the assessment is begun, behind which the wave would wait
        opened = desk.waves.get(folder, entry)
    except InputError as error:
        problem = str(error)
    standing = desk.standings.of(folder)
    assessed = standing.assessment
    by_id = {} if assessed is None else {capture.entry: capture for capture in assessed.pilot}
    capture, figure = by_id.get(entry), None
    if capture is not None:
        address = f"/case/{quote(name)}/wave/{quote(entry)}.svg"
        figure = Picture(address=address, alt=ribbon_told(capture))
    if opened is not None:
        marks = _marks(desk, name, capture, opened)
    return WavePage(
        name=name,
        title=assessed.title if assessed else desk.case(name).description().title,
        entry=found,
        file=_file(found),
        fresh=standing.fresh,
        work=standing.work,
        capture=capture,
        figure=figure,
        preparing=opened.work if opened else None,
        problem=problem,
        unjudged=OUTPUT_NOT_JUDGED if capture and OUTPUT_NOT_JUDGED in capture.remarks else "",
        channels=opened.wave.columns if opened else (),
        replaced_by=replaced_by,
        marks=marks,
    )


def _marks(desk: Desk, name: str, capture: PilotEvidence | None, opened: Opened) -> WaveMarks:
    bands = bands_of_case(desk.case(name).folder)
    return marks_of(opened.wave, capture.reading if capture else None, bands)


def _entry(desk: Desk, name: str, entry: str) -> tuple[Entry, str]:
    """Return the entry of a capture, and the id of the one that takes its place."""
    listed = list_entries(desk.case(name).folder)
    by_id = {one.id: one for one in listed.all if is_pilot_capture(one)}
    if entry not in by_id:
        raise UnknownName.among("capture", entry, by_id)
    return by_id[entry], next((one.id for one in listed.all if one.replaces == entry), "")


def _file(entry: Entry) -> str:
    return (entry.evidence.original_name or entry.evidence.file) if entry.evidence else ""


def _title(desk: Desk, name: str) -> str:
    case = desk.case(name)
    assessed = desk.standings.of(case.folder).assessment
    return assessed.title if assessed else case.description().title


def _drawn(desk: Desk, capture: PilotEvidence) -> Figure:
    return desk.figures.draw(capture, "ribbon", lambda: ribbon(capture, Anchors()))


def _figure(desk: Desk, name: str, entry: str) -> Figure:
    by_id = {capture.entry: capture for capture in desk.assessment(name).pilot}
    if entry not in by_id:
        raise UnknownName.among("capture", entry, by_id)
    return _drawn(desk, by_id[entry])


def _changes(pilot_factor: str, pilot_channel: str, output_factor: str, output_channel: str) -> dict[str, str]:
    """Return the conditions that a form asks to change; what is left empty stays as it is."""
    given = {
        PILOT_FACTOR: pilot_factor,
        PILOT_CHANNEL: pilot_channel,
        OUTPUT_FACTOR: output_factor,
        OUTPUT_CHANNEL: output_channel,
    }
    return {name: text.strip() for name, text in given.items() if text.strip()}


def add(pages: Pages, desk: Desk) -> None:
    """Add the routes.

    Parameters
    ----------
    pages : Pages
        Where they go.
    desk : Desk
        What they show.
    """
    # before the page, whose address would take the ending for part of a name
    serve(pages, f"{WAVE}.svg", lambda name, entry: _figure(desk, name, entry))

    @pages.show(WAVE, "wave.html")
    def wave(name: str, entry: str) -> WavePage:
        """One capture of the pilot."""
        return wave_page(desk, name, entry)

    @pages.show(f"{WAVE}/cycle", "wave_cycle.html")
    def cycle(
        name: str, entry: str, at: Annotated[float, Query(description="The time from the first sample. [s]")] = 0.0
    ) -> CyclePage:
        """Show the figures of the cycle that runs at a time, or of the level that stands there."""
        found, _ = _entry(desk, name, entry)
        folder = desk.case(name).folder
        figures = cycle_of_wave(folder, entry, desk.waves.get(folder, entry).wave, at)
        return CyclePage(name=name, title=_title(desk, name), entry=entry, file=_file(found), at_s=at, figures=figures)

    @pages.show(f"{WAVE}/preview", "wave_preview.html")
    def preview(
        name: str,
        entry: str,
        pilot_factor: Annotated[str, Query()] = "",
        pilot_channel: Annotated[str, Query()] = "",
        output_factor: Annotated[str, Query()] = "",
        output_channel: Annotated[str, Query()] = "",
    ) -> PreviewPage:
        """Show what a capture would be if it were read otherwise; nothing is written."""
        found, _ = _entry(desk, name, entry)
        changes = _changes(pilot_factor, pilot_channel, output_factor, output_channel)
        return PreviewPage(
            name=name,
            title=_title(desk, name),
            entry=entry,
            file=_file(found),
            changes=tuple(changes.items()),
            preview=preview_correction(desk.case(name).folder, entry, changes),
        )

    _add_numbers(pages, desk)
    _add_actions(pages, desk)


def _add_numbers(pages: Pages, desk: Desk) -> None:
    """Add the routes that a drawing takes its numbers from."""
    answers = dict(TOLD) | BEING_PREPARED

    @pages.router.get(f"{WAVE}/marks.json", response_class=Response, responses=dict(TOLD))
    def marks(name: str, entry: str) -> Response:
        """Tell what is drawn beside a wave: states, events, windows of the levels."""
        _entry(desk, name, entry)
        folder = desk.case(name).folder
        assessed = desk.standings.of(folder).assessment
        captures = () if assessed is None else assessed.pilot
        capture = next((one for one in captures if one.entry == entry), None)
        found = _marks(desk, name, capture, desk.waves.get(folder, entry))
        return Response(to_json(found), media_type=JSON, headers=dict(FRESH))

    @pages.router.get(f"{WAVE}/samples.json", response_class=Response, responses=answers)
    def samples_as_json(name: str, entry: str, first: First, count: Count, columns: Columns) -> Response:
        """Tell a window of a wave: the lowest and highest sample of each column, or every sample."""
        opened = desk.waves.get(desk.case(name).folder, entry)
        found = cut_record(opened.wave, first=first, count=count, columns=columns)
        if found is None:
            return _prepared_first(opened)
        return Response(to_json(found), media_type=JSON, headers=dict(FRESH))

    @pages.router.get(
        f"{WAVE}/samples",
        response_class=Response,
        summary="A window of a wave, as numbers of 32 bits.",
        description=ABOUT_SAMPLES,
        responses=answers
        | {HTTPStatus.OK.value: {"content": {BINARY: {"schema": {"type": "string", "format": "binary"}}}}},
    )
    def samples(name: str, entry: str, first: First, count: Count, columns: Columns) -> Response:
        opened = desk.waves.get(desk.case(name).folder, entry)
        found = cut_bytes(opened.wave, first=first, count=count, columns=columns)
        if found is None:
            return _prepared_first(opened)
        record, data = found
        return Response(data, media_type=BINARY, headers={**FRESH, "coldpin-wave": json.dumps(to_plain(record))})


def _prepared_first(opened: Opened) -> Response:
    return Response(to_json(opened.work), HTTPStatus.ACCEPTED, media_type=JSON, headers=dict(FRESH))


def _add_actions(pages: Pages, desk: Desk) -> None:
    """Add what a person does: have a wave prepared once more, and put right how a capture is read."""

    @pages.router.post(
        f"{WAVE}/prepare", response_class=Response, responses=dict(TOLD), status_code=HTTPStatus.ACCEPTED
    )
    def prepare(request: Request, name: str, entry: str) -> Response:
        """Prepare a wave once more, which was stopped or did not succeed."""
        opened = desk.waves.get(desk.case(name).folder, entry, again=True)
        if opened.work is not None and wants_piece(request):
            return pages.render("pieces/work.html", opened.work)
        place = f"/case/{quote(name)}/wave/{quote(entry)}"
        return done(request, opened.work, place=place, status=HTTPStatus.ACCEPTED)

    @pages.router.post(f"{WAVE}/correct", response_class=Response, responses=dict(TOLD), status_code=HTTPStatus.CREATED)
    def put_right(
        request: Request,
        name: str,
        entry: str,
        who: Annotated[str, Form(description="Who corrects.")],
        reason: Annotated[str, Form(description="What was wrong.")],
        pilot_factor: Factor = "",
        pilot_channel: Channel = "",
        output_factor: Factor = "",
        output_channel: Channel = "",
    ) -> Response:
        """Correct by what factor, or from which channel, a capture is read; the earlier entry stays."""
        _entry(desk, name, entry)
        changes = _changes(pilot_factor, pilot_channel, output_factor, output_channel)
        made = correct(desk.case(name).folder, entry, who=who, reason=reason, conditions=changes or None)
        return done(request, made, place=f"/case/{quote(name)}/wave/{quote(made.id)}")
