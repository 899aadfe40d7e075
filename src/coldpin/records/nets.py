"""Names of nets: one rule for which group a net belongs to, and which nets a name stands for."""

from __future__ import annotations

import re
from collections.abc import Iterable

MAINS = "mains"
PILOTS = ("pilot", "proximity", "cp", "pp")
LOW_VOLTAGES = ("low-voltage", "low", "elv", "selv", "pelv")
EARTHS = ("earth", "pe")
SURFACES = ("surface", "touchable", "housing")
GROUPS = (MAINS, *PILOTS, *LOW_VOLTAGES, *EARTHS, *SURFACES)
"""Every group between which and another something is asked."""

_SEPARATOR = re.compile(r"[\s_-]+")
_SPACE = re.compile(r"[\s_]+")
_FIRST_HALVES = ("low",)
"""Groups after which a hyphen begins another word: "low-side" is no low voltage."""


def group_of(net: str) -> str:
    """Return the group that a net belongs to: the first word of its name, whatever its case and what follows it.

    Parameters
    ----------
    net : str
        A net, as a person or another program wrote it.

    Returns
    -------
    str
        In small letters; of a net that begins with none of `GROUPS`, its first word.

    Examples
    --------
    >>> [group_of(net) for net in ("mains L", "Mains_N", "MAINS-L fused", "Low voltage 5 V", "low-side", "GND")]
    ['mains', 'mains', 'mains', 'low-voltage', 'low-side', 'gnd']
    """
    return _split(net)[0]


def words_of(net: str) -> tuple[str, ...]:
    """Return the group of a net and the words after it.

    Parameters
    ----------
    net : str
        A net.

    Returns
    -------
    tuple of str
        In small letters; empty where there is none.

    Examples
    --------
    >>> words_of("Mains_L-fused")
    ('mains', 'l', 'fused')
    """
    group, rest = _split(net)
    return tuple(word for word in (group, *_SEPARATOR.split(rest)) if word)


def one_spelling(net: str) -> str:
    """Return a net in the one spelling that all of its spellings have.

    A hyphen after the group is a sign where a number follows: "low-voltage 5 V" and "low-voltage -5 V" are two nets.

    Parameters
    ----------
    net : str
        A net.

    Returns
    -------
    str
        In small letters, its words one space apart.

    Examples
    --------
    >>> one_spelling("Mains_L  Fused"), one_spelling("low-voltage -5 V"), one_spelling("low-voltage 5 V")
    ('mains l fused', 'low-voltage -5 v', 'low-voltage 5 v')
    """
    return " ".join(_split(net)).strip()


def stands_for(name: str, net: str) -> bool:
    """Say whether a name means a net: itself, in any spelling, or the group it belongs to.

    Parameters
    ----------
    name : str
        "mains L", or "mains".
    net : str
        The net.

    Returns
    -------
    bool
        False of an empty name.

    Examples
    --------
    >>> stands_for("mains", "Mains_N"), stands_for("mains l", "mains L fused"), stands_for("", "")
    (True, False, False)
    """
    spelled = one_spelling(name)
    return bool(spelled) and spelled in (one_spelling(net), group_of(net))


def unasked(nets: Iterable[str]) -> tuple[str, ...]:
    """Return the nets that belong to no group of which something is asked: "L", "GND", "main N".

    Parameters
    ----------
    nets : iterable of str
        Nets; empty names are none.

    Returns
    -------
    tuple of str
        Each once, in their order.

    Examples
    --------
    >>> unasked(["mains L", "L", "GND", "L"])
    ('L', 'GND')
    """
    return tuple(dict.fromkeys(net for net in nets if net and group_of(net) not in GROUPS))


def _split(net: str) -> tuple[str, str]:
    """Return the group, and what follows it with its words one space apart."""
    text = net.strip().casefold()
    for count in (2, 1):
        words = _SEPARATOR.split(text, maxsplit=count)
        group = "-".join(words[:count])
        if len(words) >= count and group in GROUPS and not (group in _FIRST_HALVES and text.startswith(f"{group}-")):
            after = text[len(group) :]
            rest = words[count] if len(words) > count else ""
            signed = re.fullmatch(r"\s+(-\s*[\d.].*)", after)
            return group, _SPACE.sub(" ", signed[1] if signed else rest).strip()
    first, *others = text.split(maxsplit=1) or [""]
    return first, _SPACE.sub(" ", others[0]).strip() if others else ""
