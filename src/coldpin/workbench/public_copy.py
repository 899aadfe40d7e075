"""A case copied as anybody may have it: what is published of it, with its evidence, so that it computes to the same."""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar

from coldpin.capture.bare_picture import is_picture
from coldpin.casefile import Case
from coldpin.casefile.boards import MEDIA as BOARD
from coldpin.casefile.description import CASE_FILE, render_description
from coldpin.casefile.entries import write_entry
from coldpin.casefile.evidence import HASH_LETTERS, name_for
from coldpin.casefile.portable import Copied, copy_file, not_shown
from coldpin.casefile.private import keep_mapping, read_mapping, read_private
from coldpin.casefile.shelf import render_shelf
from coldpin.casefile.storage import make_folder, write_new
from coldpin.casefile.untrusted import MAXIMUM_TEXT, names_in, parse_json, printable, read_regular, walk
from coldpin.errors import CaseError, InputError
from coldpin.quantity import parse_quantity
from coldpin.records.case import CaseDescription
from coldpin.records.dialect import Dialect
from coldpin.records.entry import Entry, EvidenceFile
from coldpin.records.instrument import SHELF_FILE, ShelfDescription
from coldpin.records.plain import from_plain, to_json, to_plain
from coldpin.records.withheld import ChangedFile, PublishedPhotograph, WithheldMapping
from coldpin.workbench.privacy import public_entries
from coldpin.workbench.public_files import (
    PublicFile,
    in_files,
    public_file,
    public_picture,
    telling_columns,
    told_in_file,
    told_of_columns,
)
from coldpin.workbench.shelving import Bench
from coldpin.workbench.withholding import Swap, entry_texts, mapped, still_there, swapper, withheld_in

_MEASURED = ("readings", "answer", "pairs", "instrument", "supply_voltage", "ambient", "humidity", "shows", "made")
"""Members of an entry that results are computed from: no placeholder may stand in them."""

T = TypeVar("T")

