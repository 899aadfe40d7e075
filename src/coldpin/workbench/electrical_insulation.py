"""A quick look at capacitors and resistors between mains and a hand, with nothing written anywhere."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.cautions import COMPETENT, STAYS_CHARGED
from coldpin.errors import InputError
from coldpin.insulation.discharge_telling import plug_discharge, read_without_probe
from coldpin.insulation.touch_telling import (
    SINGLE,
    THREE,
    marked_capacitance,
    marked_resistance,
    tolerance_taken,
    touch_current_of_capacitors,
    touch_current_of_resistors,
)
from coldpin.quantity import Quantity, parse_quantity
from coldpin.records.plug_discharge import PlugDischarge
from coldpin.records.touch_current import TouchCurrent
from coldpin.standards.book import load_book
from coldpin.standards.touch_current import capacitor_tolerance, resistor_tolerance
from coldpin.standards.voltage_drop import highest_voltage, supply_voltage
from coldpin.workbench.lead_voltage import positive


def tell_touch_current(
    *,
    capacitance: str = "",
    neutral: str = "",
    chain: str = "",
    voltage: str = "",
    highest: str = "",
    frequency: str = "50 Hz",
    phases: int = 1,
) -> TouchCurrent:
    """Say what capacitors from the mains to earth, or a chain of resistors, let reach a hand.

    Parameters
    ----------
    capacitance : str
        From each line to what is touched: "4.7 nF ± 20 %"; without a tolerance that of the table is taken.
    neutral : str
        From neutral, where it is another; "none" where there is none.
    chain : str
        In place of capacitors: each resistor of a chain from line to what is touched, "1 MΩ; 1 MΩ".
    voltage : str
        Of a line to earth: "230 V"; the nominal one where left out.
    highest : str
        The highest that the supply may have; the voltage with the supply's tolerance where left out.
    frequency : str
        Of the mains.
    phases : int
        1 or 3.

    Returns
    -------
    TouchCurrent
        Each situation, the worst, each limit.

    Raises
    ------
    QuantityTextError
        Something cannot be read, or has no unit.
    UnitError
        A unit is unknown or of another kind.
    OutsideRange
        A value is one that cannot be.
    InputError
        Neither capacitance nor chain is given, or both.

    Examples
    --------
    >>> told = tell_touch_current(capacitance="4.7 nF ± 20 %", neutral="none")
    >>> [round(one.current_ma.value, 4) for one in told.situations], told.placements[0].outcome.value
    ([0.3396], 'within')
    """
    book = load_book()
    if bool(capacitance) == bool(chain):
        raise InputError("give the capacitance to earth, or the chain of resistors: one of them")
    nominal = positive(voltage, "V", "voltage").value if voltage else supply_voltage(book)
    most = positive(highest, "V", "highest voltage").value if highest else highest_voltage(book, nominal)
    if chain:
        written = [positive(text, "Ω", "resistor of the chain") for text in chain.split(";") if text.strip()]
        parts = [marked_resistance(one, book, part=str(place)) for place, one in enumerate(written, start=1)]
        told = touch_current_of_resistors(parts, book, voltage=nominal, highest=most)
        if all(one.u is not None for one in written):
            return told
        return replace(told, marked=True, remarks=(tolerance_taken(resistor_tolerance(book)), *told.remarks))
    texts = dict.fromkeys(THREE if phases == len(THREE) else SINGLE[:1], capacitance)
    if neutral != NONE:
        texts[SINGLE[1]] = neutral or capacitance
    poles = {pole: positive(text, "F", f"capacitance of {pole}") for pole, text in texts.items()}
    return touch_current_of_capacitors(
        poles,
        book,
        voltage=nominal,
        highest=most,
        frequency=positive(frequency, "Hz", "frequency").value,
    )


NONE = "none"
"""How it is said that a pole has no capacitor."""


def tell_plug_discharge(
    *,
    capacitance: str,
    resistance: str = "",
    voltage: str = "",
    read: str = "",
    after: str = "1 s",
    probe: str = "",
) -> PlugDischarge:
    """Say how long the pins of a plug stay charged after it was drawn.

    Parameters
    ----------
    capacitance : str
        Between the pins: "470 nF ± 20 %"; without a tolerance that of the table is taken.
    resistance : str
        Of what empties it: "1 MΩ ± 5 %"; where left out it is told how large it may be.
    voltage : str
        r.m.s. voltage at which it is drawn; the highest that the supply may have where left out.
    read : str
        A voltage read, to be freed from the probe: "28 V ± 1 V".
    after : str
        When it was read, since the plug was drawn.
    probe : str
        Input resistance of the probe it was read with: "10 MΩ".

    Returns
    -------
    PlugDischarge
        Each text's rule, and where the plug lies.

    Raises
    ------
    QuantityTextError
        Something cannot be read, or has no unit.
    UnitError
        A unit is unknown or of another kind.
    OutsideRange
        A value is one that cannot be.
    InputError
        A reading is given without its probe, or a probe without a reading.

    Examples
    --------
    >>> told = tell_plug_discharge(capacitance="330 nF ± 5 %", resistance="1 MΩ ± 1 %", voltage="240 V")
    >>> round(told.placements[0].left_v.value, 1), told.placements[0].outcome.value
    (16.4, 'within')
    """
    book = load_book()
    if bool(read) != bool(probe):
        raise InputError("give a reading together with the input resistance of its probe: --read and --probe")
    written = positive(capacitance, "F", "capacitance")
    farads = marked_capacitance(written, book)
    remarks = [] if written.u is not None else [tolerance_taken(capacitor_tolerance(book))]
    ohms = None
    if resistance:
        shown = positive(resistance, "Ω", "resistance")
        ohms = marked_resistance(shown, book)
        remarks += [] if shown.u is not None else [tolerance_taken(resistor_tolerance(book))]
    corrected = None
    if read:
        input_of_probe = positive(probe, "Ω", "probe")
        corrected = read_without_probe(
            positive(read, "V", "reading"),
            time=_exact(after, "s"),
            probe=marked_resistance(input_of_probe, book, part="at the input of the probe"),
            capacitance=farads,
        )
        remarks += [] if input_of_probe.u is not None else [tolerance_taken(resistor_tolerance(book))]
        remarks += [] if parse_quantity(after, "s").u is not None else [TIME_AS_WRITTEN]
    told = plug_discharge(
        farads,
        book,
        highest=positive(voltage, "V", "voltage").value if voltage else highest_voltage(book, supply_voltage(book)),
        resistance=ohms,
        corrected=corrected,
        after=_exact(after, "s").value if read else None,
    )
    cautions = (COMPETENT, STAYS_CHARGED) if read else ()
    return replace(told, remarks=(*cautions, *dict.fromkeys(remarks), *told.remarks))


TIME_AS_WRITTEN = "How well the time of the reading is known is not stated: it is taken as written."
"""What is said of a time without its accuracy."""


def _exact(text: str, unit: str) -> Quantity:
    """Return a quantity that is taken as it is written where no accuracy is written: a setting, not a reading."""
    given = parse_quantity(text, unit)
    return given if given.u is not None else Quantity(given.value, 0.0, given.unit)
