"""The current through a person, against printed tables, a worked example, another standard's voltages and a charge."""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import lognorm, norm

from coldpin.cli import main
from coldpin.errors import InputError, OutsideRange, UnknownName
from coldpin.protection.body_current import (
    body_impedance,
    charge_current,
    curve_current,
    longest_below,
    touch_voltage,
    zone_place,
)
from coldpin.protection.body_telling import body_current
from coldpin.quantity import Quantity
from coldpin.records.body_current import Kind
from coldpin.records.case import OwnConstant
from coldpin.records.person import Wetness
from coldpin.standards.body_current import (
    CURVES,
    PATHS,
    ZONES,
    charge_model,
    find_path,
    heart_factors,
    impedance_table,
    path_factor,
    superseded_table,
    zone_curves,
)
from coldpin.standards.book import load_book
from coldpin.workbench.body import tell_body_current

BOOK = load_book()
AC = dict(zip(CURVES[Kind.AC], zone_curves(BOOK, Kind.AC), strict=True))
DRY = impedance_table(BOOK, kind=Kind.AC, wetness=Wetness.DRY)
EVERY_TABLE = [(Kind.AC, Wetness.DRY), (Kind.AC, Wetness.FRESH_WATER), (Kind.AC, Wetness.SALT_WATER)]
EVERY_TABLE.append((Kind.DC, Wetness.DRY))


@pytest.mark.published("IEC TS 60479-1 Table 1 as EN 50522 Table B.2 repeats it, column of 50 %")
@pytest.mark.parametrize(
    ("volts", "ohms"), [(25.0, 3250.0), (50.0, 2500.0), (100.0, 1725.0), (225.0, 1225.0), (700.0, 775.0)]
)
def test_the_median_person_has_the_printed_impedance(volts: float, ohms: float) -> None:
    """Each printed row comes out to the last digit."""
    assert float(body_impedance(voltage=volts, percentile=50.0, table=DRY)) == pytest.approx(ohms, abs=1e-9)


@pytest.mark.published("IEC 479-1:1994 Table 1, read in a cheat sheet: 220 V row")
def test_the_older_edition_has_more_at_mains_voltage() -> None:
    """The superseded column of 5 % is higher by more than a quarter, and is only shown beside."""
    older = float(body_impedance(voltage=220.0, percentile=5.0, table=superseded_table(BOOK)))
    newer = float(body_impedance(voltage=220.0, percentile=5.0, table=DRY))

    assert older == pytest.approx(1000.0, abs=1e-9)
    assert older / newer > 1.25
    told = body_current(BOOK, voltage=220.0, path="hand-to-hand")
    assert told.superseded_ohm == pytest.approx(1000.0, abs=1e-9)
    assert told.impedance_ohm == pytest.approx(newer, abs=1e-9)


@pytest.mark.hand("worked from the rows of 225 V and 400 V: 1225 - 5/175 * 275 and so on; four printed digits")
@pytest.mark.parametrize(
    ("per_cent", "ohms", "milli"), [(5.0, 772.9, 297.6), (50.0, 1217.1, 189.0), (95.0, 1882.1, 122.2)]
)
def test_mains_from_hand_to_hand(per_cent: float, ohms: float, milli: float) -> None:
    """230 V at each column, and 0.4 of the current at the heart by the standard's factor."""
    told = body_current(BOOK, voltage=230.0, path="hand-to-hand", percentile=per_cent)

    assert told.impedance_ohm == pytest.approx(ohms, abs=0.05)
    assert told.current_ma == pytest.approx(milli, abs=0.05)
    by_factor = {one.factor: one.reference_current_ma for one in told.by_heart_factor}
    assert "by 1 (heart-current factor, hand to hand, by models of the body); by 0.4" in " ".join(told.statements)
    assert by_factor[0.4] == pytest.approx(0.4 * milli, abs=0.05)
    assert told.reference_current_ma == by_factor[1.0]


@pytest.mark.published("an open earthing program: 50 V over 2500 ohm")
def test_fifty_volts_drive_twenty_milliamperes() -> None:
    """The conventional touch voltage at the median."""
    assert body_current(BOOK, voltage=50.0, path="hand-to-hand", percentile=50.0).current_ma == pytest.approx(20.0)


