"""Packing a case so that somebody else can compute it again, and checking what somebody else packed."""

from __future__ import annotations

import os
import re
import secrets
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory

from coldpin import __version__
from coldpin.casefile.archive import pack, unpack
from coldpin.casefile.bag import PAYLOAD, check_bag, make_bag
from coldpin.casefile.portable import Copied, copy_whole
from coldpin.casefile.private import read_mapping, read_private
from coldpin.casefile.storage import LOCK, TEMPORARY, Unfinished, disk_refusals, make_folder
from coldpin.casefile.untrusted import MAXIMUM_TEXT, open_regular, parse_json, read_regular
from coldpin.errors import CaseError, ColdpinError
from coldpin.records.assessment import Assessment, Problem
from coldpin.records.bundle import BUNDLE_SCHEMA, Bundle, BundleCheck, Difference, Recomputed
from coldpin.records.plain import from_plain, to_json
from coldpin.workbench.assessing import assess
from coldpin.workbench.clock import now as clock
from coldpin.workbench.environment import environment
from coldpin.workbench.public_copy import PublicCopy
from coldpin.workbench.recomputed import MOST_SHOWN, compare_records
from coldpin.workbench.rendering import render
from coldpin.workbench.shelving import open_bench
from coldpin.workbench.withholding import swapper, withheld_in

ABOUT = "bundle.json"
RECORD = "report/assessment.json"
BUNDLE = "bundle.zip"
"""What a bundle made for handing on is called among the drafts of its case."""

MAXIMUM_RECORD = 1 << 30
"""Largest record of a bundle that is read. [bytes]"""

_CHUNK = 1 << 20
_RANDOM = 8
"""Ours: bytes of chance in the name of a file that is being made. [bytes]"""
_UNWANTED = re.compile(r"[^\w.+-]+")
_PLAIN_NAME = re.compile(r"\w[\w.+-]{0,79}")
_LONGEST_NAME = 80


@dataclass(frozen=True, slots=True, kw_only=True)
class Bundled:
    """A bundle that was made: where it stands, what it says of itself, the assessment in it; what may tell too much."""

    path: Path
    about: Bundle
    assessment: Assessment
    remarks: tuple[str, ...] = ()


def bundle(
    folder: Path | str,
    target: Path | str | None = None,
    *,
    private: bool = False,
    on: str | None = None,
    progress: Callable[[float], None] | None = None,
) -> Bundled:
    """Pack a case as a zipped bag (RFC 8493): record, evidence, report, program version, environment.

    The record in the bundle is made from the copy of the case in it, so that everybody can make it again.

    Parameters
    ----------
    folder : Path or str
        The case.
    target : Path or str, optional
        The file to write; the case's name with ``.zip`` in the present folder where left out.
    private : bool
        True to pack everything: private entries, comments, what was published, files as they came; else what may be
        seen by anybody, with private texts withheld and pictures as their pixels alone.
    on : str, optional
        Day on which it is made, as 2026-05-30; today's where left out.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.

    Returns
    -------
    Bundled
        The file, and what was left out.

    Raises
    ------
    CaseError
        The case cannot be read, the file is there already, or something private would show.
    StorageError
        The disk refused; there is no bundle.
    """
    bench = open_bench(folder)
    shown = None if private else PublicCopy.of(bench)
    name = plain_name(bench.case.folder.name if shown is None else shown.told(bench.case.folder.name))
    place = Path(target) if target is not None else Path(f"{name}.zip")
    if os.path.lexists(place):
        raise CaseError(f"{place} is there already: give another name with --to, or move it away")
    with TemporaryDirectory(prefix="coldpin-bundle-") as desk:
        inside = Path(desk) / name
        inside.mkdir()
        if shown is None:
            copied = copy_whole(bench.case, bench.shelf, inside, name=name)
        else:
            copied = shown.write(inside, name=name)
        assessment = assess(copied.case.folder, progress=progress)
        for file, data in zip((RECORD, "report/report.html", "report/report.pdf"), render(assessment), strict=True):
            copied.case.write_report(Path(file).name, data)
        about = _about(copied, name, assessment, private=private, on=on or clock().date().isoformat())
        (inside / ABOUT).write_text(to_json(about), encoding="utf-8")
        for lock in inside.rglob(LOCK):
            lock.unlink()
        if shown is not None:
            shown.refuse_what_shows(inside)
            shown.keep_mapping()
        make_bag(inside, _bag_info(about))
        packed = Path(desk) / "bundle.zip"
        pack(inside, packed)
        _place(packed, place)
    remarks = () if shown is None else shown.remarks
    return Bundled(path=place, about=about, assessment=assessment, remarks=remarks)


