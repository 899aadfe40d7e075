"""The two parts of an IEEE COMTRADE record, header and samples: what they claim, and what is there."""

from __future__ import annotations

import math
import re
import struct
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from coldpin.capture.encoding import NOT_UTF8
from coldpin.capture.record import Request
from coldpin.capture.said import Said
from coldpin.capture.source import CaptureFile
from coldpin.capture.table import LARGEST_CLAIM
from coldpin.errors import CaptureError

_LONGEST_HEADER = 1 << 20
WIDTHS = {"BINARY": 2, "BINARY32": 4, "FLOAT32": 4}
"""Bytes of an analog sample by the type of the samples; ASCII has none."""

_ROW_HEAD = struct.calcsize("<II")
_STATUS_WORD = 1 << 4
"""Status channels that share a word of two bytes."""

_COUNTS = re.compile(r"\s*\d+\s*,\s*(\d+)\s*[Aa]\s*,\s*(\d+)\s*[Dd]\s*")
_SECTION = re.compile(rb"(?im)^[ \t]*--- *file type: *([a-z]+)(?: +([a-z0-9]+))? *(?:: *(\d+))? *---[ \t]*\r?\n?")
_CONTROL_Z = "\x1a"
_WITHOUT_FRACTION = re.compile(r"(,\s*\d+:\d+:\d+)\s*$")
_LONGEST_COUNT = len(str(_LONGEST_HEADER))


@dataclass(frozen=True, slots=True, kw_only=True)
class Header:
    """The lines of a header, and what they say.

    ``analog`` and ``status`` count the channels, ``rates_line`` is the index of the first rate's line, ``rates`` hold
    each rate [Hz] with the number of its last sample, ``kind`` names the form of the samples.
    """

    lines: tuple[str, ...]
    analog: int
    status: int
    rates_line: int
    rates: tuple[tuple[float, int], ...]
    kind: str
    encoding: str
    remarks: tuple[str, ...]

    @property
    def row_size(self) -> int:
        """The size of one moment in a binary record. [byte]"""
        return _ROW_HEAD + self.analog * WIDTHS[self.kind] + 2 * math.ceil(self.status / _STATUS_WORD)

    @property
    def by_stamps(self) -> bool:
        """True if the time stamps rule, since no rate is stated."""
        return any(rate == 0.0 for rate, _ in self.rates)

    def clamped(self, rows: int) -> str:
        """Return the header with no claim beyond the rows there are, for the library, which believes all claims.

        Parameters
        ----------
        rows : int
            How many samples there are.

        Returns
        -------
        str
            The header. Without a rate it says that time stamps rule; a time without a fraction gets one.
        """
        lines, end = list(self.lines), self.rates_line + len(self.rates)
        lines[end : end + 2] = [_WITHOUT_FRACTION.sub(r"\1.000000", line) for line in lines[end : end + 2]]
        claims = ["0", f"0,{rows}"] if self.by_stamps else [str(len(self.rates))]
        claims += [] if self.by_stamps else [f"{rate!r},{min(last, rows)}" for rate, last in self.rates]
        lines[self.rates_line - 1 : end] = claims
        return "\n".join(lines)


def is_comtrade(head: bytes) -> bool:
    r"""Say whether the first bytes are those of a COMTRADE header, alone or with its samples in one file.

    Parameters
    ----------
    head : bytes
        The first bytes of the file.

    Returns
    -------
    bool
        True if the second line counts the channels of both sorts, as no other text does.

    Examples
    --------
    >>> is_comtrade(b"station,device,1999\r\n2,1A,1D\r\n"), is_comtrade(b"--- file type: CFG ---\n")
    (True, True)
    >>> is_comtrade(b"t,u\n1,2\n")
    False
    """
    if _SECTION.match(head.removeprefix(b"\xef\xbb\xbf")):
        return True
    first, _, rest = head.partition(b"\n")
    second = rest.partition(b"\n")[0].decode("latin-1").strip()
    return b"\x00" not in first and first.count(b",") in (1, 2) and bool(_COUNTS.fullmatch(second))


