"""The document tree: what a report says, in which order, and in which words."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import pytest

from coldpin.records.assessment import Assessment
from coldpin.records.finding import Joint, Outcome, Standing
from coldpin.report import Document, Issue, build_document
from coldpin.report.document import (
    Block,
    Callout,
    CalloutKind,
    Face,
    Figure,
    Heading,
    Listing,
    Mark,
    Paragraph,
    Role,
    Sign,
    Table,
    Text,
    lines_of,
    text_of,
)
from tests.report.sample import ENTRIES, FINDINGS, PLUG, SAMPLE


def built(assessment: Assessment, issue: Issue | None = None) -> Document:
    """Build a document; the sample's draft, asked for again and again, once."""
    return _draft() if assessment is SAMPLE and issue is None else build_document(assessment, issue=issue)


@cache
def _draft() -> Document:
    return build_document(SAMPLE)


def said(assessment: Assessment, issue: Issue | None = None) -> str:
    return words(list(built(assessment, issue).blocks))


def chapter(title: str, assessment: Assessment = SAMPLE) -> list[Block]:
    """Return the blocks from the heading that ends in a title to the next of its level or above."""
    blocks = built(assessment).blocks
    start, level = next(
        (place, block.level)
        for place, block in enumerate(blocks)
        if isinstance(block, Heading) and block.text.endswith(title)
    )
    after = (
        place
        for place, block in enumerate(blocks)
        if place > start and isinstance(block, Heading) and block.level <= level
    )
    return list(blocks[start : next(after, len(blocks))])


def words(blocks: list[Block]) -> str:
    return "\n".join(text_of(line) for block in blocks for line in lines_of(block))


FORBIDDEN = re.compile(
    r"\b(safe|unsafe|deadly|illegal|fake|certified|compliant|non-?conforming|fails?|failed|defective)\b", re.IGNORECASE
)


def test_no_word_is_said_that_we_may_not_say() -> None:
    """Such words stand only inside quotation marks, as somebody's claim."""
    unquoted = re.sub(r"“[^”]*”", "", said(SAMPLE))

    assert FORBIDDEN.findall(unquoted) == []
    assert "“fully certified”" in said(SAMPLE)


def test_the_front_page_answers_first() -> None:
    """Before the first chapter: the sentence, what decides, every function with its state, how far it goes."""
    blocks = built(SAMPLE).blocks
    front = list(blocks[: next(p for p, b in enumerate(blocks) if isinstance(b, Heading) and b.level == 2)])
    states = [
        piece.sign
        for b in front
        if isinstance(b, Table)
        for row in b.rows
        for piece in row.cells[1]
        if isinstance(piece, Mark)
    ]

    assert front[0] == Paragraph((Text("Bench assessment of one specimen · Draft"),), Role.KICKER)
    assert SAMPLE.conclusion.headline.text in words(front)
    assert [b.kind for b in front if isinstance(b, Callout)] == [CalloutKind.DECISIVE, CalloutKind.NOTE]
    assert states == [Sign.SHOWN_ABSENT, Sign.SHOWN, Sign.FAULTY, Sign.FAULTY, Sign.SHOWN_ABSENT, Sign.NOT_SHOWN]
    assert "Not tested (1): Residual current." in words(front)
    assert "coldpin 0.1.0, which certifies nothing" in words(front)


def test_what_two_findings_conclude_alike_is_said_once() -> None:
    """The plain words they share stand once, then what each found, each with its finding."""
    plain = "The mains comes near to the pilot."
    ids = ("distance.clearance", "distance.creepage")
    lengths = ("The clearance is 2.0 mm.", "The creepage is 2.1 mm.")
    pattern = next(finding for finding in FINDINGS if finding.decisive)
    alike = tuple(
        replace(pattern, id=name, statement=f"{plain} {length}", plain=plain)
        for name, length in zip(ids, lengths, strict=True)
    )
    decided = replace(SAMPLE.conclusion, decisive=ids)
    document = built(replace(SAMPLE, findings=(*FINDINGS, *alike), conclusion=decided))
    (callout,) = [b for b in document.blocks if isinstance(b, Callout) and b.title.startswith("What decides")]
    (line,) = callout.items
    said_there = text_of(line)

    assert said_there.count(plain) == 1
    assert [length in said_there for length in lengths] == [True, True]
    assert [name in said_there for name in ids] == [True, True]


