"""What was said of a capture that is no text: by hand, by its own dialect, or remembered for the instrument."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any, TypeVar

from coldpin.capture.choices import Choices
from coldpin.capture.columns import BY_HAND, FROM_HEADER, ONLY_ONE
from coldpin.capture.header import PILOT_WORDS, read_heading
from coldpin.capture.plan import ASSUMED, REMEMBERED, naming
from coldpin.capture.record import Request
from coldpin.capture.source import CaptureFile
from coldpin.errors import AmbiguousDialect, CaptureError, UnknownName
from coldpin.records.dialect import Dialect

Opened = TypeVar("Opened")

_INSTRUMENTS_OWN = ("format", "time", "voltage", "output", "units", "scale", "output_scale", "channels")
"""What a later recording of the same instrument shares with an earlier one; the step and the stretch it does not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What is to be followed: ``choices`` are by hand, ``base`` is a dialect, ``kept`` those of its fields that hold.

    ``origin`` says where each field that holds came from. ``format`` is the format's name.
    """

    format: str
    choices: Choices
    base: Dialect
    kept: frozenset[str]
    origin: dict[str, str]

    def text(self, name: str) -> str:
        """Return a name of a column or channel that was said, the empty text if none was.

        Parameters
        ----------
        name : str
            Field of the dialect.

        Returns
        -------
        str
            What was said.
        """
        by_hand: str = getattr(self.choices, name)
        kept: str = getattr(self.base, name) if name in self.kept else ""
        return by_hand or kept

    def number(self, name: str) -> float | None:
        """Return a number that was said, None if none was.

        Parameters
        ----------
        name : str
            Field of the dialect.

        Returns
        -------
        float or None
            What was said; a step is in seconds.
        """
        by_hand: float | None = getattr(self.choices, name)
        if by_hand is not None:
            return by_hand
        kept: float | None = getattr(self.base, name) if name in self.kept else None
        return kept

    def where(self, name: str, otherwise: str) -> str:
        """Return where a field came from.

        Parameters
        ----------
        name : str
            Field of the dialect.
        otherwise : str
            Where it came from if nobody said it.

        Returns
        -------
        str
            Such as "given by hand".
        """
        if getattr(self.choices, name, None) not in ("", None):
            return BY_HAND
        return self.origin.get(name, otherwise)

    def assumed_scale(self) -> tuple[str, ...]:
        """Return the remark that stored floats were taken for volts, if nobody said what they are.

        Returns
        -------
        tuple of str
            None or one remark.
        """
        if self.number("scale") is not None:
            return ()
        return ("no scale is given: 1.0 in the file was taken for 1 V (--scale says the volts it stands for)",)

    def remembered_scale(self) -> tuple[str, ...]:
        """Return the remark that a scale was taken from an earlier capture, if it was.

        Returns
        -------
        tuple of str
            None or one remark.
        """
        if self.where("scale", "") != REMEMBERED or self.base.scale == 1.0:
            return ()
        return (f"the scale of the voltage, {self.base.scale:g}, is remembered for this instrument",)


def follow(
    file: CaptureFile,
    request: Request,
    name: str,
    *,
    applies: Sequence[str],
    title: str,
    read: Callable[[Said], Opened],
    remark: Callable[[Opened, str], Opened],
) -> Opened:
    """Open a capture by what was said of it; what was remembered is tried first and dropped where it does not fit.

    Parameters
    ----------
    file : CaptureFile
        The opened file.
    request : Request
        A dialect, choices by hand, a dialect remembered.
    name : str
        The format's name.
    applies : sequence of str
        The choices that mean something for this format.
    title : str
        The format with its article, for messages.
    read : callable
        Opens the capture by what was said.
    remark : callable
        Puts a remark before those of what was opened.

    Returns
    -------
    Opened
        What ``read`` returned.

    Raises
    ------
    CaptureError
        It cannot be read, or a choice means nothing for this format.
    """
    with naming(file):
        _check_applies(request.choices, applies, title)
        kept, remembered = request.dialect, request.remembered
        if kept is not None:
            if kept.format != name:
                raise CaptureError(
                    f"it was filed as {kept.format}, but its content is {title}: it is not the file that was filed, "
                    "or it was changed; put the original back"
                )
            everything = frozenset(field.name for field in fields(Dialect)) - {"origin"}
            return read(_said(name, request.choices, kept, everything, dict(kept.origin)))
        if remembered is None:
            return read(_said(name, request.choices, Dialect(), frozenset(), {}))
        try:
            if remembered.format != name:
                raise CaptureError(f"it is for {remembered.format} captures, this is {title}")
            own = dict.fromkeys(_INSTRUMENTS_OWN, REMEMBERED)
            return read(_said(name, request.choices, remembered, frozenset(_INSTRUMENTS_OWN), own))
        except (CaptureError, UnknownName) as error:
            said = str(error).removeprefix(file.place())
            opened = read(_said(name, request.choices, Dialect(), frozenset(), {}))
            return remark(
                opened,
                f"the dialect remembered for this instrument does not fit ({said}); the file was looked at afresh",
            )


def _said(name: str, choices: Choices, base: Dialect, kept: frozenset[str], origin: dict[str, str]) -> Said:
    return Said(format=name, choices=choices, base=base, kept=kept, origin=origin)


def _check_applies(choices: Choices, applies: Sequence[str], title: str) -> None:
    for field in fields(choices):
        if field.name == "format" or getattr(choices, field.name) in ("", None):
            continue
        option = _OPTION.get(field.name, field.name.replace("_", "-"))
        if field.name not in applies and option not in applies:
            raise CaptureError(f"--{option} means nothing here: this is {title}; leave the option out")


_OPTION = {"time_unit": "unit", "voltage_unit": "unit"}


def pick_channels(
    said: Said, names: Sequence[str], candidates: Sequence[int] | None = None
) -> tuple[int, int | None, dict[str, str]]:
    """Say which channel is the pilot and which the output, by name or by number from 1.

    Parameters
    ----------
    said : Said
        What was said.
    names : sequence of str
        The names of the channels; numbers where they have none.
    candidates : sequence of int or None
        Those among them that may be taken without being named; all if None.

    Returns
    -------
    tuple
        Index of the pilot's channel, index of the output's or None, and where each came from.

    Raises
    ------
    AmbiguousDialect
        Several channels may be the pilot; they are listed.
    CaptureError
        One channel is given for both.
    UnknownName
        There is no such channel.
    """
    origin: dict[str, str] = {}
    output = find_channel(said.text("output"), names, role="output") if said.text("output") else None
    if output is not None:
        origin["output"] = said.where("output", "")
    if said.text("voltage"):
        voltage = find_channel(said.text("voltage"), names, role="voltage")
        origin["voltage"] = said.where("voltage", "")
        if voltage == output:
            raise CaptureError(f"channel {names[voltage]!r} is given for --voltage and --output: give two channels")
        return voltage, output, origin
    free = [index for index in (range(len(names)) if candidates is None else candidates) if index != output]
    if len(free) == 1:
        return free[0], output, {**origin, "voltage": ONLY_ONE}
    known = [index for index in free if read_heading(names[index]).words & PILOT_WORDS]
    if len(known) == 1:
        return known[0], output, {**origin, "voltage": FROM_HEADER}
    if not free:
        told = ", ".join(names[:_LISTED]) or "none"
        raise CaptureError(
            f"no channel can be taken for the voltage by itself (channels: {told}): name it with --voltage"
        )
    quoted = (f"{names[index]!r}" if " " in names[index] else names[index] for index in free[:_LISTED])
    listed = ", ".join(f"--voltage {name}" for name in quoted)
    more = f" and {len(free) - _LISTED} more" if len(free) > _LISTED else ""
    raise AmbiguousDialect(
        f"{len(free)} channels can be the voltage of the pilot: {listed}{more}"
        + ("" if output is not None else "; a second one can be named with --output")
    )


_LISTED = 1 << 4
"""Channels listed in a question."""


def find_channel(wanted: str, names: Sequence[str], *, role: str) -> int:
    """Return the index of a channel by its name or its number from 1.

    Parameters
    ----------
    wanted : str
        What was said.
    names : sequence of str
        The names of the channels.
    role : str
        What the channel is for, for the message.

    Returns
    -------
    int
        The index, from 0.

    Raises
    ------
    AmbiguousDialect
        Several channels have this name.
    UnknownName
        No channel has it.
    """
    for alike in (names, [name.casefold() for name in names]):
        sought = wanted if alike is names else wanted.casefold()
        found = [index for index, name in enumerate(alike) if name == sought]
        if len(found) == 1:
            return found[0]
        if found:
            numbers = " or ".join(f"--{role} {index + 1}" for index in found[:_LISTED])
            raise AmbiguousDialect(f"{len(found)} channels are named {wanted!r}: say which by number: {numbers}")
    if wanted.isdecimal() and len(wanted) <= len(str(len(names))) and 1 <= int(wanted) <= len(names):
        return int(wanted) - 1
    raise UnknownName.among(f"channel for --{role}", wanted, names)


def dialect_of(said: Said, **settled: Any) -> Dialect:
    """Build the dialect of what was opened.

    Parameters
    ----------
    said : Said
        What was said.
    **settled : Any
        The fields as they were settled, ``origin`` among them.

    Returns
    -------
    Dialect
        The dialect.
    """
    return replace(Dialect(), format=said.format, **settled)


__all__ = ["ASSUMED", "BY_HAND", "FROM_HEADER", "Said", "dialect_of", "find_channel", "follow", "pick_channels"]
