"""What may not be published is taken out of an assessment: by name where a person listed it, by its form where not.

The same text has the same placeholder in every issue. What stands for what is kept in the case.
"""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from coldpin.capture.bare_picture import bare_picture, is_picture
from coldpin.casefile import Case
from coldpin.casefile.untrusted import walk
from coldpin.errors import CaptureError, CaseError, InputError, MissingExtra
from coldpin.records.assessment import Assessment
from coldpin.records.entry import Entry
from coldpin.records.plain import from_plain, to_plain
from coldpin.records.withheld import PrivateDescription, PublishedPhotograph, WithheldMapping, WithheldText

BY_NAME, BY_FORM = "named in private.toml", "known by its form"

NOTE = (
    "Photographs are published as their pixels alone, and private texts are withheld, each marked where it stood. The "
    "hash of an entry is that of its file as it came, which is kept with the specimen's case."
)
"""Said among the limits of the work of a published copy."""

NO_PICTURE = "it begins as no JPEG, PNG, TIFF or WebP, so what stands beside its pixels cannot be taken out"
"""Why a photograph of another form is not handed on."""

_FORMS: tuple[tuple[str, re.Pattern[str]], ...] = (
    ("vehicle identity", re.compile(r"(?<![^\W_])((?=[A-Z0-9]*[0-9])(?=[A-Z0-9]*[A-Z])[A-HJ-NPR-Z0-9]{17})(?![^\W_])")),
    (
        "vehicle identity",
        re.compile(
            r"(?:[Rr]egistration|[Ll]icen[cs]e plate|[Nn]umber plate)(?: number)?[ :]{1,3}"
            r"([A-Z0-9]{1,4}(?:[ -][A-Z0-9]{1,4}){1,3}|[A-Z]{1,3}[0-9]{2,5}[A-Z]{0,3})(?![^\W_])"
        ),
    ),
    (
        "order number",
        re.compile(
            r"(?i:order|invoice|receipt|parcel|tracking)\s*(?i:numbers?|no\.?|nr\.?|#|id)\s*:?\s*"
            r"((?=[\w/-]*[0-9])[\w][\w/-]{2,}[^\W_])"
        ),
    ),
    ("e-mail address", re.compile(r"(?<![\w.+-])([\w.+-]{1,64}@[\w-]{1,63}(?:\.[\w-]{1,63}){1,8})(?![\w-])")),
    ("telephone number", re.compile(r"(?<![\w+])(\+[0-9]{1,3}(?:[ ()-]{0,2}[0-9]){7,12})(?![0-9])")),
    (
        "place",
        re.compile(
            r"(?<![\w.])(-?[0-9]{1,2}\.[0-9]{4,}\s?°?\s?[NS]?[\s,;]{1,3}-?[0-9]{1,3}\.[0-9]{4,}\s?°?\s?[EW]?)(?!\w|\.\w)"
        ),
    ),
    (
        "place",
        re.compile(
            r"([0-9]{1,2}°\s?[0-9]{1,2}['′][^,;]{0,12}[NS][\s,;]{1,3}[0-9]{1,3}°\s?[0-9]{1,2}['′][^,;]{0,12}[EW])"
        ),
    ),
)
"""What gives itself away by its form, and what it is: looked for in what people wrote, and nowhere else."""

_OF_NUMBERS = ("place", "telephone number")
"""Forms that columns of numbers have as well: not looked for in the head of a capture or a log."""


def withheld_texts(
    assessment: Assessment, private: PrivateDescription, before: WithheldMapping
) -> tuple[WithheldText, ...]:
    """Return every text to be withheld with its placeholder; those of earlier issues keep theirs.

    Parameters
    ----------
    assessment : Assessment
        What is to be published.
    private : PrivateDescription
        What a person wants withheld.
    before : WithheldMapping
        What earlier issues withheld.

    Returns
    -------
    tuple of WithheldText
        Earlier ones first; each text once.
    """
    return withheld_in(_written(assessment), private, before)


def withheld_in(
    written: Iterable[str], private: PrivateDescription, before: WithheldMapping, *, heads: Iterable[str] = ()
) -> tuple[WithheldText, ...]:
    """Return every text to be withheld from what people wrote.

    Parameters
    ----------
    written : iterable of str
        What they wrote.
    private : PrivateDescription
        What a person wants withheld.
    before : WithheldMapping
        What earlier issues withheld.
    heads : iterable of str
        What instruments wrote above their numbers.

    Returns
    -------
    tuple of WithheldText
        Earlier ones first; each text once.
    """
    known = {_key(one.text): one for one in before.texts}
    wanted = [(" ".join(one.text.split()), one.what.strip(), BY_NAME) for one in private.withhold]
    wanted += [(text, what, BY_FORM) for text, what in _by_form(written)]
    wanted += [(text, what, BY_FORM) for text, what in _by_form(heads) if what not in _OF_NUMBERS]
    for text, what, found in wanted:
        if _key(text) not in known:
            number = 1 + sum(one.what == what for one in known.values())
            known[_key(text)] = WithheldText(
                placeholder=f"[{what} {number}, withheld]", text=text, what=what, found=found
            )
    return tuple(known.values())


