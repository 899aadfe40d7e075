"""Whether cases are of several specimens of one model: make, model and marked rating the same, the piece another."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Sequence
from itertools import combinations

from coldpin.errors import CaseError, ColdpinError
from coldpin.quantity import parse_quantity
from coldpin.records.assessment import Assessment
from coldpin.records.entry import Entry
from coldpin.records.together import SameModel, Unlike
from coldpin.records.vocabulary import VOCABULARY

NOT_GIVEN = frozenset(
    {"", "?", "none", "none found", "no", "not found", "not known", "not marked", "not given", "not recorded"}
    | {"unknown", "illegible", "unreadable", "missing", "n/a", "na"}
)
"""Words by which people say that a plate or a paper has no such mark."""

_MARKED: tuple[tuple[str, Callable[[Assessment], str], str], ...] = (
    ("make", lambda one: one.case.specimen.make, ""),
    ("model", lambda one: one.case.specimen.model, ""),
    ("rated current", lambda one: one.case.claims.rated_current, "A"),
    ("rated voltage", lambda one: one.case.claims.rated_voltage, "V"),
    ("phases", lambda one: str(one.case.unit.phases), ""),
)
"""What decides whether two pieces are of one model; the unit in which a rating is compared."""

_TOLD: tuple[tuple[str, Callable[[Assessment], str], str], ...] = (
    ("batch", lambda one: one.case.specimen.batch, ""),
    ("firmware as marked", lambda one: one.case.specimen.marked_firmware, ""),
    ("plug", lambda one: one.case.claims.plug, ""),
    ("plug's rating", lambda one: one.case.claims.plug_rating, "A"),
    ("connector", lambda one: one.case.unit.connector, ""),
    ("set current", lambda one: one.case.claims.declared_current, "A"),
    ("print on the cable", lambda one: one.case.claims.cable_print, ""),
    ("cross-section", lambda one: one.case.claims.cross_section, "mm²"),
    ("hottest air", lambda one: one.case.claims.max_ambient, "°C"),
    ("residual current", lambda one: one.case.claims.residual_current, "mA"),
    ("type of the residual current protection", lambda one: one.case.claims.residual_type, ""),
    ("direct residual current", lambda one: one.case.claims.residual_direct, "mA"),
    ("standards claimed", lambda one: "; ".join(sorted(one.case.claims.standards_claimed)), ""),
    ("charging mode", lambda one: str(one.case.unit.charging_mode), ""),
    ("build", lambda one: one.case.unit.build.value, ""),
    ("vehicle cable", lambda one: one.case.unit.cable.value, ""),
    ("electronics", lambda one: one.case.unit.electronics.value, ""),
    ("edition judged by", lambda one: one.edition, ""),
)
"""What may differ between pieces of one model and is told: marks, and how the piece was described."""


def plain_mark(text: str) -> str:
    """Return a mark as it is compared: without case, spaces and dashes alike; empty where it says that there is none.

    Parameters
    ----------
    text : str
        As somebody wrote it.

    Returns
    -------
    str
        The mark.

    Examples
    --------
    >>> plain_mark("Pellwick-20 "), plain_mark("PELLWICK  20"), plain_mark("none found")
    ('pellwick 20', 'pellwick 20', '')
    """
    folded = unicodedata.normalize("NFKC", text).casefold()
    spaced = "".join(" " if unicodedata.category(sign) == "Pd" or sign == "_" else sign for sign in folded)
    words = " ".join(spaced.split())
    return "" if words in NOT_GIVEN else words


def told_apart(assessments: Sequence[Assessment], names: Sequence[str], *, reason: str = "") -> str:
    """Return the serial number that several pieces bear, or refuse one piece that is given twice.

    Parameters
    ----------
    assessments : sequence of Assessment
        The cases as assessed.
    names : sequence of str
        How each case is called in a message.
    reason : str
        Why pieces with one serial number are several all the same.

    Returns
    -------
    str
        The serial number; empty where no two pieces bear one.

    Raises
    ------
    CaseError
        Two cases hold the same entries, or the same capture or log, or bear one serial number without a reason.
    """
    shared = ""
    for (one, one_name), (other, other_name) in combinations(zip(assessments, names, strict=True), 2):
        if {entry.id for entry in one.entries} & {entry.id for entry in other.entries}:
            raise CaseError(
                f"{one_name} and {other_name} hold the same entries: a copy of a case is no second specimen; give the "
                "case of another piece"
            )
        if file := _recorded_twice(one.entries, other.entries):
            raise CaseError(
                f"{one_name} and {other_name} hold the same recording, {file}: two pieces do not give one recording; "
                "withdraw it in the case to which it does not belong"
            )
        serials = [case.case.specimen.serial for case in (one, other)]
        if plain_mark(serials[0]) and plain_mark(serials[0]) == plain_mark(serials[1]):
            if not reason:
                raise CaseError(
                    f"{one_name} and {other_name} bear one serial number, “{serials[0].strip()}”: a specimen is not "
                    "joined with itself; where two pieces do bear the same number, give --apart with how you tell them "
                    "apart"
                )
            shared = shared or serials[0].strip()
    return shared


def _recorded_twice(one: Sequence[Entry], other: Sequence[Entry]) -> str:
    """Return the name of a recording of the specimen that both hold; a listing or a paper both may hold."""
    held = [_recordings(entries) for entries in (one, other)]
    both = sorted(set(held[0]) & set(held[1]))
    return held[0][both[0]] if both else ""


def _recordings(entries: Sequence[Entry]) -> dict[str, str]:
    """Return the names of captures, logs and drawings that still hold, by their hash."""
    replaced = {entry.replaces for entry in entries}
    return {
        file.sha256: file.original_name or file.file
        for entry in entries
        if entry.evidence is not None and entry.id not in replaced and not entry.withdraws
        if entry.shows in VOCABULARY and VOCABULARY[entry.shows].recorded_as in _RECORDINGS
        for file in entry.evidence.files
        if file.sha256
    }


_RECORDINGS = ("capture", "log", "board")
"""How what is made from one piece alone is recorded."""


def same_model(assessments: Sequence[Assessment], names: Sequence[str], *, reason: str = "") -> SameModel:
    """Say what the pieces have in common and what in their markings is not alike, or refuse different models.

    Parameters
    ----------
    assessments : sequence of Assessment
        The cases as assessed, in the order of the specimens.
    names : sequence of str
        How each case is called in a message.
    reason : str
        Why pieces whose make, model or rating differ are of one model all the same.

    Returns
    -------
    SameModel
        Marks in common, and what is unlike.

    Raises
    ------
    CaseError
        Make, model or rating differ and no reason is given.
    """
    against = tuple(_unlike(assessments, _MARKED))
    if against and not reason:
        told = "; ".join(f"{one.what}: {_said(one, names)}" for one in against)
        raise CaseError(
            f"these are not known to be one model ({told}): correct the case where it is written wrongly, or give "
            "--same-model with the reason why they are one all the same"
        )
    apart = {one.what for one in against}
    marked = tuple(
        (what, said) for what, of, _ in _MARKED if what not in apart and (said := " ".join(of(assessments[0]).split()))
    )
    return SameModel(
        marked=marked,
        unlike=tuple(_unlike(assessments, _TOLD)),
        overridden=against,
        reason=reason if against else "",
    )


def _unlike(
    assessments: Sequence[Assessment], marks: Sequence[tuple[str, Callable[[Assessment], str], str]]
) -> list[Unlike]:
    found = []
    for what, of, unit in marks:
        said = tuple(" ".join(of(one).split()) for one in assessments)
        if len({_compared(text, unit) for text in said}) > 1:
            found.append(Unlike(what=what, said=said))
    return found


def _compared(text: str, unit: str) -> str | float:
    """Return a mark as it is compared, a rating by its value: 16 A and 16.0A are one."""
    if unit and plain_mark(text):
        try:
            return parse_quantity(text, unit).value
        except ColdpinError:
            pass  # it says something else than a value, and is compared as text
    return plain_mark(text)


def _said(unlike: Unlike, names: Sequence[str]) -> str:
    return ", ".join(
        f"“{text}” in {name}" if plain_mark(text) else f"none recorded in {name}"
        for text, name in zip(unlike.said, names, strict=True)
    )