def bundle_for_handing_on(
    folder: Path | str, *, on: str | None = None, progress: Callable[[float], None] | None = None
) -> Bundled:
    """Pack a case as anybody may have it, into its own folder of drafts, in the place of the bundle before.

    Parameters
    ----------
    folder : Path or str
        The case.
    on : str, optional
        Day on which it is made, as 2026-05-30; today's where left out.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.

    Returns
    -------
    Bundled
        The file, and what was left out.

    Raises
    ------
    CaseError
        The case cannot be read, or something private would show.
    StorageError
        The disk refused; the bundle before is still there.
    """
    drafts = open_bench(folder).case.folder / "report"
    make_folder(drafts, what="the folder 'report'")
    aside = drafts / f"{TEMPORARY}{secrets.token_hex(_RANDOM)}.zip"
    try:
        made = bundle(folder, aside, on=on, progress=progress)
        with disk_refusals("the bundle", drafts):
            aside.replace(drafts / BUNDLE)
    finally:
        aside.unlink(missing_ok=True)
    return replace(made, path=drafts / BUNDLE)


def plain_name(text: str) -> str:
    """Return a name for a file or a folder that every system takes.

    Parameters
    ----------
    text : str
        What it is called.

    Returns
    -------
    str
        Letters, digits, points, hyphens and underlines; at most eighty.

    Examples
    --------
    >>> plain_name("../a & b"), plain_name("..")
    ('a_b', 'case')
    """
    return _UNWANTED.sub("_", text)[:_LONGEST_NAME].strip("._-") or "case"


def public_name(folder: Path | str) -> str:
    """Return what the files of a case are called when they are handed on: its folder's name without what is private.

    Parameters
    ----------
    folder : Path or str
        The case.

    Returns
    -------
    str
        As :func:`plain_name` makes it.

    Raises
    ------
    CaseError
        The case, its ``private.toml`` or its mapping cannot be read.
    """
    case = open_bench(folder).case
    swap = swapper(withheld_in((case.folder.name,), read_private(case.folder), read_mapping(case.folder)))
    return plain_name(swap(case.folder.name))


