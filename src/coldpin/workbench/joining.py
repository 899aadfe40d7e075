"""Several specimens of one model concluded together, each from a case of its own."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from coldpin import __version__
from coldpin.casefile.case import open_case
from coldpin.casefile.private import read_mapping, read_private
from coldpin.conclusion.together import CaseAssessed, Stated, conclude_specimens
from coldpin.errors import CaseError
from coldpin.records.instrument import SHELF_FILE
from coldpin.records.together import Together
from coldpin.standards.book import load_book
from coldpin.workbench.drafting import assessment_of
from coldpin.workbench.page_writing import check_place, write_document
from coldpin.workbench.several_withheld import of_each, without_any
from coldpin.workbench.withholding import withheld_texts


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined:
    """Several specimens concluded together, and the files that this was written to."""

    together: Together
    files: tuple[Path, ...] = ()


def conclude_together(
    folders: Iterable[Path | str],
    *,
    same_model: str = "",
    apart: str = "",
    random_purchase: str = "",
    write_to: Path | str | None = None,
    progress: Callable[[float], None] | None = None,
) -> Joined:
    """Conclude from several specimens of one model; what has not changed since it was assessed is not assessed again.

    Parameters
    ----------
    folders : iterable of Path or str
        Cases, two at least; their order changes nothing.
    same_model : str
        Why specimens of other make, model or rating are of one model all the same; empty where nobody says so.
    apart : str
        How pieces that bear one serial number are told apart; empty where nobody says so.
    random_purchase : str
        How the specimens were drawn at random and independently of each other; empty where nobody says so.
    write_to : Path or str, optional
        A page (``.html``) or a sheet (``.pdf``) to write, without what the cases withhold; nothing where left out.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.

    Returns
    -------
    Joined
        The conclusion.

    Raises
    ------
    CaseError
        Fewer than two cases, a case that cannot be read (it might have been the worst), a shelf, one piece given
        twice, different models without a reason, or a file that cannot be written there.
    StorageError
        The disk refused.
    """
    if write_to is not None:
        check_place(Path(write_to))
    places = [Path(folder).absolute() for folder in folders]
    for place in places:
        if os.path.lexists(place / SHELF_FILE):
            raise CaseError(f"{place.name} is a shelf, which may hold any models: name the cases of one model on it")
        open_case(place)
    names = _names(places)
    assessed = []
    for done, (place, name) in enumerate(zip(places, names, strict=True)):
        if progress:
            progress(done / len(places))
        assessed.append(CaseAssessed(name=name, assessment=assessment_of(place)))
    together = conclude_specimens(
        assessed,
        load_book(),
        program_version=__version__,
        stated=Stated(one_model=same_model, apart=apart, random=random_purchase),
    )
    if write_to is None:
        return Joined(together=together)
    return Joined(together=together, files=(_written(_to_be_read(together, places, assessed), Path(write_to)),))


def _names(places: list[Path]) -> list[str]:
    """Return a name for each case: that of its folder, with the folder around it where two are called alike."""
    real = Counter(place.resolve() for place in places)
    twice = next((place for place in places if real[place.resolve()] > 1), None)
    if twice is not None:
        raise CaseError(f"{twice.name} is given twice: a specimen is not joined with itself")
    names = [place.name for place in places]
    for depth in range(2, max((len(place.parts) for place in places), default=0) + 1):
        counted = Counter(names)
        if all(count == 1 for count in counted.values()):
            break
        names = [
            "/".join(place.parts[-depth:]) if counted[name] > 1 else name
            for place, name in zip(places, names, strict=True)
        ]
    return names


def _to_be_read(together: Together, places: list[Path], assessed: list[CaseAssessed]) -> Together:
    """Return it without what any of the cases withholds: a page or a sheet goes from hand to hand."""
    numbers = {specimen.case: specimen.number for specimen in together.specimens}
    texts = [
        text
        for place, case in zip(places, assessed, strict=True)
        for text in of_each(
            withheld_texts(case.assessment, read_private(place), read_mapping(place)),
            f"specimen {numbers[case.name]}",
        )
    ]
    return without_any(Together, together, texts, where="the conclusion together")


def _written(together: Together, path: Path) -> Path:
    from coldpin.report.together import build_together

    return write_document(build_together(together), path, what="the conclusion together")