def read_parts(file: CaptureFile, path: Path, request: Request) -> tuple[bytes, bytes, Path | None]:
    """Return header and samples as bytes, and the file the samples came from.

    Parameters
    ----------
    file : CaptureFile
        The opened header, or the single file with both.
    path : Path
        Where it is.
    request : Request
        It may name the file of samples.

    Returns
    -------
    tuple
        Header; samples; the second file, None if both came from one.

    Raises
    ------
    CaptureError
        The samples are missing, or a file is too long.
    """
    head = file.head(_LONGEST_HEADER)
    if not _SECTION.match(head.removeprefix(b"\xef\xbb\xbf")):
        if file.size > _LONGEST_HEADER:
            raise CaptureError(f"its header has {file.size} bytes, more than {_LONGEST_HEADER}: it is no such header")
        companion = request.companion or _beside(path)
        with CaptureFile(companion) as other:
            return head, _all(other), companion
    content, parts = _all(file), {}
    place = 0
    while (found := _SECTION.search(content, place)) is not None:
        name, kind, size = found[1].upper(), (found[2] or b"ASCII").upper(), found[3]
        if name == b"DAT" and kind != b"ASCII":
            parts[name] = content[found.end() :][: None if size is None else int(size)]
            break
        after = _SECTION.search(content, found.end())
        parts[name] = content[found.end() : len(content) if after is None else after.start()]
        place = found.end()
    if b"CFG" not in parts or b"DAT" not in parts:
        raise CaptureError(
            "it has no section of the header (CFG) or none of the samples (DAT): export the record again"
        )
    return parts[b"CFG"], parts[b"DAT"], None


def _all(file: CaptureFile) -> bytes:
    if file.size > LARGEST_CLAIM:
        raise file.error(f"it has {file.size} bytes, more than {LARGEST_CLAIM >> 30} GiB: cut it into shorter ones")
    return file.head(file.size)


def _beside(path: Path) -> Path:
    """Return the file of samples beside a header, capitals in its ending or not."""
    endings = (".DAT", ".dat") if path.suffix.isupper() else (".dat", ".DAT")
    wanted = [path.with_suffix(ending) for ending in endings]
    found = next((other for other in wanted if other.is_file()), None)
    if found is None:
        raise CaptureError(
            f"this is the header of a COMTRADE record; its samples should stand beside it in {wanted[0].name}, which "
            "is not there: copy both files together, or export the record as one .cff file"
        )
    return found


def read_header(head: bytes, said: Said) -> Header:
    """Read the header of a record, as far as its claims have to be held against the samples.

    Parameters
    ----------
    head : bytes
        The header.
    said : Said
        What was said; it may name the encoding.

    Returns
    -------
    Header
        The header.

    Raises
    ------
    CaptureError
        It is damaged or cut short; the message names the line.
    """
    text, encoding, remarks = _decoded(head, said)
    lines = [line.strip() for line in text.replace(_CONTROL_Z, "").splitlines()]
    counts = _COUNTS.fullmatch(lines[1]) if len(lines) > 1 else None
    if counts is None:
        raise CaptureError("its second line does not count the channels, as in '6,4A,2D': it is damaged; copy it again")
    analog, status = (min(int(count[:_LONGEST_COUNT]), _LONGEST_HEADER) for count in counts.groups())
    rates_line = 2 + analog + status + 2
    if len(lines) < rates_line + 4:
        raise CaptureError(
            f"its header counts {analog} analog and {status} status channels, but has {len(lines)} lines, which is too "
            "few: it is cut short; copy it again"
        )
    if not analog:
        raise CaptureError("it has no analog channel, only status channels: nothing in it can be the voltage")
    _check_factors(lines[2 : 2 + analog])
    rates, kind = _rates(lines, rates_line)
    return Header(
        lines=tuple(lines),
        analog=analog,
        status=status,
        rates_line=rates_line,
        rates=rates,
        kind=kind,
        encoding=encoding,
        remarks=remarks,
    )


def _decoded(head: bytes, said: Said) -> tuple[str, str, tuple[str, ...]]:
    by_hand = said.choices.encoding
    kept = said.base.encoding if "encoding" in said.kept else ""
    for encoding in filter(None, (by_hand, kept, "utf-8")):
        try:
            return head.decode(encoding).removeprefix("\ufeff"), encoding, ()
        except UnicodeError as error:
            if by_hand:
                raise CaptureError(f"its header is not {encoding} text ({error}): say another --encoding") from None
    return head.decode("latin-1"), "latin-1", (NOT_UTF8,)


