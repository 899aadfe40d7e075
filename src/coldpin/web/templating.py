"""The templates and the words they may use: numbers, sources and outcomes are worded as in the report."""

from __future__ import annotations

from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined

from coldpin import __version__
from coldpin.conclusion.statement import basis_of
from coldpin.quantity import Quantity, format_quantity
from coldpin.records.function import FunctionState
from coldpin.records.plan import place_of
from coldpin.report.numbers import bounds, cited, counted, file_size, found, likelihood, probability
from coldpin.report.times import duration, elapsed, into, moment
from coldpin.report.words import STANDING_MEANINGS, asked_again, placed
from coldpin.web.addresses import described_address, record_address
from coldpin.web.board_words import BOARD
from coldpin.web.entry_words import ENTRY
from coldpin.web.heat_words import HEAT
from coldpin.web.missing import MISSING
from coldpin.web.risk_words import RISK
from coldpin.web.sections import DOORS, SECTIONS
from coldpin.workbench.bench_boxes import never_without


@cache
def templates() -> Environment:
    """Return the environment of all templates; it is one for all applications, each template is compiled once.

    Returns
    -------
    Environment
        Text is escaped, and a name that a record does not have is an error.
    """
    environment = Environment(
        loader=PackageLoader("coldpin.web"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters |= {
        "said": _said,
        "found": found,
        "placed": placed,
        "basis": basis_of,
        "bounds": bounds,
        "cited": cited,
        "counted": counted,
        "likelihood": likelihood,
        "first_upper": _first_upper,
        "moment": moment,
        "size": file_size,
        "place": place_of,
        "probability": probability,
        "seconds": into,
        "asked_again": asked_again,
        "words": _words,
        "percent": _percent,
        "elapsed": elapsed,
        "never_without": never_without,
        "duration": duration,
        **HEAT,
        **ENTRY,
        **RISK,
        **BOARD,
        **MISSING,
    }
    environment.globals |= {
        "version": __version__,
        "states": tuple(FunctionState),
        "sections": SECTIONS,
        "doors": DOORS,
        "standings": STANDING_MEANINGS,
        "record_address": record_address,
        "described_address": described_address,
    }
    return environment


def _said(quantity: Quantity | None) -> str:
    return "" if quantity is None else format_quantity(quantity)


def _words(text: object) -> str:
    return str(text).replace("_", " ")


def _percent(fraction: float) -> str:
    return f"{100.0 * fraction:.0f} %"


def _first_upper(text: str) -> str:
    """Begin with a capital, and leave all else as it is."""
    return text[:1].upper() + text[1:]
