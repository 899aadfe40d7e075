"""A tree rated by the published matrix: its level, the band it lies in, and how far that hangs on single guesses."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from coldpin.conclusion.event_tree import (
    Tree,
    chain,
    chance_of,
    check_span,
    deviates,
    drawn,
    interval,
    point,
    severities,
    shifted,
)
from coldpin.errors import InputError
from coldpin.records.scenario import (
    RiskLevel,
    RiskReading,
    RiskSensitivity,
    RiskStep,
    Span,
    StepSensitivity,
)
from coldpin.standards.book import Book
from coldpin.standards.risk import (
    SEVERITIES,
    band_of,
    check_severity,
    risk_level,
    severity_meaning,
    worst,
)

FACTOR = 10
"""By which a single guess is moved to see whether the level moves: a row of the matrix is a factor of ten wide."""


SAME = 1e-12
"""What a product of floats may be off the fraction that it stands for, as a part of it. [1]"""


def tree_level(book: Book, tree: Tree, chances: Mapping[str, Fraction]) -> RiskLevel:
    """Return the level of a tree: the worst over the severities it can end with, each at least so grave.

    Parameters
    ----------
    book : Book
        The constants.
    tree : Fork or Ending
        The tree.
    chances : mapping
        Conditional probability of each step. [1]

    Returns
    -------
    RiskLevel
        The level; low where nobody can be hurt.

    Raises
    ------
    InputError
        The tree has no step.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> tree_level(load_book(), chain([("a", 0)], 3), {"a": Fraction(1, 6000)}).value
    'high'
    """
    return worst(
        risk_level(book, chance_of(tree, chances, severity), severity) for severity in sorted(severities(tree))
    )


def sensitivity(
    book: Book, tree: Tree, chances: Mapping[str, Fraction], titles: Mapping[str, str] | None = None
) -> RiskSensitivity:
    """Say whether the level moves when one guess, the whole probability, or the severity is moved.

    Parameters
    ----------
    book : Book
        The constants.
    tree : Fork or Ending
        The tree.
    chances : mapping
        Best estimate of each step. [1]
    titles : mapping, optional
        What each step is called in a sentence; its name where left out.

    Returns
    -------
    RiskSensitivity
        What moves the level.

    Raises
    ------
    InputError
        The tree has no step.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> told = sensitivity(load_book(), chain([("a", 0)], 3), {"a": Fraction(1, 6000)})
    >>> told.ten_times.value, told.tenth.value, told.moved_by
    ('serious', 'medium', ('a',))
    """
    level = tree_level(book, tree, chances)
    steps = []
    for name, chance in chances.items():
        up = tree_level(book, tree, {**chances, name: min(chance * FACTOR, Fraction(1))})
        down = tree_level(book, tree, {**chances, name: chance / FACTOR})
        steps.append(StepSensitivity(step=name, ten_times=up, tenth=down, moves={up, down} != {level}))
    found = severities(tree)
    up, down = (_scaled(book, tree, chances, factor) for factor in (Fraction(FACTOR), Fraction(1, FACTOR)))
    milder = tree_level(book, shifted(tree, -1), chances) if found and max(found) > SEVERITIES[0] else None
    graver = tree_level(book, shifted(tree, 1), chances) if found and max(found) < SEVERITIES[-1] else None
    moved_by = tuple(step.step for step in steps if step.moves)
    return RiskSensitivity(
        steps=tuple(steps),
        ten_times=up,
        tenth=down,
        milder=milder,
        graver=graver,
        robust={up, down, milder, graver} <= {level, None} and not moved_by,
        moved_by=moved_by,
        statement=_hangs(level, up, down, [(titles or {}).get(name, name).removesuffix(".") for name in moved_by]),
    )


def _scaled(book: Book, tree: Tree, chances: Mapping[str, Fraction], factor: Fraction) -> RiskLevel:
    return worst(
        risk_level(book, min(chance_of(tree, chances, severity) * factor, Fraction(1)), severity)
        for severity in sorted(severities(tree))
    )


def _hangs(level: RiskLevel, up: RiskLevel, down: RiskLevel, moved_by: Sequence[str]) -> str:
    whole = f"ten times as likely it would be {up.value}, a tenth as likely {down.value}"
    if not moved_by:
        return f"No single step ten times as likely, or a tenth, moves the level {level.value}."
    listed = "', '".join(moved_by)
    return f"As a whole {whole}. Steps that alone move the level {level.value} by a factor of ten: '{listed}'."


def rate_chain(book: Book, steps: Sequence[tuple[str, Span]], severity: int) -> RiskReading:
    """Rate a chain of conditional steps: multiply them, find the band, read the matrix, move each guess by ten.

    Parameters
    ----------
    book : Book
        The constants.
    steps : sequence of tuple
        Name and span of each step, in order.
    severity : int
        Of the injury at the end, 1 to 4.

    Returns
    -------
    RiskReading
        Probability, band, level, and how far these hang on single guesses.

    Raises
    ------
    InputError
        There is no step, or a name comes twice.
    OutsideRange
        A span is none, or there is no such severity.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> certain = [Span(low=p, best=p, high=p) for p in (0.1, 0.1, 0.25, 0.05)]
    >>> told = rate_chain(load_book(), list(zip("abcd", certain)), 3)
    >>> told.fraction, told.band, told.level.value
    ('1/8 000', '> 1/10 000', 'high')

    Sources
    -------
    The method of ``risk.band.*``; the draws are ours.
    """
    spans = dict(steps)
    if not steps or len(spans) != len(steps):
        raise InputError("a chain needs at least one step, each with a name of its own")
    check_severity(severity)
    for name, span in steps:
        check_span(span, f"step {name}")
    return rate_exactly(book, point(spans), spans, severity)


def rate_exactly(book: Book, best: Mapping[str, Fraction], spans: Mapping[str, Span], severity: int) -> RiskReading:
    """Rate a chain whose best estimates are known as fractions (a third is not what 0.333 is).

    Parameters
    ----------
    book : Book
        The constants.
    best : mapping
        Best estimate of each step, in order. [1]
    spans : mapping
        The span of each step.
    severity : int
        Of the injury at the end, 1 to 4.

    Returns
    -------
    RiskReading
        Probability, band, level, and how far these hang on single guesses.

    Raises
    ------
    InputError
        There is no step.
    OutsideRange
        There is no such severity.

    Sources
    -------
    The method of ``risk.band.*``; the draws are ours.
    """
    tree = chain([(name, 0) for name in best], severity)
    chance = chance_of(tree, best, severity)
    level, band = risk_level(book, chance, severity), band_of(book, chance)
    uncertain = any(not span.certain for span in spans.values())
    ends = (float(chance), float(chance))
    if uncertain:
        draws = {name: drawn(span, deviates(f"step {place}")) for place, (name, span) in enumerate(spans.items())}
        ends = interval(chance_of(tree, draws, severity))
    reached = [band_of(book, end) for end in ends]
    so_far, walked = Fraction(1), []
    for name, step in best.items():
        so_far *= step
        walked.append(RiskStep(id=name, span=spans[name], so_far=float(so_far)))
    told = sensitivity(book, tree, best)
    return RiskReading(
        schema="coldpin.risk/1",
        probability=float(chance),
        fraction=one_in(chance),
        severity=severity,
        severity_means=severity_meaning(book, severity).title,
        band=band.label,
        level=level,
        interval=ends if uncertain else None,
        bands=(reached[0].label, reached[1].label),
        levels=(reached[0].levels[severity - 1], reached[1].levels[severity - 1]),
        steps=tuple(walked),
        sensitivity=told,
        statement=f"Probability {one_in(chance)} in the life of the product, in the band '{band.label}'; with severity "
        f"{severity} the level is {level.value}. {told.statement}",
        limits=tuple(dict.fromkeys((band.limit, *(row.limit for row in reached), severity_meaning(book, severity)))),
    )


def one_in(chance: Fraction | float) -> str:
    """Return a probability as one reads it, to two figures where it is none of whole numbers.

    Parameters
    ----------
    chance : Fraction or float
        The probability. [1]

    Returns
    -------
    str
        Such as "1/6 000", "about 1/5 600", "0.75", "1".

    Examples
    --------
    >>> one_in(Fraction(1, 6000)), one_in(0.00018), one_in(0.75), one_in(Fraction(1))
    ('1/6 000', 'about 1/5 600', '0.75', '1')
    """
    if chance in (0, 1):
        return str(int(chance))
    count = round(1 / chance)
    if abs(count * chance - 1) < SAME:
        return f"1/{_grouped(count)}"
    if 10 * chance > 1:
        return f"{float(chance):.2g}"
    return f"about 1/{_grouped(round(float(f'{1.0 / float(chance):.2g}')))}"


def _grouped(count: int) -> str:
    return f"{count:,}".replace(",", " ")
