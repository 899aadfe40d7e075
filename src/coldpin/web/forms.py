"""What a form of an entry sends: fields by name, conditions and pairs under a word of their own."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from coldpin.errors import CaseError, InputError

CONDITION = "condition."
PAIR = "pair."
CHOICE = "choice."

_SINGLE = (
    *("who", "made", "answer", "instrument", "supply_voltage", "ambient", "humidity", "note", "private", "reason"),
    *("shows", "address", "time_code", "hold", "then", "file", "test", "forget"),
)
_SEVERAL = ("reading", "readings")


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """What was typed into a form.

    Parameters
    ----------
    one : mapping of str to str
        Fields that stand once.
    readings : tuple of str
        Every reading that is not empty, in order; lines of a longer text each by itself.
    conditions : mapping of str to str
        Conditions of the vocabulary that were stated.
    pairs : mapping of str to str
        Pairs of a wiring map that were found.
    choices : mapping of str to tuple of str
        How a capture or log is to be read.
    """

    one: Mapping[str, str] = field(default_factory=dict)
    readings: tuple[str, ...] = ()
    conditions: Mapping[str, str] = field(default_factory=dict)
    pairs: Mapping[str, str] = field(default_factory=dict)
    choices: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def get(self, name: str) -> str:
        """Return a field that stands once.

        Parameters
        ----------
        name : str
            The field.

        Returns
        -------
        str
            Empty where it was not sent.
        """
        return self.one.get(name, "")

    def fields(self) -> dict[str, tuple[str, ...]]:
        """Return all of it as a form would send it again.

        Returns
        -------
        dict of str to tuple of str
            By the name of the field.
        """
        return (
            {name: (text,) for name, text in self.one.items()}
            | ({"reading": self.readings} if self.readings else {})
            | {f"{CONDITION}{name}": (text,) for name, text in self.conditions.items()}
            | {f"{PAIR}{name}": (text,) for name, text in self.pairs.items()}
            | {f"{CHOICE}{name}": texts for name, texts in self.choices.items()}
        )


def read_form(items: Iterable[tuple[str, str]]) -> Typed:
    """Read the fields of a form; what was left empty was not said.

    Parameters
    ----------
    items : iterable of tuple of str
        Name and text of each field, in the order in which they were sent.

    Returns
    -------
    Typed
        What was typed, blanks around it taken off.

    Raises
    ------
    InputError
        A field is not one of a form of ours, or one that stands once was sent twice with unlike texts.

    Examples
    --------
    >>> typed = read_form([("reading", "52 mΩ"), ("reading", ""), ("condition.length", "5 m"), ("who", "Ines")])
    >>> typed.readings, dict(typed.conditions), typed.get("who")
    (('52 mΩ',), {'length': '5 m'}, 'Ines')
    """
    readings: list[str] = []
    one: dict[str, str] = {}
    choices: dict[str, list[str]] = {}
    for name, sent in items:
        text = sent.strip()
        if not text:
            continue
        if name in _SEVERAL:
            readings += [line.strip() for line in text.splitlines() if line.strip()]
        elif name.startswith(CHOICE):
            choices.setdefault(name, []).extend(line.strip() for line in text.splitlines() if line.strip())
        elif not (name in _SINGLE or name.startswith((CONDITION, PAIR))):
            raise InputError(f"field {name[:60]!r} is not one of this form: send its fields and no others")
        elif one.get(name, text) != text:
            raise InputError(f"field {name[:60]!r} was sent twice, as {one[name][:40]!r} and {text[:40]!r}: send one")
        else:
            one[name] = text
    return Typed(
        one={name: text for name, text in one.items() if name in _SINGLE},
        readings=tuple(readings),
        conditions=_under(CONDITION, one),
        pairs=_under(PAIR, one),
        choices={name.removeprefix(CHOICE): tuple(texts) for name, texts in choices.items()},
    )


def named_values(field: Sequence[str] | None, value: Sequence[str] | None) -> dict[str, str]:
    """Return what a form sends as two columns, of names and of values.

    Parameters
    ----------
    field : sequence of str or None
        Names.
    value : sequence of str or None
        What is typed for each.

    Returns
    -------
    dict of str to str
        By name.

    Raises
    ------
    CaseError
        There are not as many values as names.

    Examples
    --------
    >>> named_values(["source", "value"], ["own reading", "3.5"])
    {'source': 'own reading', 'value': '3.5'}
    """
    names, values = field or (), value or ()
    if len(names) != len(values):
        raise CaseError("field and value: give one value for every field")
    return dict(zip(names, values, strict=True))


def _under(prefix: str, one: Mapping[str, str]) -> dict[str, str]:
    return {name.removeprefix(prefix): text for name, text in one.items() if name.startswith(prefix)}