@pytest.mark.published("IEC 60479-1 curve c2 as EN 50522:2022 Table B.1 has it")
@pytest.mark.parametrize(
    ("seconds", "milli"),
    [(0.05, 900.0), (0.1, 800.0), (0.2, 600.0), (0.5, 200.0), (1.0, 80.0), (2.0, 60.0), (10.0, 50.0)],
)
def test_curve_c2_goes_through_its_points(seconds: float, milli: float) -> None:
    """Each printed point comes out."""
    assert float(curve_current(AC["c2"], seconds)) == pytest.approx(milli, rel=1e-12)


@pytest.mark.hand(
    "log-log between the points: 400 * (0.3/0.1)**(log10(50/400)) = 148; 600 * 1.5**(ln(1/3)/ln 2.5) = 369"
)
@pytest.mark.parametrize(
    ("seconds", "place", "c1", "c2"),
    [
        (0.04, 2, 437.0, None),
        (0.1, 2, 400.0, None),
        (0.3, 3, 148.0, 369.0),
        (0.5, 3, None, 200.0),
        (1.0, 5, None, 80.0),
    ],
)
def test_189_ma_by_how_long_it_flows(seconds: float, place: int, c1: float | None, c2: float | None) -> None:
    """Forty milliseconds and three hundred lie on opposite sides of c1; after a second c2 is long passed."""
    assert int(zone_place(tuple(AC.values()), current=189.0, duration=seconds)) == place
    for name, milli in (("c1", c1), ("c2", c2)):
        if milli is not None:
            assert float(curve_current(AC[name], seconds)) == pytest.approx(milli, abs=0.5)


@pytest.mark.published("IEC 60479-1, let-go of everybody 5 mA; curve b ends there")
def test_curve_b_ends_at_what_everybody_can_let_go() -> None:
    """From six seconds on."""
    assert float(curve_current(AC["b"], 6.0)) == pytest.approx(BOOK.limit("body.let-go.everybody").maximum)


@pytest.mark.published("EN 50522:2010 Table B.3 and :2022 Table B.4: permissible touch voltages, the latter by 5 V")
@pytest.mark.parametrize(
    ("seconds", "printed_2010", "printed_2022"),
    [
        (0.05, 716.0, 725.0),
        (0.1, 654.0, 655.0),
        (0.2, 537.0, 525.0),
        (0.5, 220.0, 225.0),
        (1.0, 117.0, 115.0),
        (2.0, 96.0, 95.0),
        (5.0, 86.0, 85.0),
        (10.0, 85.0, 85.0),
    ],
)
def test_touch_voltages_of_another_standard_come_out(seconds: float, printed_2010: float, printed_2022: float) -> None:
    """Its mean of four weighted paths, from our c2, median impedance, path and heart-current factors.

    Tolerance: the printed currents are whole hundreds above 500 mA, whole tens above 100 mA, else whole milliamperes;
    half of that step carries over in proportion, and half of the voltage's own step of 1 V or 5 V comes on top.
    """
    milli = float(curve_current(AC["c2"], seconds))
    step = 100.0 if milli > 500.0 else 10.0 if milli > 100.0 else 1.0
    weighted = [("left-hand-to-feet", 1.0), ("right-hand-to-feet", 1.0), ("hands-to-feet", 1.0), ("hand-to-hand", 0.7)]
    volts = [weight * _permissible(name, float(curve_current(AC["c2"], seconds))) for name, weight in weighted]
    found = sum(volts) / len(volts)

    assert found == pytest.approx(printed_2010, abs=0.5 * step / milli * printed_2010 + 0.5)
    assert found == pytest.approx(printed_2022, abs=0.5 * step / milli * printed_2022 + 2.5)


def _permissible(name: str, reference_ma: float) -> float:
    """Return the touch voltage that drives a reference current through the median person, by halving."""
    path = find_path(name)
    part, heart = path_factor(BOOK, path).nominal, heart_factors(BOOK, path)[0].nominal
    assert part is not None
    assert heart is not None
    low, high = 0.0, 1e4
    for _ in range(60):
        middle = 0.5 * (low + high)
        current = 1e3 * middle / (part * float(body_impedance(voltage=middle, percentile=50.0, table=DRY)))
        low, high = (middle, high) if current * heart < reference_ma else (low, middle)
    return middle