def _key(text: str) -> str:
    return " ".join(text.split()).casefold()


def _by_form(written: Iterable[str]) -> Iterator[tuple[str, str]]:
    for text in written:
        for what, form in _FORMS:
            for match in form.finditer(text):
                yield match[1], what


def _written(assessment: Assessment) -> Iterator[str]:
    """Yield what people wrote: the description, the entries, the instruments."""
    for told in (assessment.case, assessment.instruments):
        yield from (value for _, value in walk(told) if isinstance(value, str))
    yield from entry_texts(assessment.entries)


def entry_texts(entries: Iterable[Entry]) -> Iterator[str]:
    """Yield what people wrote in entries: everything but readings.

    Parameters
    ----------
    entries : iterable of Entry
        The entries.

    Yields
    ------
    str
        One text.
    """
    for entry in entries:
        yield from (entry.note, entry.reason, *entry.conditions.values())
        for piece in entry.evidence.files if entry.evidence else ():
            yield piece.original_name
        if entry.evidence:
            yield entry.evidence.address


def without(assessment: Assessment, texts: Iterable[WithheldText]) -> Assessment:
    """Return an assessment with every withheld text replaced by its placeholder, wherever it stands.

    Parameters
    ----------
    assessment : Assessment
        As assessed.
    texts : iterable of WithheldText
        What is withheld.

    Returns
    -------
    Assessment
        The copy for publication.

    Raises
    ------
    CaseError
        A text to be withheld is part of something that the record cannot do without.
    """
    ordered = tuple(texts)
    if not ordered:
        return assessment
    swap = swapper(ordered)
    plain = mapped(to_plain(assessment), swap)
    try:
        return from_plain(Assessment, plain, where="the published copy")
    except InputError as error:
        raise CaseError(
            f"a text in private.toml is part of what the record is made of: give more of it ({error})"
        ) from error


Swap = Callable[[str], str]
"""Puts placeholders into a text."""


def swapper(texts: Iterable[WithheldText]) -> Swap:
    """Return what replaces every withheld text by its placeholder, the longest first.

    Parameters
    ----------
    texts : iterable of WithheldText
        What is withheld.

    Returns
    -------
    callable
        Takes a text and returns it without them.
    """
    ordered = sorted(texts, key=lambda one: -len(one.text))
    patterns = [(how_found(one.text), one.placeholder) for one in ordered]

    def swapped(text: str) -> str:
        for pattern, placeholder in patterns:
            text = pattern.sub(placeholder.replace("\\", r"\\"), text)
        return text

    return swapped


def how_found(text: str) -> re.Pattern[str]:
    """Return how a text is found: letters of either case, white space, underline or hyphen where it has a space.

    Parameters
    ----------
    text : str
        What is to be withheld.

    Returns
    -------
    re.Pattern
        It finds the text as a word of its own, not within another.

    Examples
    --------
    >>> bool(how_found("Pier 12").search("at PIER_12, left")), bool(how_found("Pier 12").search("Pier 123"))
    (True, False)
    """
    words = r"[\s_\u00a0-]+".join(re.escape(word) for word in text.split())
    left = r"(?<![^\W_])" if text[:1].isalnum() else ""
    right = r"(?![^\W_])" if text[-1:].isalnum() else ""
    return re.compile(f"{left}{words}{right}", re.IGNORECASE)


_LIKE_ASCII = (("\u0130", "i"), ("\u0131", "i"), ("\u017f", "s"), ("\u212a", "k"))
"""Letters beyond ASCII that are one with a letter of ASCII where case is not looked at."""


def folded(text: str) -> str:
    """Return a text in which a word of ASCII can be looked for without looking at case.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
        Of lower case.

    Examples
    --------
    >>> folded("PIER 12 Ω")
    'pier 12 ω'
    """
    for other, letter in _LIKE_ASCII:
        text = text.replace(other, letter)
    return text.lower()


def may_show(folded_text: str, text: str) -> bool:
    """Whether a text can be found by :func:`how_found` at all: a quick look, as most files show none of it.

    Parameters
    ----------
    folded_text : str
        Where it is looked for, from :func:`folded`.
    text : str
        What is to be withheld.

    Returns
    -------
    bool
        False only where its longest word is nowhere.

    Examples
    --------
    >>> may_show(folded("at PIER_12, left"), "Pier 12"), may_show(folded("at pie 12"), "Pier 12")
    (True, False)
    """
    word = max(text.split(), key=len, default="")
    return not word.isascii() or word.lower() in folded_text