@pytest.mark.hand("of the sample's findings with a limit and an outcome, one of seven rests on a standard in hand")
def test_the_front_page_counts_limits_that_are_not_from_the_standard() -> None:
    """It says how many findings rest on a limit as known, and how it is known."""
    assert "6 of 7 findings with a number rest on limits as we know them" in said(SAMPLE)
    assert "1 common practice, 1 from memory, 3 read in a public text, 1 set by the plate of the specimen" in said(
        SAMPLE
    )


def test_where_all_limits_are_from_the_standard_it_says_so() -> None:
    """With every limit entered from the standard there is nothing to warn of."""
    held = tuple(
        replace(f, limit=None if f.limit is None else replace(f.limit, standing=Standing.STANDARD)) for f in FINDINGS
    )

    assert "all judged against limits entered from the standard itself" in said(replace(SAMPLE, findings=held))
    assert "as known to us" not in said(replace(SAMPLE, findings=held))


def test_a_draft_and_an_issue_say_what_they_are() -> None:
    """The number, the day and the changes of an issue are printed."""
    issue = Issue(number=2, issued_on="2026-04-01", changes=("offer.plug: was not tested, is beyond",))
    document = built(SAMPLE, issue)

    assert built(SAMPLE).status == "Draft"
    assert document.status == "Issue 2, 2026-04-01"
    assert "offer.plug: was not tested, is beyond" in said(SAMPLE, issue=issue)


def test_a_finding_gives_all_that_it_rests_on() -> None:
    """Value, interval, limit with source and standing, probability, rule, reach, function, check, capture, evidence."""
    text = words(chapter("Current offered against the plug"))

    for part in (
        "offer.plug",
        "beyond the value lies outside the limit set by the plate of the specimen; it decides alone",
        "20.10 A ± 0.24 A",
        "95 % interval 19.86 A to 20.34 A",
        "at most 16 A",
        "marking on the plug (set by the plate of the specimen)",
        "standing “read”: set by the plate of the specimen, not by a standard",
        "PLUG_CEE_16",
        "probability of lying within the limit as known less than 0.1 %",
        "reach: this specimen",
        "Offer no more than the weakest part",
        "Offer against the plug",
        "state C2 from 6.2 to 10.4 s",
        "20260314-1010-a",
        "scope, vertical: 2 % of reading",
    ):
        assert part in text


def test_a_value_without_uncertainty_says_so() -> None:
    """Unknown uncertainty is never shown as none."""
    assert "1.4 mm (uncertainty not known) (calliper without statement)" in words(chapter("Thickness of the sheath"))


def test_a_question_is_answered_by_what_it_means() -> None:
    """Yes and no are not printed for a question that the report does not print; whether it is as it should be is."""
    overview = next(block for block in chapter("Findings") if isinstance(block, Table))
    answers = {text_of(row.cells[0]): text_of(row.cells[1]) for row in overview.rows}

    assert answers["Dead wiring map"] == "not as it should be"
    assert "\nAnswer\n" not in words(chapter("Dead wiring map"))


def test_against_a_standard_in_hand_the_limit_is_just_the_limit() -> None:
    """The words "as known to us" belong to limits of weaker standing."""
    assert "within the value lies inside the limit;" in words(chapter("one by one"))


def test_the_wiring_map_is_a_grid() -> None:
    """A row for each plug pin, a column for each connector pin, and what is wrong says what it should be."""
    grid = next(block for block in chapter("Wiring map") if isinstance(block, Table))

    assert [column.title for column in grid.columns][1:] == ["L1", "L2", "L3", "N", "PE", "CP", "PP"]
    assert [text_of(row.cells[0]) for row in grid.rows] == ["L1", "L2", "L3", "N", "PE"]
    assert text_of(grid.rows[1].cells[3]) == "joined\nshould be open"
    assert text_of(grid.rows[0].cells[1]) == "joined"