@pytest.mark.independent("charge thresholds of another group: 100 mC from 10 ms to 5 s, 38 mA beyond")
def test_a_model_by_charge_is_milder_in_between_and_alike_at_the_end() -> None:
    """Curve c1 lies below it from 0.1 s to 5 s, never by more than ten times; beyond, within 10 %."""
    one_second, long, last = charge_model(BOOK)
    assert one_second.nominal is not None
    assert long.nominal is not None
    times = np.geomspace(0.1, 5.0, 60)
    model = charge_current(times, at_one_second=one_second.nominal, at_last=long.nominal, last=last)
    ours = curve_current(AC["c1"], times)

    assert float(charge_current(1.0, at_one_second=100.0, at_last=38.0, last=5.0)) == 100.0
    before = times <= 2.0
    assert np.all(ours[before] < model[before])
    assert np.all(model < 10.0 * ours)
    assert float(curve_current(AC["c1"], 10.0)) == pytest.approx(long.nominal, rel=0.1)


@pytest.mark.published("IEC 60479-1: 300 mA d.c. for 80 mA a.c. at long duration, 3.75")
def test_direct_current_is_borne_better_at_length() -> None:
    """Its c1 lies above that of a.c. beyond a heart's cycle, by no more than the published factor at 50 %."""
    dc = zone_curves(BOOK, Kind.DC)[2]
    ratio = curve_current(dc, np.array([1.0, 3.0, 10.0])) / curve_current(AC["c1"], np.array([1.0, 3.0, 10.0]))

    assert np.all(ratio > 1.0)
    assert np.all(ratio <= 3.75 + 1e-9)
    assert BOOK.limit("body.dc-equivalence").nominal == pytest.approx(300.0 / 80.0)


@pytest.mark.independent("quantile function of a log-normal distribution in scipy")
def test_between_two_columns_the_impedance_is_log_normal() -> None:
    """The 20th percentile between 5 % and 50 % is that of the log-normal through both."""
    low, middle = 772.857, 1217.143
    sigma = math.log(middle / low) / -norm.ppf(0.05)

    found = float(body_impedance(voltage=230.0, percentile=20.0, table=DRY))

    assert found == pytest.approx(lognorm(s=sigma, scale=middle).ppf(0.2), rel=1e-5)


@pytest.mark.hand("c3 from 1200 mA at 0.1 s to 110 mA at 1 s is 584 mA at 0.2 s, where c2 is printed as 600 mA")
def test_where_a_curve_only_drawn_crosses_one_that_was_read_it_is_said() -> None:
    """By no more than a twentieth, between 0.1 s and 0.5 s only; what lies between both is called above c2."""
    told = body_current(BOOK, voltage=230.0, percentile=50.0, time=0.2)
    assert told.limits_ma.c3 == pytest.approx(584.0, abs=0.5)
    assert any("below c2" in remark for remark in told.remarks)
    assert not any("below c2" in one for one in body_current(BOOK, voltage=230.0, time=1.0).remarks)
    times = np.geomspace(0.01, 10.0, 400)
    ratio = curve_current(AC["c3"], times) / curve_current(AC["c2"], times)
    assert ratio.min() > 0.95
    assert np.all(ratio[(times < 0.1) | (times > 0.5)] > 1.0)
    assert ZONES[Kind.AC][int(zone_place(tuple(AC.values()), current=590.0, duration=0.2))] == "AC-4.2"


@pytest.mark.hand("table of d.c. beside that of a.c., cell by cell")
def test_every_table_falls_with_voltage_and_rises_with_percentile() -> None:
    """Nobody's impedance rises with the voltage, and direct current meets no less than alternating."""
    tables = [impedance_table(BOOK, kind=kind, wetness=wet) for kind, wet in EVERY_TABLE]
    for table in tables:
        for column in table.columns:
            assert list(column) == sorted(column, reverse=True)
        assert all(a < b < c for a, b, c in zip(*table.columns, strict=True))
    for dc, ac in zip(tables[3].columns, tables[0].columns, strict=True):
        assert all(one >= other for one, other in zip(dc, ac, strict=True))
    for wetter, drier in ((tables[1], tables[0]), (tables[2], tables[1])):
        for one, other in zip(wetter.columns[1], drier.columns[1], strict=True):
            assert one <= other