def _check_factors(channels: Sequence[str]) -> None:
    """Refuse a factor or an offset that is no finite number; what is no number at all the library names."""
    for line, channel in enumerate(channels, start=3):
        for cell in map(str.strip, channel.split(",")[5:7]):  # after number, name, phase, circuit and unit
            if _is_number(cell) and not math.isfinite(float(cell or "0")):
                raise CaptureError(
                    f"line {line} of its header states {cell[:20]!r} as factor or offset of a channel, no finite "
                    "number: it is damaged; copy it again"
                )


def _rates(lines: Sequence[str], first: int) -> tuple[tuple[tuple[float, int], ...], str]:
    """Return the rates with their last samples, and the kind of the samples."""
    rates, at = [], first - 1
    try:
        count = max(int(lines[at]), 1)
        for at in range(first, min(first + count, len(lines))):
            rate, end = lines[at].split(",")
            rates.append((float(rate), int(end)))
        at = first + count + 2
        kind = lines[at].upper()
    except (ValueError, IndexError):
        shown = lines[at][:60] if at < len(lines) else ""
        raise CaptureError(
            f"line {at + 1} of its header should tell rates and last samples, as in '4800,960', but is {shown!r}: "
            "it is damaged; copy it again"
        ) from None
    if not all(rate == 0.0 or (0.0 < rate < math.inf and math.isfinite(1.0 / rate)) for rate, _ in rates):
        raise CaptureError(f"its header states a rate of {min(rate for rate, _ in rates):g} Hz: it is damaged")
    if kind not in (*WIDTHS, "ASCII"):
        raise CaptureError(
            f"line {at + 1} of its header names samples of the kind {kind[:20]!r}; read are ASCII, "
            f"{', '.join(WIDTHS)}: export the record again"
        )
    return tuple(rates), kind


def count_rows(header: Header, samples: bytes) -> tuple[int, str | bytes, tuple[str, ...]]:
    """Return how many samples are there and may be used.

    Parameters
    ----------
    header : Header
        The header.
    samples : bytes
        The samples, as text or binary.

    Returns
    -------
    tuple
        The number; the samples, of a text without blanks around its fields; remarks.

    Raises
    ------
    CaptureError
        A row of a text has another number of fields, or there are no samples.
    """
    claimed = header.rates[-1][1]
    remarks: list[str] = []
    content: str | bytes
    if header.kind == "ASCII":
        lines, cut = _ascii_rows(header, samples)
        there, content = len(lines), "\n".join(lines)
        remarks += cut
    else:
        there, odd = divmod(len(samples), header.row_size)
        content = samples
        if odd and samples[-odd:].strip(_CONTROL_Z.encode()):
            remarks.append(f"behind the last whole row of samples {odd} byte{'s' * (odd > 1)} were left out")
    if claimed > there:
        remarks.append(f"the header claims {claimed} samples, {there} are there: cut short; what is there was read")
    elif there > claimed > 0:
        remarks.append(f"the header claims {claimed} samples, {there} are there: those beyond the claim were left out")
    rows = min(there, claimed)
    if rows < 1:
        raise CaptureError("it holds no samples: export the record again")
    return rows, content, tuple(remarks)


def _is_number(cell: str) -> bool:
    try:
        float(cell or "0")
    except ValueError:
        return False
    return True


def _ascii_rows(header: Header, samples: bytes) -> tuple[list[str], tuple[str, ...]]:
    """Return the rows of a text without blanks around its fields; a last row that is short is left out."""
    text = samples.decode("latin-1").replace(_CONTROL_Z, "")
    fields = 2 + header.analog + header.status
    lines, rows = text.splitlines(), list[str]()
    without_end = 0 if text.endswith("\n") else len(lines)
    for line, row in enumerate(lines, start=1):
        cells = [cell.strip() for cell in row.split(",")]
        if cells == [""]:
            continue
        cut = line == without_end and rows and (len(cells) < fields or not _is_number(cells[-1]))
        if cut or len(cells) != fields:
            if cut:
                return rows, (f"the last row of samples is cut short ({row[:60]!r}); it was left out",)
            raise CaptureError(
                f"row {line} of its samples has {len(cells)} fields; {fields} are counted by the header "
                f"({row[:60]!r}): the record is damaged; copy it again"
            )
        rows.append(",".join(cells))
    return rows, ()