def test_two_findings_on_one_pair_of_pins_share_a_cell() -> None:
    """What one finding wants and another does not is said where the pair stands, once."""
    kept = Joint(plug_pin="L1", connector_pin="L1", found="joined", wanted="joined", right=True)
    other = replace(kept, wanted="open", right=False)
    both = (replace(FINDINGS[7], joints=(kept,)), replace(FINDINGS[7], id="wiring.switched", joints=(other,)))
    assessment = replace(SAMPLE, findings=both)
    grid = next(block for block in chapter("Wiring map", assessment) if isinstance(block, Table))

    assert [text_of(cell) for row in grid.rows for cell in row.cells] == ["L1", "joined\nshould be open"]
    assert "L1 to L1: joined, should be open" in said(assessment)


def test_functions_not_shown_are_listed_with_what_would_say_more() -> None:
    """A function of which nothing is known stands under what was not tested, even where no check is missing."""
    told = chapter("What was not tested, and what would be tested next", replace(SAMPLE, not_tested=()))
    table = next(b for b in told if isinstance(b, Table))

    assert [text_of(cell) for cell in table.rows[0].cells] == [
        "Residual current cut off",
        "Not tested. [inferred]",
        "residual-current",
    ]


def test_what_was_corrected_stays_beside_its_correction() -> None:
    """The earlier entry is struck through and names the later one; the later gives the reason."""
    table = next(b for b in chapter("What happened, in order") if isinstance(b, Table))
    rows = {row.anchor: row for row in table.rows}
    earlier, later = rows["entry-20260314-0930-a"], rows["entry-20260314-0930-c"]
    struck = [p.text for cell in earlier.cells for p in cell if isinstance(p, Text) and p.face is Face.STRUCK]

    assert struck == ["Earth resistance", "0.81 Ω · 0.80 Ω"]
    assert "Corrected by 20260314-0930-c: a digit was lost" in text_of(earlier.cells[2])
    assert "Corrects 20260314-0930-a. Reason: a digit was lost" in text_of(later.cells[2])


def test_a_withdrawal_is_told_as_one() -> None:
    """Taking an entry back is told in other words than correcting it."""
    taken = tuple(
        replace(entry, withdraws=True, readings=(), conditions={}) if entry.id == "20260314-0930-c" else entry
        for entry in ENTRIES
    )
    text = said(replace(SAMPLE, entries=taken))

    assert "Withdrawn by 20260314-0930-c" in text
    assert "Withdraws entry 20260314-0930-a" in text


def test_entries_stand_in_the_order_of_time_across_zones() -> None:
    """An entry made at 09:00 in one zone comes before one made at 08:30 in a zone further west."""
    first = replace(ENTRIES[0], id="b", made="2026-03-01T09:00:00+02:00")
    second = replace(ENTRIES[0], id="a", made="2026-03-01T08:30:00+00:00")
    table = next(
        b for b in chapter("What happened, in order", replace(SAMPLE, entries=(second, first))) if isinstance(b, Table)
    )

    assert [row.anchor for row in table.rows] == ["entry-b", "entry-a"]


def test_custody_says_what_is_missing() -> None:
    """What nobody recorded is printed as not recorded, not passed over."""
    text = words(chapter("Custody", replace(SAMPLE, entries=())))

    assert text.count("not recorded") >= 6
    assert "seal unbroken" in words(chapter("Custody"))
    assert "sealed box 3, kept by A. Lindqvist" in words(chapter("Custody"))


def test_custody_asks_again_where_it_is_after_it_was_opened() -> None:
    """The place stands with its day, and the work done since beside it."""
    assert "in what state?" not in words(chapter("Custody"))
    opened = next(one for one in SAMPLE.entries if one.shows == "opened")
    again = replace(opened, id="20260316-0900-a", made="2026-03-16T09:00:00+00:00")
    told = words(chapter("Custody", replace(SAMPLE, entries=(*SAMPLE.entries, again))))
    assert "sealed box 3, kept by A. Lindqvist" in told
    assert "put on the mains (last 'opened', 2026-03-16 09:00" in told
    undated = [one for one in SAMPLE.entries if one.shows != "where it is"]
    case = replace(SAMPLE.case, specimen=replace(SAMPLE.case.specimen, where_now="cupboard 2"))
    told = words(chapter("Custody", replace(SAMPLE, entries=tuple(undated), case=case)))
    assert "cupboard 2 (by the description of the case, without a date)" in told