@given(
    volts=st.floats(5.0, 1200.0),
    more=st.floats(1.0, 3.0),
    per_cent=st.floats(1.0, 99.0),
    path=st.sampled_from([path.name for path in PATHS]),
    kind=st.sampled_from(list(Kind)),
    seconds=st.floats(0.005, 20.0),
    longer=st.floats(1.0, 20.0),
)
def test_more_voltage_longer_wetter_is_never_better(
    volts: float, more: float, per_cent: float, path: str, kind: Kind, seconds: float, longer: float
) -> None:
    """The current rises with voltage, falls with the percentile; a zone never falls with voltage or time."""
    order = {zone: place for place, zone in enumerate(ZONES[kind])}

    def told(v: float, p: float, t: float | None, w: Wetness = Wetness.DRY, series: float = 0.0) -> tuple[float, int]:
        found = body_current(BOOK, voltage=v, percentile=p, path=path, kind=kind, time=t, wetness=w, series=series)
        return found.current_ma, order[found.zone.value]

    def no_milder(one: tuple[float, int], other: tuple[float, int]) -> bool:
        return one[0] >= other[0] and one[1] >= other[1]  # two tuples side by side would compare the current alone

    base = told(volts, per_cent, seconds)
    assert no_milder(told(volts * more, per_cent, seconds), base)
    assert no_milder(told(volts, per_cent, seconds * longer), base)
    assert no_milder(told(volts, per_cent, None), base)
    assert no_milder(told(volts, max(1.0, per_cent / more), seconds), base)
    assert no_milder(base, told(volts, per_cent, seconds, series=100.0 * more))


@pytest.mark.hand(
    "1 % at 230 V: dry 1217·(773/1217)^1.414 = 640 Ω, salt water 1111·(766/1111)^1.414 = 657 Ω hand to hand"
)
@given(volts=st.floats(5.0, 1200.0), per_cent=st.floats(1.0, 99.0), kind=st.sampled_from(list(Kind)))
def test_nobody_gets_less_in_the_wet(volts: float, per_cent: float, kind: Kind) -> None:
    """Dry, fresh water, salt water, in this order; also where the columns are carried on beyond the printed ones."""

    def current(wet: Wetness, v: float = volts, p: float = per_cent, k: Kind = kind) -> float:
        return body_current(BOOK, voltage=v, percentile=p, path="hand-to-hand", kind=k, wetness=wet).current_ma

    currents = [current(wet) for wet in (Wetness.DRY, Wetness.FRESH_WATER, Wetness.SALT_WATER)]
    assert currents == sorted(currents)
    dry, salt = (current(wet, 230.0, 1.0, Kind.AC) for wet in (Wetness.DRY, Wetness.SALT_WATER))
    assert dry == salt == pytest.approx(230e3 / 640.0, rel=2e-3)


@pytest.mark.hand("Ohm's law at the answer")
@given(volts=st.floats(1.0, 1000.0), ohms=st.floats(0.1, 1e5), per_cent=st.floats(1.0, 99.0))
def test_a_series_resistance_and_the_person_share_the_voltage(volts: float, ohms: float, per_cent: float) -> None:
    """One current flows through both."""
    touch = float(touch_voltage(voltage=volts, series=ohms, part=0.75, percentile=per_cent, table=DRY))
    person = touch / (0.75 * float(body_impedance(voltage=touch, percentile=per_cent, table=DRY)))

    assert (volts - touch) / ohms == pytest.approx(person, rel=1e-6, abs=1e-12)


def test_on_a_curve_the_zone_above_holds() -> None:
    """80 mA at 1 s is c2 itself; a hair less is below it, and no current at all is in the lowest zone."""
    curves = zone_curves(BOOK, Kind.AC)
    currents = np.array([80.0, 79.999, 0.0])

    assert zone_place(curves, current=currents, duration=1.0).tolist() == [4, 3, 0]


@given(milli=st.floats(1.0, 2000.0), name=st.sampled_from(["b", "c1", "c2", "c3"]))
def test_how_long_below_a_curve_is_its_inverse(milli: float, name: str) -> None:
    """At the time told the curve has the current."""
    longest = longest_below(AC[name], milli)

    if 0.0 < longest < math.inf:
        assert float(curve_current(AC[name], longest)) == pytest.approx(milli, rel=1e-9)
    elif longest:
        assert milli < AC[name].currents[-1]
    else:
        assert milli >= AC[name].currents[0]


def test_an_array_gives_what_single_numbers_give() -> None:
    """The formulas are written once."""
    volts = np.array([10.0, 49.0, 230.0, 1100.0])
    per_cent = np.array([2.0, 20.0, 50.0, 97.0])
    together = body_impedance(voltage=volts, percentile=per_cent, table=DRY)

    assert together.tolist() == [
        float(body_impedance(voltage=v, percentile=p, table=DRY)) for v, p in zip(volts, per_cent, strict=True)
    ]


def test_a_value_of_ones_own_takes_the_place_of_ours() -> None:
    """A cell entered from the standard changes the answer and its standing."""
    own = OwnConstant(id="body.curve.ac.c1.1s", source="my copy of the standard", nominal=49.0)
    book = BOOK.with_own((own,))
    told = {one.name: one for one in body_current(book, voltage=230.0, time=1.0).curves}

    assert told["c1"].current_ma == pytest.approx(49.0)
    assert told["c1"].standing.value == "standard"