_HASH = re.compile(rf"-[0-9a-f]{{{HASH_LETTERS}}}(?=\.geojson$)")
_WITHOUT_TEXT = (".pdf", ".jpg", ".jpeg", ".png", ".tif", ".tiff", ".webp", ".npz", ".npy", ".parquet", ".wav")
"""Files of the copy that were looked through when they were copied, or are made from the same record."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Handed:
    """A file of the case and what of it is handed on; ``file`` is how the copy names it."""

    source: Path | None
    file: EvidenceFile
    public: PublicFile


@dataclass(frozen=True, slots=True, kw_only=True)
class PublicCopy:
    """What of a case may be handed on, before it is written anywhere; ``remarks`` say what may tell too much."""

    bench: Bench
    shown: tuple[Entry, ...]
    mapping: WithheldMapping
    files: Mapping[tuple[str, str], _Handed]
    remarks: tuple[str, ...] = ()

    @classmethod
    def of(cls, bench: Bench) -> PublicCopy:
        """Look through a case.

        Parameters
        ----------
        bench : Bench
            The case with its shelf.

        Returns
        -------
        PublicCopy
            What may be handed on of it.

        Raises
        ------
        CaseError
            The case, its ``private.toml`` or its mapping cannot be read.
        """
        case = bench.case
        shown = public_entries(case.effective())
        private, before = read_private(case.folder), read_mapping(case.folder)
        filed = {
            (file.media, file.file): (entry, file)
            for entry in shown
            for file in (entry.evidence.files if entry.evidence else ())
        }
        placed = {key: _placed(case, file) for key, (_, file) in filed.items()}
        told = {key: told_in_file(path, filed[key][1]) for key, (path, _) in placed.items() if path is not None}
        texts = withheld_in(
            (
                *_strings(case.description()),
                *_strings(_shelf(bench)),
                *entry_texts(shown),
                case.folder.name,
                *(text for text, of_instrument in told.values() if not of_instrument),
            ),
            private,
            before,
            heads=(text for text, of_instrument in told.values() if of_instrument),
        )
        mapping = replace(before, texts=texts)
        handed: dict[tuple[str, str], _Handed] = {}
        swap = swapper(texts)
        pictures: dict[str, str] = {}
        for key, (entry, file) in filed.items():
            path, why = placed[key]
            if path is None:
                handed[key] = _Handed(source=None, file=_named(file, swap), public=PublicFile(why=why))
            elif is_picture(path):
                handed[key], mapping = _picture(path, entry, file, swap, mapping)
                pictures[file.sha256] = handed[key].file.sha256
        pictures = {old: new for old, new in pictures.items() if old != new}
        for key, (_, file) in filed.items():
            path, _ = placed[key]
            if key not in handed and path is not None:
                handed[key] = _other(path, file, swap, public_file(path, file, texts, pictures))
        remarks = tuple(
            f"{handed[key].file.file}: {swap(columns)}"
            for key, (text, of_instrument) in told.items()
            if of_instrument and not handed[key].public.why and (columns := told_of_columns(telling_columns(text)))
        )
        mapping = _with_files(mapping, filed, handed)
        return cls(bench=bench, shown=shown, mapping=mapping, files=handed, remarks=remarks)

    def told(self, text: str) -> str:
        """Return a text without what is withheld.

        Parameters
        ----------
        text : str
            Any text.

        Returns
        -------
        str
            With placeholders.
        """
        return swapper(self.mapping.texts)(text)

    def write(self, target: Path, *, name: str) -> Copied:
        """Write the copy.

        Comments in the files that people write are left out.

        Parameters
        ----------
        target : Path
            An empty folder, which becomes the shelf of the copy.
        name : str
            The folder of the copy.

        Returns
        -------
        Copied
            The copy.

        Raises
        ------
        CaseError
            ``case.toml`` cannot be read, or a text to be withheld is part of what results are computed from.
        StorageError
            The disk refused.
        """
        case, shelf, swap = self.bench.case, self.bench.shelf, swapper(self.mapping.texts)
        make_folder(target / name, what="the copy")
        if shelf is not None:
            description = _without(ShelfDescription, shelf.description(), swap, where=SHELF_FILE)
            write_new(target / SHELF_FILE, render_shelf(description), what=SHELF_FILE)
            used = {entry.instrument for entry in self.shown}
            self._write_dialects(shelf.folder / "dialects", target / "dialects", {one: one for one in used})
        described = _without(CaseDescription, case.description(), swap, where=CASE_FILE)
        write_new(target / name / CASE_FILE, render_description(described), what=CASE_FILE)
        make_folder(target / name / "entries", what="the copy")
        for entry in self.shown:
            self._write_entry(entry, target / name / "entries", swap)
        for one in self.files.values():
            _write_file(one, target / name)
        hashes = {
            file.sha256: self.files[file.media, file.file].file.sha256
            for entry in self.shown
            if entry.evidence
            for file in entry.evidence.files
        }
        self._write_dialects(case.folder / "dialects", target / name / "dialects", hashes)
        changed = [f"{one.file.file}: {one.public.changed}" for one in self.files.values() if one.public.changed]
        missing = [f"{one.file.file}: {one.public.why}" for one in self.files.values() if one.public.why]
        return Copied(
            case=Case(target / name),
            left_out=(*not_shown(case, self.shown), *missing),
            withheld=tuple(self._withheld(target)),
            changed=tuple(changed),
        )

    def refuse_what_shows(self, folder: Path) -> None:
        """Refuse a copy in which a withheld text can still be read, in a file or in its name.

        Parameters
        ----------
        folder : Path
            The copy, with the reports made from it.

        Raises
        ------
        CaseError
            Something shows.
        """
        if not self.mapping.texts:
            return
        seen = (path for path in sorted(folder.rglob("*")) if path.is_file())
        for path in seen:
            name = path.relative_to(folder).as_posix()
            instrument = {"evidence", "boards"} & set(path.parts)
            searched = instrument or path.suffix.lower() in _WITHOUT_TEXT
            data = b"" if searched else path.read_bytes()
            if shown := still_there({name: data}, self.mapping.texts):
                raise CaseError(f"{shown[0]}: nothing was packed; give more of the text in private.toml, or rename it")

    def keep_mapping(self) -> None:
        """Keep what stands for what in the case.

        Raises
        ------
        StorageError
            The disk refused.
        """
        if self.mapping != WithheldMapping():
            keep_mapping(self.bench.case.folder, self.mapping)

    def _withheld(self, target: Path) -> Iterator[str]:
        """Name the placeholders that stand in the copy."""
        files = [path for path in target.rglob("*") if path.is_file() and path.suffix in (".json", ".toml", ".geojson")]
        read = "\n".join(path.read_text(encoding="utf-8", errors="ignore") for path in files)
        changed = "\n".join(one.public.changed for one in self.files.values())
        for one in self.mapping.texts:
            if one.placeholder in read or one.placeholder in changed:
                yield f"{one.placeholder}: {one.found}"

    def _write_entry(self, entry: Entry, folder: Path, swap: Swap) -> None:
        found = _without(Entry, entry, swap, where=f"entry {entry.id}")
        _refuse_results(entry, found)
        evidence = entry.evidence
        if evidence is not None:
            found = replace(found, evidence=self._evidence(evidence, swap))
        if found == entry:
            copy_file(self.bench.case.folder / "entries" / f"{entry.id}.json", folder / f"{entry.id}.json")
        else:
            write_entry(folder, found)

    def _evidence(self, file: EvidenceFile, swap: Swap) -> EvidenceFile:
        companion = None if file.companion is None else self._evidence(file.companion, swap)
        if not file.file:
            return replace(_named(file, swap), companion=companion)
        return replace(self.files[file.media, file.file].file, companion=companion)

    def _write_dialects(self, source: Path, target: Path, known: Mapping[str, str]) -> None:
        """Copy the dialects of what is known, under the name it has in the copy."""
        swap = in_files(self.mapping.texts)
        for name in names_in(source):
            stem, log = name.removesuffix(".json"), ""
            if stem.endswith(".log."):
                stem, log = stem.removesuffix(".log."), ".log."
            if stem not in known:
                continue
            where = f"dialects/{name}"
            held = from_plain(
                Dialect, parse_json(read_regular(source / name, limit=MAXIMUM_TEXT), where=where), where=where
            )
            exchanged = _without(Dialect, held, swap, where=where)
            make_folder(target, what="the copy")
            if exchanged == held and known[stem] == stem:
                copy_file(source / name, target / name)
            else:
                write_new(target / f"{known[stem]}{log}.json", to_json(exchanged).encode(), what=where)


def _placed(case: Case, file: EvidenceFile) -> tuple[Path | None, str]:
    """Return where a file stands, or why it cannot be opened."""
    try:
        return case.evidence_path(file), ""
    except CaseError as error:
        return None, printable(str(error).replace(f"{case.folder}{os.sep}", ""))


def _named(file: EvidenceFile, swap: Swap) -> EvidenceFile:
    """Return a piece of evidence with its names exchanged, and nothing else."""
    name = swap(file.file)
    if name != file.file:
        name = name_for(swap(file.original_name or file.file), file.sha256)
    return replace(file, file=name, original_name=swap(file.original_name), address=swap(file.address), companion=None)


def _picture(
    path: Path, entry: Entry, file: EvidenceFile, swap: Swap, mapping: WithheldMapping
) -> tuple[_Handed, WithheldMapping]:
    """Hand a picture on under the name that it has in the issues, where it is made anew."""
    public = public_picture(path)
    if public.data is None:
        return _Handed(source=path, file=_named(file, swap), public=public), mapping
    known = {one.sha256: one for one in mapping.photographs}
    one = known.get(file.sha256) or PublishedPhotograph(
        name=f"photo-{len(known) + 1:02}.jpg",
        entry=entry.id,
        file=file.file,
        original_name=file.original_name,
        sha256=file.sha256,
    )
    made = replace(_anew(file, public.data), file=one.name, original_name=one.name)
    mapping = replace(mapping, photographs=tuple({**known, file.sha256: one}.values()))
    return _Handed(source=path, file=made, public=public), mapping


def _other(path: Path, file: EvidenceFile, swap: Swap, public: PublicFile) -> _Handed:
    named = _named(file, swap)
    if public.data is not None:
        made = _anew(named, public.data)
        letters = made.sha256[:HASH_LETTERS]
        name = _HASH.sub(f"-{letters}", named.file) if file.media == BOARD else ""
        named = replace(made, file=name or name_for(named.original_name or named.file, made.sha256))
    return _Handed(source=path, file=named, public=public)


def _anew(file: EvidenceFile, data: bytes) -> EvidenceFile:
    return replace(file, sha256=hashlib.sha256(data).hexdigest(), size=len(data), companion=None)


def _with_files(
    mapping: WithheldMapping,
    filed: Mapping[tuple[str, str], tuple[Entry, EvidenceFile]],
    handed: Mapping[tuple[str, str], _Handed],
) -> WithheldMapping:
    """Add which file of the case each changed file is made from."""
    known = {one.sha256: one for one in mapping.files}
    for key, (_, file) in filed.items():
        made = handed[key].file
        if (made.file, made.sha256) != (file.file, file.sha256):
            known[made.sha256] = ChangedFile(
                file=made.file, sha256=made.sha256, original=file.file, original_sha256=file.sha256
            )
    return replace(mapping, files=tuple(known.values()))


def _write_file(one: _Handed, target: Path) -> None:
    if one.public.why or one.source is None:
        return
    place = target / one.source.parent.name / one.file.file
    if one.public.data is None:
        copy_file(one.source, place)
        return
    make_folder(place.parent, what="the copy")
    write_new(place, one.public.data, what=f"a copy of {one.file.file!r}")


def _refuse_results(entry: Entry, found: Entry) -> None:
    """Refuse to withhold what something is computed from: the copy would come to other results."""
    changed = [name for name in _MEASURED if getattr(entry, name) != getattr(found, name)]
    changed += [
        name for name, said in entry.conditions.items() if found.conditions[name] != said and _is_quantity(said)
    ]
    if changed:
        raise CaseError(
            f"a text in private.toml stands in {changed[0]!r} of entry {entry.id}, which results rest on: give more of "
            "it, or correct the entry"
        )


def _is_quantity(text: str) -> bool:
    try:
        parse_quantity(text)
    except InputError:
        return False
    return True


def _without(kind: type[T], record: T, swap: Swap, *, where: str) -> T:
    """Return a record with its texts exchanged; keys stay."""
    try:
        return from_plain(kind, mapped(to_plain(record), swap), where=where)
    except InputError as error:
        raise CaseError(
            f"a text in private.toml is part of what the record is made of: give more of it ({error})"
        ) from error


def _shelf(bench: Bench) -> object:
    return () if bench.shelf is None else bench.shelf.description()


def _strings(record: object) -> Iterable[str]:
    return (value for _, value in walk(record) if isinstance(value, str))