def test_a_disputed_limit_shows_both_values() -> None:
    """Where two texts differ, the reader sees the other one too."""
    assert "Another text says: 5.5 V to 6.5 V in an application note" in words(chapter("Limits used"))


def test_every_sentence_says_what_it_rests_on() -> None:
    """Each sentence that may be said carries its tag; those that may not be said stand apart."""
    sayings = [text_of(item) for b in chapter("What may be said") if isinstance(b, Listing) for item in b.items]

    assert sayings[1].startswith("No switching element sits between plug and connector. [observed]")
    assert sayings[-1] == SAMPLE.conclusion.may_not_say[-1]


def test_figures_and_chapters_are_numbered_for_citing() -> None:
    """Figures count through the report, chapters and sections below them."""
    blocks = built(SAMPLE).blocks
    captions = [block.caption for block in blocks if isinstance(block, Figure)]
    chapters = [block.text for block in blocks if isinstance(block, Heading) and block.level == 2]

    assert [caption.split(".")[0] for caption in captions] == ["Figure 1", "Figure 2", "Figure 3", "Figure 4"]
    assert [text.split()[0] for text in chapters] == [str(number) for number in range(1, len(chapters) + 1)]


def test_an_empty_assessment_is_still_a_report() -> None:
    """Nothing found, nothing tested, nothing filed: each chapter says so."""
    empty = replace(
        SAMPLE,
        findings=(),
        functions=(),
        pilot=(),
        entries=(),
        instruments=(),
        methods=(),
        limits=(),
        not_tested=(),
        problems=(),
        conclusion=replace(SAMPLE.conclusion, decisive=(), may_say=(), done_well=(), may_not_say=()),
    )
    text = said(empty)

    for sentence in ("Nothing was found", "No check was done.", "No entry is published.", "No limit was used."):
        assert sentence in text


def test_a_link_to_something_unknown_stays_plain_text() -> None:
    """A finding that names an entry nobody has is printed, and leads nowhere."""
    odd = replace(FINDINGS[1], evidence=("nobody-has-this",), functions=("unheard-of",), check="unknown")
    blocks = chapter("Current offered against the plug", replace(SAMPLE, findings=(odd,)))
    links = {p.text: p.link for b in blocks for line in lines_of(b) for p in line if isinstance(p, Text)}

    assert links["nobody-has-this"] == links["unheard-of"] == links["unknown"] == ""


def test_two_findings_of_one_id_are_both_told() -> None:
    """A double id costs no finding: both are printed, the first has the anchor."""
    twice = (FINDINGS[1], replace(FINDINGS[1], title="The same again", outcome=Outcome.UNDECIDED))
    anchors = [b.anchor for b in build_document(replace(SAMPLE, findings=twice)).blocks if isinstance(b, Heading)]

    assert "The same again" in said(replace(SAMPLE, findings=twice))
    assert len(anchors) == len(set(anchors))


def test_a_limit_without_bounds_prints_its_nominal_value() -> None:
    """A limit that is only a nominal value is printed, and not drawn."""
    nominal = replace(FINDINGS[1], limit=replace(PLUG, maximum=None, nominal=16.0))
    blocks = build_document(replace(SAMPLE, findings=(nominal,), pilot=())).blocks

    assert "16 A" in said(replace(SAMPLE, findings=(nominal,), pilot=()))
    assert [b.anchor for b in blocks if isinstance(b, Figure)] == ["figure-uses"]


def test_a_text_that_many_limits_were_read_in_is_printed_once() -> None:
    """Three limits on one text name it by letter, a limit on a text of its own prints it."""
    text = "a leaflet on charging leads"
    limits = tuple(replace(PLUG, id=f"x{place}", read_in=(text,)) for place in range(3))
    other = replace(PLUG, id="y", read_in=("another leaflet",))
    told = words(chapter("Limits used", replace(SAMPLE, limits=(*limits, other))))

    assert told.count(text) == 1
    assert told.count("read in text A") == 3
    assert "read in another leaflet" in told
