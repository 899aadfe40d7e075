"""The chapter on the cable: a row for what was measured, links to limits and entries, nothing where nothing is."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from coldpin.copper.air_film import arrange
from coldpin.copper.conductor import Marked, Tapped, read_conductor
from coldpin.copper.current_map import charted, current_map
from coldpin.copper.current_path import carriers, claims, current_path
from coldpin.copper.heating_log import AskedUse, HeatingTest
from coldpin.copper.joints import Taps, separate
from coldpin.copper.metal import estimate_metal
from coldpin.copper.metal_evidence import MassEvidence, ResistanceEvidence
from coldpin.copper.steady import HeatedCable
from coldpin.copper.temperature_rise import rise_of_log
from coldpin.quantity import Quantity
from coldpin.records.assessment import Assessment
from coldpin.records.cable import CableEvidence, ConductorEvidence, CoreEvidence, HeatingEvidence, JointsEvidence
from coldpin.records.current_map import CurrentChart
from coldpin.records.heating import HeatedPart
from coldpin.records.log import LogChannel, LogQuantity
from coldpin.records.plain import from_json, to_json
from coldpin.report import build_document, render_html, render_pdf
from coldpin.report.document import Document, Figure, Heading, Table, lines_of, text_of
from coldpin.standards.book import load_book
from coldpin.standards.cable_heating import touch_temperature
from coldpin.standards.cable_ratings import insulation_temperature
from tests.report.sample import SAMPLE, SECRET

BOOK = load_book()
ENTRY = next(entry.id for entry in SAMPLE.entries if not entry.private)
PRIVATE = next(entry.id for entry in SAMPLE.entries if entry.private)


def conductor(milliohms: float, entry: str = ENTRY) -> ConductorEvidence:
    """A core of five metres, marked 2.5 mm², read at 25 °C."""
    tapped = Tapped(
        resistance=Quantity(1e-3 * milliohms, 1e-4, "Ω"),
        length=Quantity(5.0, 0.005, "m"),
        temperature=Quantity(25.0, 0.5, "°C"),
    )
    reading = read_conductor(tapped, Marked(size_mm2=2.5, conductor_class=5, coating=""), BOOK)
    return ConductorEvidence(entry=entry, conductor="L", taps="inside", reading=reading)


def joints() -> JointsEvidence:
    """A core with a loose crimp on the plug's side."""
    taps = Taps(
        pins=Quantity(0.0520, 1e-4, "Ω"), inside=Quantity(0.0400, 1e-4, "Ω"), plug_side=Quantity(0.0110, 1e-4, "Ω")
    )
    return JointsEvidence(entries=(ENTRY,), conductor="N", apart=separate(taps, BOOK, current=16.0))


def core() -> CoreEvidence:
    """A core whose resistance and mass go together with clad aluminium."""
    evidence = (
        ResistanceEvidence(per_metre=Quantity(11.2, 0.06, "Ω/km")),
        MassEvidence(per_metre=Quantity(8.6, 0.05, "g/m")),
    )
    return CoreEvidence(entries=(ENTRY,), conductor="L", estimate=estimate_metal(evidence, BOOK, nominal_mm2=2.5))


CABLE = CableEvidence(conductors=(conductor(52.0),), joints=(joints(),), cores=(core(),))


def heated(use: AskedUse | None = None) -> HeatingEvidence:
    """A sheath that warms by 30 K with a time constant of ten minutes, logged for an hour."""
    time = np.arange(0.0, 3600.0, 10.0)
    warm = 22.0 + 30.0 * (1.0 - np.exp(-time / 600.0)) + np.random.default_rng(4).normal(0.0, 0.05, time.size)
    channel = LogChannel(name="Sheath", quantity=LogQuantity.TEMPERATURE, unit="°C", values=warm, resolution=0.1)
    test = HeatingTest(
        part=HeatedPart.SHEATH,
        time_s=time,
        channel=channel,
        ambient=Quantity(22.0, 0.2, "°C"),
        current=Quantity(16.0, 0.1, "A"),
        start_s=0.0,
    )
    return HeatingEvidence(
        entry=ENTRY,
        file="sheath.csv",
        sha256="1" * 64,
        conditions=(("part", "sheath"),),
        dialect=(("time column", "Time"),),
        rise=rise_of_log(test, use or AskedUse(), BOOK),
    )


