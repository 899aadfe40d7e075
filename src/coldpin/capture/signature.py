"""What a file is by its first bytes, whatever its name says."""

from __future__ import annotations

_SIGNATURES: tuple[tuple[int, bytes, str], ...] = (
    (0, b"\x89PNG\r\n\x1a\n", "a PNG picture"),
    (0, b"\xff\xd8\xff", "a JPEG picture"),
    (0, b"GIF8", "a GIF picture"),
    (0, b"BM", "a BMP picture"),
    (0, b"II*\x00", "a TIFF picture"),
    (0, b"MM\x00*", "a TIFF picture"),
    (8, b"WEBP", "a WebP picture"),
    (8, b"WAVE", "a WAV sound file"),
    (8, b"AVI ", "an AVI video"),
    (4, b"ftyp", "an MP4 or HEIF file (video or picture)"),
    (0, b"\x1aE\xdf\xa3", "a Matroska video"),
    (0, b"OggS", "an Ogg sound file"),
    (0, b"fLaC", "a FLAC sound file"),
    (0, b"ID3", "an MP3 sound file"),
    (0, b"%PDF", "a PDF document"),
    (0, b"{\\rtf", "a rich-text document"),
    (0, b"PK\x03\x04", "a ZIP archive (spreadsheets are ZIP archives too)"),
    (0, b"PK\x05\x06", "an empty ZIP archive"),
    (0, b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "an old office document (a spreadsheet, perhaps)"),
    (0, b"\x1f\x8b", "a gzip archive"),
    (0, b"BZh", "a bzip2 archive"),
    (0, b"\xfd7zXZ\x00", "an xz archive"),
    (0, b"\x28\xb5\x2f\xfd", "a Zstandard archive"),
    (0, b"7z\xbc\xaf\x27\x1c", "a 7-Zip archive"),
    (257, b"ustar", "a tar archive"),
    (0, b"\x89HDF\r\n\x1a\n", "an HDF5 file"),
    (0, b"MATLAB 5.0 MAT-file", "a MAT file, version 5"),
    (0, b"PAR1", "a Parquet file"),
    (0, b"\x93NUMPY", "a NumPy array"),
    (0, b"SQLite format 3\x00", "an SQLite database"),
    (0, b"\x7fELF", "a program"),
    (0, b"MZ\x90\x00", "a program"),
    (0, b"#!/", "a script"),
)

_MARKUP: tuple[tuple[bytes, str], ...] = (
    (b"<!doctype html", "a web page (HTML)"),
    (b"<html", "a web page (HTML)"),
    (b"<?xml", "an XML document"),
    (b"<svg", "an SVG drawing"),
    (b'{"', "a JSON document"),
    (b"[{", "a JSON document"),
)

_CONTROL = bytes(set(range(0x20)) - set(b"\t\n\f\r\x1a"))

UTF16_MARKS = (b"\xff\xfe", b"\xfe\xff")
UTF8_MARK = b"\xef\xbb\xbf"


def content_signature(head: bytes) -> str:
    r"""Say what a file is by the bytes it begins with.

    Parameters
    ----------
    head : bytes
        The first bytes of the file; 512 are enough.

    Returns
    -------
    str
        A name with its article ("a PNG picture"), or the empty text for what has no signature, such as text.

    Examples
    --------
    >>> content_signature(b"RIFF$\x00\x00\x00WAVEfmt "), content_signature(b"Time,Voltage")
    ('a WAV sound file', '')
    """
    for offset, mark, name in _SIGNATURES:
        if head[offset : offset + len(mark)] == mark:
            return name
    opening = head.removeprefix(UTF8_MARK).lstrip()[:32].lower()
    for mark, name in _MARKUP:
        if opening.startswith(mark):
            return name
    return ""


def is_text(head: bytes) -> bool:
    r"""Say whether the first bytes of a file can be text.

    Parameters
    ----------
    head : bytes
        The first bytes of the file.

    Returns
    -------
    bool
        True for UTF-16 with its mark, and for what holds no NUL and few other control characters.

    Examples
    --------
    >>> is_text(b"0,1\r\n"), is_text(b"0,1\x00\x00")
    (True, False)
    """
    if content_signature(head):
        return False
    if head.startswith(UTF16_MARKS):
        return True
    if b"\x00" in head:
        return False
    control = len(head) - len(head.translate(None, _CONTROL))
    return control * 100 <= len(head)