def test_the_standing_of_each_point_is_told() -> None:
    """c2 was read, c1 and c3 are remembered, and what parts the highest zones decides nothing."""
    told = body_current(BOOK, voltage=230.0)

    assert {one.name: one.standing.value for one in told.curves} == {
        "a": "read",
        "b": "read",
        "c1": "memory",
        "c2": "read",
        "c3": "memory",
    }
    assert told.time_s is None
    assert any("only drawn" in remark for remark in told.remarks)
    assert told.statements[2].startswith("Nothing is shown to break it")


def test_the_printed_schema(capsys: pytest.CaptureFixture[str]) -> None:
    """The command prints the fields it is known for, by the numbers that it tells in words."""
    line = ["body-current", "--voltage", "230", "--path", "hand-to-feet", "--time", "0.3 s", "--percentile", "50"]
    assert main([*line, "--json"]) == 0
    plain = json.loads(capsys.readouterr().out)

    assert plain["schema"] == "coldpin.body_current/1"
    assert plain["impedance_ohm"] == pytest.approx(0.75 * 1217.14, abs=0.01)
    assert plain["current_ma"] == pytest.approx(251.96, abs=0.01)
    assert plain["reference_current_ma"] == pytest.approx(251.96, abs=0.01)
    assert plain["zone"] == "AC-4.1"
    assert list(plain["limits_ma"]) == ["b", "c1", "c2", "c3"]
    assert main(line) == 0
    printed = capsys.readouterr()
    assert "252 mA" in printed.out
    assert "remark: The impedance is that of a large contact" in printed.err


def test_direct_current_has_no_c2(capsys: pytest.CaptureFixture[str]) -> None:
    """What is not known is null."""
    assert main(["body-current", "--voltage", "60 V", "--dc", "--skin", "salt-water", "--json"]) == 0
    plain = json.loads(capsys.readouterr().out)

    assert plain["zone"] == "DC-3"
    assert plain["limits_ma"]["c2"] is None
    assert plain["time_s"] is None


def test_what_is_not_sure_counts_at_its_worse_end() -> None:
    """230 V ± 10 % is taken as its upper end, a time likewise, and both are said."""
    told = tell_body_current(voltage="230 V ± 10 %", time="0.3 s ± 0.05 s")
    assert told.voltage_v == pytest.approx(Quantity(230.0, 23.0 / math.sqrt(3.0), "V").high or 0.0, rel=0.02)
    assert told.voltage_v > 240.0
    assert told.time_s is not None
    assert told.time_s > 0.34
    assert sum("upper end" in remark for remark in told.remarks) == 2


@pytest.mark.parametrize(
    ("given", "kind", "message"),
    [
        ({"voltage": "0 V"}, OutsideRange, "must be above 0 V"),
        ({"voltage": "-5"}, OutsideRange, "must be above 0 V"),
        ({"voltage": "230 A"}, InputError, "A"),
        ({"voltage": "230", "path": "ear-to-ear"}, UnknownName, "hand-to-feet"),
        ({"voltage": "230", "percentile": 0.0}, OutsideRange, "5 %, 50 %, 95 %"),
        ({"voltage": "230", "time": "0 s"}, OutsideRange, "must be above 0 s"),
        ({"voltage": "230", "time": "0.3"}, InputError, "unit"),
        ({"voltage": "230", "series": "-1 Ω"}, OutsideRange, "must be above 0 Ω"),
    ],
)
def test_what_cannot_be_is_refused(given: dict[str, Any], kind: type[Exception], message: str) -> None:
    """One message says what was given and what to do."""
    with pytest.raises(kind, match=message):
        tell_body_current(**given)


def test_the_formulas_refuse_as_well() -> None:
    """Below zero volts or ohms, and no time at all."""
    with pytest.raises(OutsideRange, match="0 or more"):
        body_impedance(voltage=-1.0, percentile=50.0, table=DRY)
    with pytest.raises(OutsideRange, match="0 Ω or more"):
        touch_voltage(voltage=230.0, series=-1.0, part=1.0, percentile=50.0, table=DRY)
    with pytest.raises(OutsideRange, match="above 0 s"):
        curve_current(AC["c1"], 0.0)
    with pytest.raises(OutsideRange, match="above 0 s"):
        body_current(BOOK, voltage=230.0, time=0.0)
