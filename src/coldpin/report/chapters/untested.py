"""What was not tested, why, and what would be tested next."""

from __future__ import annotations

from coldpin.records.assessment import Basis, FurtherTest
from coldpin.report.document import Block, Break, Column, Face, Heading, Line, Paragraph, Role, Row, Table, Tag, Text
from coldpin.report.index import Index, stacked
from coldpin.report.words import sentence_case


def untested(index: Index) -> tuple[Block, ...]:
    """Return the chapter on what was not tested.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks.
    """
    heading = Heading(2, "What was not tested, and what would be tested next", index.anchors.fresh("not-tested"))
    said = Paragraph((Text("What is listed here speaks neither for nor against the specimen."),))
    blocks = (*_checks(index), *_functions(index), *_next(index))
    return (heading, said, *blocks) if blocks else (heading, Paragraph((Text("Every check had evidence."),)))


def _checks(index: Index) -> tuple[Block, ...]:
    """List the checks that lacked evidence."""
    missed = index.assessment.not_tested
    if not missed:
        return ()
    done = {method.check for method in index.done}
    rows = []
    for check in missed:
        anchor = "" if check.check in done else index.anchors.place("check", check.check)
        needs = stacked(Text(need) for need in check.needs) or (Text("–"),)
        title: Line = (Text(check.title, Face.STRONG), Break(), Text(check.check, Face.CODE))
        rows.append(Row((title, (Text(check.why),), needs), anchor))
    columns = (Column("Check", 1.3), Column("Why not", 1.6), Column("What it would need", 1.6))
    return (Table("Checks without evidence", columns, tuple(rows)),)


def _next(index: Index) -> tuple[Block, ...]:
    """List the tests that have something left to ask, in the order in which they may be done."""
    tests = index.assessment.further_tests
    if not tests:
        return ()
    allowed = tuple(one for one in tests if not one.stopped)
    stopped = tuple(one for one in tests if one.stopped)
    blocks: list[Block] = [Heading(3, "What would be tested next", index.anchors.fresh("next-tests"))]
    lead = (
        "In the order in which it may be done: dead before live, whole before opened, what destroys last. Which of it "
        "moves the conclusion most in how many minutes, coldpin next says of the case as it stands; coldpin plan "
        "prints it with its cautions and hold points."
    )
    blocks.append(Paragraph((Text(lead),), Role.QUIET))
    if allowed:
        rows = tuple(Row((_asked(one), _done_how(one), _of_functions(index, one))) for one in allowed)
        columns = (Column("Test, and what it asks", 2.0), Column("How it is done", 1.2), Column("It speaks for", 1.3))
        blocks.append(Table("Tests with something left to ask", columns, rows))
    if stopped:
        reasons = tuple(dict.fromkeys(one.stopped for one in stopped))
        rows = tuple(
            Row(
                (
                    stacked(Text(one.title, Face.STRONG) for one in stopped if one.stopped == why),
                    stacked(Text(line) for line in why),
                )
            )
            for why in reasons
        )
        two = (Column("Tests", 1.4), Column("What forbids them", 2.2))
        blocks.append(Table("Tests that are not done with this specimen as it is", two, rows))
    return tuple(blocks)


def _asked(test: FurtherTest) -> Line:
    return (Text(test.title, Face.STRONG), Break(), Text(test.question))


def _done_how(test: FurtherTest) -> Line:
    how = [Text(f"{sentence_case(test.stage)}, {test.minutes} min")]
    how += [Text(f"after {one}", Face.QUIET) for one in test.first]
    return stacked(how)


def _of_functions(index: Index, test: FurtherTest) -> Line:
    titles = {function.id: function.title for function in index.assessment.functions}
    return stacked(index.anchors.link("function", name, titles[name]) for name in test.says_of if name in titles) or (
        Text("–"),
    )


def _functions(index: Index) -> tuple[Block, ...]:
    """List the functions that were not shown either way, with what would say more."""
    rows = tuple(
        Row(
            (
                (index.anchors.link("function", function.id, function.title),),
                (Text(function.because), Text(" "), Tag(Basis.INFERRED)),
                stacked(index.to_check(name) for name in function.missing) or (Text("–"),),
            )
        )
        for function in index.not_shown
    )
    columns = (
        Column("Protective function", 1.3),
        Column("Why it is not shown", 1.6),
        Column("What would say more", 1.6),
    )
    return (Table("Functions not shown either way", columns, rows),) if rows else ()