def check_bundle(path: Path | str, *, progress: Callable[[float], None] | None = None) -> BundleCheck:
    """Check a bundle against its manifests, and compute its record again from its evidence.

    Parameters
    ----------
    path : Path or str
        The file.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.

    Returns
    -------
    BundleCheck
        What is changed, missing or added, and each place where the record computed anew says something else.

    Raises
    ------
    CaseError
        It is no bundle, or one that is refused: it leads out of its folder, holds links or a name twice, or would fill
        the disk.
    StorageError
        There is no room to unpack it.
    """
    source = Path(path)
    with TemporaryDirectory(prefix="coldpin-check-") as desk:
        unpacked = unpack(source, Path(desk))
        problems = list(check_bag(unpacked.folder))
        if unpacked.sealed is False:
            told = "its bytes are not those that were packed: fetch the bundle again from where it came"
            problems.insert(0, Problem(where=source.name, what=told))
        shelf = unpacked.folder / PAYLOAD
        about = _read_about(shelf)
        outcome, remarks = Recomputed.NOT_DONE, list[str]()
        differences: tuple[Difference, ...] = ()
        unused: tuple[Problem, ...] = ()
        same = about.environment.program_version == __version__
        if unpacked.sealed is None:
            remarks.append("the archive was packed by another program than ours; its files are as listed in the bag")
        if problems:
            remarks.append("nothing was computed from a bundle that is not as it was made")
        else:
            remarks += _apart(about, same=same)
            bundled = parse_json(read_regular(shelf / about.record, limit=MAXIMUM_RECORD), where=about.record)
            try:
                anew = assess(shelf / about.case, progress=progress)
                plain = parse_json(to_json(anew).encode(), where="the record computed anew")
                outcome, differences = compare_records(bundled, plain, same_version=same)
                unused = anew.problems
            except ColdpinError as error:
                told = f"cannot be computed: {str(error).replace(desk + os.sep, '')}"
                problems.append(Problem(where=about.case, what=told))
        if len(differences) > MOST_SHOWN:
            remarks.append(f"{len(differences)} differences; the first {MOST_SHOWN} are listed")
    return BundleCheck(
        schema="coldpin.bundle_check/1",
        file=source.name,
        title=about.title,
        made_on=about.made_on,
        made_with=about.environment.program_version,
        checked_with=__version__,
        same_version=same,
        files=unpacked.files,
        sealed=unpacked.sealed,
        outcome=outcome,
        differences=differences[:MOST_SHOWN],
        problems=tuple(problems),
        remarks=tuple(remarks),
        unused=unused,
    )


def _about(copied: Copied, name: str, assessment: Assessment, *, private: bool, on: str) -> Bundle:
    return Bundle(
        schema="coldpin.bundle/1",
        title=assessment.title,
        made_on=on,
        case=name,
        record=f"{name}/{RECORD}",
        private=private,
        left_out=copied.left_out,
        environment=environment(),
        withheld=copied.withheld,
        changed=copied.changed,
    )


def _bag_info(about: Bundle) -> dict[str, str]:
    """Return what ``bag-info.txt`` says, with the names that RFC 8493, 2.2.2, reserves."""
    title = " ".join(about.title.split())
    return {
        "External-Description": f"coldpin case: {title}",
        "Bagging-Date": about.made_on,
        "Bag-Software-Agent": f"coldpin {about.environment.program_version}",
    }


def _read_about(shelf: Path) -> Bundle:
    plain = parse_json(read_regular(shelf / ABOUT, limit=MAXIMUM_TEXT), where=ABOUT)
    if plain.get("schema") != BUNDLE_SCHEMA:
        raise CaseError(f"{ABOUT}: is of schema {str(plain.get('schema'))[:60]!r}; this program reads {BUNDLE_SCHEMA}")
    about = from_plain(Bundle, plain, where=ABOUT)
    if not _PLAIN_NAME.fullmatch(about.case) or about.record != f"{about.case}/{RECORD}":
        raise CaseError(f"{ABOUT}: case {about.case[:80]!r} is no plain name of a folder: this is no bundle of ours")
    return about


def _apart(about: Bundle, *, same: bool) -> list[str]:
    """Say in what the program that checks is not the one that made the bundle."""
    made, here = about.environment, environment()
    if not same:
        return [f"made with coldpin {made.program_version}, checked with {here.program_version}: wording may differ"]
    libraries = {library.name: library.version for library in here.libraries}
    other = [f"{had.name} {had.version}" for had in made.libraries if libraries.get(had.name) != had.version]
    told = [f"made with {', '.join(other)}, which differ here"] if other else []
    if made.source != here.source:
        told.append("the files of the program are not those it was made with, though their version is the same")
    return told


def _place(packed: Path, place: Path) -> None:
    """Give the finished archive its name, if no other file has it."""
    if not place.parent.is_dir():
        raise CaseError(f"{place.parent} is no folder: make it, or give another name with --to")
    with (
        disk_refusals("the bundle", place.parent),
        open_regular(packed) as source,
        Unfinished(place.parent) as unfinished,
    ):
        while piece := os.read(source, _CHUNK):
            unfinished.write(piece)
        if not unfinished.place_new(place):
            raise CaseError(f"{place} is there already: give another name with --to, or move it away")
