"""What may be said: the sentences stand out, and what they rest on is a click away, however much it is."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.records.assessment import Basis, PlainSentence, Sentence
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.report import build_document
from coldpin.report.document import Heading, Line, Listing, Text, text_of
from tests.report.sample import FINDINGS, SAMPLE


def finding(name: str, *functions: str, outcome: Outcome = Outcome.WITHIN, reach: Reach = Reach.SPECIMEN) -> Finding:
    return replace(
        FINDINGS[0],
        id=name,
        title=f"Title of {name}",
        outcome=outcome,
        reach=reach,
        functions=functions,
        decisive=False,
        quantity=None,
    )


def function(name: str, *findings: str) -> ProtectiveFunction:
    return ProtectiveFunction(
        id=name,
        title=f"Function {name}",
        question="?",
        state=FunctionState.SHOWN,
        reach=Reach.SPECIMEN,
        findings=findings,
        because="It was seen.",
    )


FOUND = (
    finding("a1", "a"),
    finding("a2", "a"),
    finding("a3", "a", reach=Reach.CONSTRUCTION),
    finding("b1", "b"),
    finding("b2", "b", outcome=Outcome.BEYOND),
    finding("lone"),
)


def lists(may_say: tuple[Sentence, ...] = (), done_well: tuple[Sentence, ...] = ()) -> list[Line]:
    """Return the items of the chapter for sentences on the findings above, the headline left out."""
    conclusion = replace(SAMPLE.conclusion, may_say=may_say, done_well=done_well, may_not_say=(), decisive=())
    functions = (function("b", "b1", "b2"), function("a", "a1", "a2", "a3"))
    assessment = replace(SAMPLE, findings=FOUND, functions=functions, conclusion=conclusion, pilot=())
    blocks = build_document(assessment).blocks
    place = next(p for p, b in enumerate(blocks) if isinstance(b, Heading) and b.anchor == "sayings")
    end = next(p for p, b in enumerate(blocks) if p > place and isinstance(b, Heading) and b.level == 2)
    return [item for block in blocks[place:end] if isinstance(block, Listing) for item in block.items][1:]


def links(line: Line) -> dict[str, str]:
    return {piece.text: piece.link for piece in line if isinstance(piece, Text) and piece.link}


def test_few_findings_are_all_named() -> None:
    """One more than is named is named too: "and 1 more" would be no shorter."""
    sentence = Sentence(text="So it is.", basis=Basis.INFERRED, findings=("a1", "a2", "a3", "b1"))

    assert text_of(lists((sentence,))[0]) == "So it is. [inferred] from a1, a2, a3, b1"


def test_of_many_findings_the_rest_is_reached_through_their_functions() -> None:
    """The first are named, the others counted, and a link leads to each row that names them, or to them."""
    sentence = Sentence(text="So it is.", basis=Basis.INFERRED, findings=("a1", "a2", "a3", "b1", "b2", "lone"))
    line = lists((sentence,))[0]

    assert text_of(line) == "So it is. [inferred] from a1, a2, a3 and 3 more: Function b, lone"
    assert links(line)["Function b"] == "function-b"
    assert links(line)["lone"] == "finding-lone"


def test_what_was_done_well_is_told_by_function() -> None:
    """In the order of the functions, each finding linked, with what each group rests on and what reaches further."""
    well = (
        Sentence(text="A1.", basis=Basis.OBSERVED, findings=("a1",)),
        Sentence(text="A2.", basis=Basis.MEASURED, findings=("a2",)),
        Sentence(text="A3.", basis=Basis.OBSERVED, findings=("a3",)),
        Sentence(text="B1.", basis=Basis.MEASURED, findings=("b1",)),
        Sentence(text="Lone.", basis=Basis.OBSERVED, findings=("lone",)),
    )
    told = lists(done_well=well)

    assert [text_of(line) for line in told] == [
        "Function b (shown): Title of b1 [measured]",
        "Function a (shown): Title of a1; Title of a3 (by construction) [observed] Title of a2 [measured]",
        "Besides: Title of lone [observed]",
    ]
    assert links(told[1])["Title of a2"] == "finding-a2"


@pytest.mark.parametrize(("check", "said"), [("markings", ""), ("parts-inside", " (good practice, not a duty)")])
def test_a_mark_that_was_found_is_not_called_good_practice(check: str, said: str) -> None:
    """A text asks for it, and whether it must stand there is for an authority."""
    made = tuple(replace(one, check=check, duty=False) for one in FOUND if one.id == "lone")
    conclusion = replace(
        SAMPLE.conclusion, may_say=(), done_well=(Sentence(text="L.", basis=Basis.OBSERVED, findings=("lone",)),)
    )
    document = build_document(replace(SAMPLE, findings=made, functions=(), conclusion=conclusion, pilot=()))
    lines = [text_of(item) for block in document.blocks if isinstance(block, Listing) for item in block.items]

    assert f"Besides: Title of lone{said} [observed]" in lines


def test_a_sentence_that_is_not_one_finding_within_its_limit_is_printed_whole() -> None:
    """Praise that rests on several findings, on none, or on one that is not within is not put into other words."""
    well = (
        Sentence(text="Both hold.", basis=Basis.INFERRED, findings=("a1", "b1")),
        Sentence(text="We like it.", basis=Basis.OPINION),
        Sentence(text="It nearly holds.", basis=Basis.MEASURED, findings=("b2",)),
    )

    assert [text_of(line) for line in lists(done_well=well)] == [
        "Both hold. [inferred] from a1, b1",
        "We like it. [opinion]",
        "It nearly holds. [measured] from b2",
    ]


@pytest.mark.hand("one of two findings of a check is beyond: what every one would mean is not said of the other")
def test_plain_words_about_all_are_not_said_where_one_is_not_so() -> None:
    """What is as it should be is named; that everything of its kind is, is said only where nothing is otherwise."""
    two = tuple(
        replace(one, check="construction", plain="")
        for one in (finding("neat"), finding("untidy", outcome=Outcome.BEYOND))
    )

    def told(*findings: Finding, functions: tuple[ProtectiveFunction, ...] = ()) -> str:
        plain = tuple(
            PlainSentence(kind="finding", id=one.id, sentence=Sentence(text=f"Plainly {one.id}.", basis=Basis.OBSERVED))
            for one in findings
        )
        conclusion = replace(SAMPLE.conclusion, plain=plain, may_say=(), done_well=(), decisive=())
        made = replace(SAMPLE, findings=findings, functions=functions, conclusion=conclusion, pilot=())
        blocks = build_document(made).blocks
        return " ".join(text_of(item) for block in blocks if isinstance(block, Listing) for item in block.items)

    assert "As it should be: it is put together soundly (Title of neat)." in told(two[0])
    assert "As it should be: Title of neat. " in told(*two)
    assert "put together soundly" not in told(*two)

    neat = replace(two[0], functions=("a",))
    for state in FunctionState:
        said = told(neat, functions=(replace(function("a", "neat"), state=state),))
        assert ("put together soundly" in said) is (state is FunctionState.SHOWN)
        assert "Title of neat" in said