def mapped(plain: Any, swap: Swap) -> Any:
    """Return plain values with every text exchanged; keys stay.

    Parameters
    ----------
    plain : object
        Dicts, lists, texts and numbers.
    swap : callable
        What to make of a text.

    Returns
    -------
    object
        The same, exchanged.

    Examples
    --------
    >>> mapped({"a": ["x", 1]}, str.upper)
    {'a': ['X', 1]}
    """
    match plain:
        case str():
            return swap(plain)
        case Mapping():
            return {key: mapped(value, swap) for key, value in plain.items()}
        case list() | tuple():
            return [mapped(value, swap) for value in plain]
        case _:
            return plain


def still_there(contents: Mapping[str, bytes], texts: Iterable[WithheldText]) -> tuple[str, ...]:
    """Name the files in which a withheld text can still be read.

    Parameters
    ----------
    contents : mapping of str to bytes
        What is to be published, by file name.
    texts : iterable of WithheldText
        What is withheld.

    Returns
    -------
    tuple of str
        Such as "report.html shows the order number 1".
    """
    patterns = [(one, how_found(one.text)) for one in texts]
    found = []
    for name, data in contents.items():
        text = data.decode("utf-8", "ignore")
        read = f"{name}\n{text}\n{html.unescape(text)}" if "&" in text else f"{name}\n{text}"
        quick = folded(read)
        shown = (one for one, form in patterns if may_show(quick, one.text) and form.search(read))
        found += [f"{name} shows what stands for {one.placeholder}" for one in shown]
    return tuple(found)


def bare_photographs(
    case: Case, entries: Iterable[Entry], before: WithheldMapping
) -> tuple[dict[str, bytes], tuple[PublishedPhotograph, ...], tuple[str, ...]]:
    """Return the photographs of public entries as their pixels alone, under names that tell nothing.

    Parameters
    ----------
    case : Case
        With its evidence.
    entries : iterable of Entry
        The public entries.
    before : WithheldMapping
        What earlier issues published: the same photograph keeps its name.

    Returns
    -------
    tuple
        Files by published name; the whole mapping, earlier ones first; remarks on what was left out.
    """
    known = {one.sha256: one for one in before.photographs}
    files: dict[str, bytes] = {}
    remarks: list[str] = []
    for entry in entries:
        piece = entry.evidence
        if piece is None or not piece.file:
            continue
        if not _pictured(case, entry):
            if piece.media == "photograph":
                remarks.append(f"the photograph of entry {entry.id} is left out: {NO_PICTURE}")
            continue
        try:
            data = bare_picture(case.evidence_path(piece))
        except MissingExtra as error:
            remarks.append(f"the photograph of entry {entry.id} is left out: {error}")
            continue
        except (CaptureError, CaseError) as error:
            remarks.append(f"the photograph of entry {entry.id} is left out, it cannot be read: {error}")
            continue
        one = known.get(piece.sha256) or PublishedPhotograph(
            name=f"photo-{len(known) + 1:02}.jpg",
            entry=entry.id,
            file=piece.file,
            original_name=piece.original_name,
            sha256=piece.sha256,
        )
        known[piece.sha256] = one
        files[one.name] = data
    return files, tuple(known.values()), tuple(remarks)


def _pictured(case: Case, entry: Entry) -> bool:
    assert entry.evidence is not None, "asked of entries with evidence"
    try:
        return is_picture(case.evidence_path(entry.evidence))
    except CaseError:
        return False


def renamed(
    assessment: Assessment, photographs: Iterable[PublishedPhotograph], files: Mapping[str, bytes]
) -> Assessment:
    """Return an assessment whose entries name photographs as they are published, and not as a camera named them.

    Parameters
    ----------
    assessment : Assessment
        As assessed.
    photographs : iterable of PublishedPhotograph
        The mapping.
    files : mapping of str to bytes
        Those that are published; of the others the name is withheld.

    Returns
    -------
    Assessment
        The copy for publication.
    """
    by_hash = {one.sha256: one for one in photographs}

    def shown(entry: Entry) -> Entry:
        piece = entry.evidence
        if piece is None or piece.sha256 not in by_hash:
            return entry
        name = by_hash[piece.sha256].name
        return replace(entry, evidence=replace(piece, file=name, original_name=name))

    kept = replace(assessment, entries=tuple(shown(entry) for entry in assessment.entries))
    named = [one for one in by_hash.values() if one.name in files and len(Path(one.file).stem) > len(one.name)]
    texts = [WithheldText(placeholder=one.name, text=one.file, what="photograph", found=BY_NAME) for one in named]
    return without(kept, texts)