def document(cable: CableEvidence) -> Document:
    """A report with this evidence and the limits that it was placed against."""
    return build_document(replace(SAMPLE, cable=cable, limits=(*SAMPLE.limits, *cable.limits)))


def words(built: Document) -> str:
    return "\n".join(text_of(line) for block in built.blocks for line in lines_of(block))


def test_nothing_is_printed_where_nothing_was_recorded() -> None:
    """No heading, no empty table."""
    titles = [block.text for block in build_document(SAMPLE).blocks if isinstance(block, Heading)]

    assert not any("Cable" in title or "conductors" in title for title in titles)


@pytest.mark.hand("52.0 mΩ over 5 m at 25 °C: 10.4 Ω/km · 254.5/259.5 = 10.20 Ω/km; 17.241/10.20 = 1.690 mm²")
def test_a_conductor_is_told_with_its_limit_and_entry() -> None:
    """Resistance for each kilometre at 20 °C, the limit with a link, the area of copper alike, the outcome."""
    table = next(b for b in document(CABLE).blocks if isinstance(b, Table) and b.caption.startswith("Conductors"))

    name, resistance, limit, area, outcome = (text_of(cell) for cell in table.rows[0].cells)
    assert name == f"L\ninside of both joints\n{ENTRY}"
    assert resistance.startswith(("10.19", "10.20"))
    assert limit.startswith("at most 7.98 Ω/km (class 5")
    assert area.startswith("1.69")
    assert outcome == "beyond\nless than 0.1 %"


@pytest.mark.hand("11.0 mΩ at 16 A: 0.011 · 256 = 2.816 W")
def test_a_joint_is_told_with_its_heat() -> None:
    """Each joint has its resistance, its part of the whole, and the heat at the current asked about."""
    table = next(b for b in document(CABLE).blocks if isinstance(b, Table) and b.caption.startswith("Joints"))

    cells = [text_of(cell) for cell in table.rows[0].cells]
    assert cells[0].startswith("N, plug side")
    assert cells[1].startswith("11.00 mΩ ± ")
    assert cells[3].startswith("2.8")
    assert cells[3].endswith("at 16 A")
    assert cells[4].startswith("at most 5 mΩ "), "less than is usual is good as well"


def test_the_metal_has_its_figure_and_what_it_rests_on() -> None:
    """The figure of metal and area stands in the chapter, with the statement and the entries."""
    built = document(CABLE)
    figures = [block for block in built.blocks if isinstance(block, Figure) and block.anchor.startswith("figure-metal")]

    assert len(figures) == 1
    assert "What the core L may be made of" in figures[0].caption
    assert CABLE.cores[0].estimate.statement in words(built)
    assert "Believing beforehand “no metal likelier” (17 % copper" in words(built)


@pytest.mark.hand("22 °C + 30 K = 52 °C in the end, with a time constant of 600 s")
def test_a_heating_test_is_told_with_its_end() -> None:
    """Where the part comes in the end, the time constant, the evidence and how it was read."""
    told = words(document(CableEvidence(heating=(heated(),))))

    assert "Heating of the sheath, sheath.csv" in told
    assert "Temperature in the end" in told
    assert "52" in told
    assert "time column “Time”" in told


@pytest.mark.hand(
    "the limit of a hand's touch is known from a text that restates it, and is no standard that was entered"
)
def test_beside_a_limit_that_is_only_read_no_heating_test_conforms() -> None:
    """The probability is called what it is called beside every such limit, and the figure stands after all words."""
    built = document(CableEvidence(heating=(heated(AskedUse(limit=touch_temperature(BOOK))),)))

    assert "probability of lying within the limit as known" in words(built)
    assert "keeping it" not in words(built)
    kinds = [type(block).__name__ for block in built.blocks]
    headings = {one.text: place for place, one in enumerate(built.blocks) if isinstance(one, Heading)}
    start = next(place for text, place in headings.items() if "Heating of the sheath" in text)
    rest = kinds[start + 1 :]
    section = rest[: rest.index("Heading")]
    assert section[-1] == "Figure"
    assert section.count("Figure") == 1


def test_everything_on_the_way_stands_side_by_side() -> None:
    """Each part has its current and its source, the weakest is named, and what asks for more."""
    parts = [
        *carriers(BOOK, plug_word="CEE 7/4", cross_section_mm2=2.5, phases=1, connector="type 2"),
        claims("rated current", 20.0, said_by="the plate"),
    ]
    table = next(
        block
        for block in document(CableEvidence(path=current_path(parts))).blocks
        if isinstance(block, Table) and block.caption.startswith("Everything")
    )
    rows = {text_of(row.cells[0]): [text_of(cell) for cell in row.cells[1:]] for row in table.rows}

    assert rows["plug"][0] == "may carry 16 A"
    assert "less than rated current" in rows["plug"][2]
    assert rows["rated current"][:2] == ["claims 20 A", "the plate"]


def test_why_figures_for_one_cable_differ_is_said_where_they_stand() -> None:
    """Beside the parts on the way; where the cable is not among them there is nothing to explain."""

    def explained(size: float | None) -> bool:
        parts = carriers(BOOK, plug_word="CEE 7/4", cross_section_mm2=size)
        blocks = document(CableEvidence(path=current_path(parts))).blocks
        return any("by three rules" in text_of(line) for block in blocks for line in lines_of(block))

    assert explained(1.0)
    assert not explained(None)


def test_limits_of_the_chapter_lead_to_their_sources() -> None:
    """A limit that is printed in the chapter has a row among the limits used, to which it leads."""
    page = render_html(document(CABLE))

    for limit in CABLE.limits:
        assert f'id="limit-{limit.id.lower().replace(".", "-")}"' in page or limit.id in page
    assert page.count("conductor.class-5.2.5mm2") > 1


def chart(entry: str = ENTRY) -> CurrentChart:
    """A map of an ordinary lead that rests on one entry."""
    lead = HeatedCable(
        diameter=Quantity(0.0112, 0.0, "m"),
        inner=Quantity(0.83, 0.0, "K·m/W"),
        resistance=Quantity(0.00798, 0.0, "Ω/m"),
        coefficient=0.00393,
        cores=2,
    )
    found = current_map(
        lead,
        arrange(BOOK),
        metal_limit=insulation_temperature(BOOK, "pvc"),
        touch_limit=touch_temperature(BOOK),
        offered=16.0,
    )
    return replace(charted(found), entries=(entry,))


def test_the_map_stands_with_its_entry_and_the_tests_on_it() -> None:
    """The figure is there, the entry it rests on is named, and a heating test of the sheath is a point on it."""
    built = document(replace(CABLE, heat=chart(), heating=(heated(),)))
    figure = next(block for block in built.blocks if isinstance(block, Figure) and "current-map" in block.anchor)

    assert "The metal at 70 °C" in figure.alt
    assert "Tested: 16 A in 22 °C, sheath 5" in figure.alt
    assert f"From {ENTRY}" in words(built)


def test_a_map_of_a_private_entry_is_left_out() -> None:
    """What rests on an entry that is kept private is not drawn."""
    built = document(replace(CABLE, heat=chart(PRIVATE)))

    assert not any(isinstance(block, Figure) and "current-map" in block.anchor for block in built.blocks)
    assert "How warm it becomes" not in words(built)


def test_what_is_private_is_not_in_the_chapter() -> None:
    """Evidence of an entry that is kept private is left out."""
    hidden = CableEvidence(conductors=(conductor(52.0, PRIVATE),))

    told = words(document(hidden))
    assert "Resistance of the conductors" not in told
    assert PRIVATE not in told
    assert SECRET not in told


def test_the_chapter_is_made_from_the_record_alone() -> None:
    """Written as JSON and read back the page is the same, and it can be printed."""
    whole = replace(SAMPLE, cable=replace(CABLE, heating=(heated(),), heat=chart()))

    again = from_json(Assessment, to_json(whole), where="assessment.json")

    assert render_html(build_document(again)) == render_html(build_document(whole))
    assert render_pdf(build_document(again)).startswith(b"%PDF")
