"""Plugs, couplers and codings, as the look-ups hand them out."""

from __future__ import annotations

import pytest

from coldpin.errors import UnknownName
from coldpin.standards import (
    coding,
    connector_pins,
    load_book,
    plug,
    plug_pins,
    plug_polarised,
    plug_practice,
    plugs,
)

BOOK = load_book()


@pytest.mark.published("rated currents of plugs in the public texts named with each entry of the table")
@pytest.mark.parametrize(
    ("word", "name", "rated"),
    [
        ("CEE 7/4", "plug.cee-7-4", 16.0),
        ("Schuko", "plug.cee-7-4", 16.0),
        ("type f", "plug.cee-7-4", 16.0),
        ("CEE 7/6", "plug.cee-7-6", 16.0),
        ("cee 7/7", "plug.cee-7-7", 16.0),
        ("BS 1363", "plug.bs-1363", 13.0),
        ("BS1363", "plug.bs-1363", 13.0),
        ("type G", "plug.bs-1363", 13.0),
        ("type J", "plug.sn-441011-T13", 10.0),
        ("type K", "plug.ds-60884-2-D1", 13.0),
        ("IEC 60309 16 A single phase", "plug.iec-60309-16A-1ph", 16.0),
        ("IEC 60309 32 A single phase", "plug.iec-60309-32A-1ph", 32.0),
        ("CEE 16 A red", "plug.iec-60309-16A-3ph", 16.0),
        ("CEE 32 A red", "plug.iec-60309-32A-3ph", 32.0),
        ("NEMA 5-15", "plug.nema-5-15", 15.0),
        ("NEMA 5-20", "plug.nema-5-20", 20.0),
        ("NEMA 6-20", "plug.nema-6-20", 20.0),
        ("nema 14-50", "plug.nema-14-50", 50.0),
        ("plug.nema-tt-30", "plug.nema-tt-30", 30.0),
    ],
)
def test_a_plug_is_found_by_the_trades_word(word: str, name: str, rated: float) -> None:
    """Standard, trade name, letter or id find the plug and its rated current."""
    limit = plug(BOOK, word)

    assert (limit.id, limit.maximum, limit.unit) == (name, rated, "A")


def test_no_two_plugs_share_a_word() -> None:
    """A word finds one plug only, however it is written."""
    words = [word for row in BOOK.under("plug.") for word in row.words("words")]

    assert len({"".join(filter(str.isalnum, word.casefold())) for word in words}) == len(words)
    for row in BOOK.under("plug."):
        assert {plug(BOOK, word).id for word in row.words("words")} == {row.limit.id}


def test_an_unknown_plug_lists_the_known() -> None:
    """A word the table does not have is an error with the nearest."""
    with pytest.raises(UnknownName, match=r"unknown plug 'CEE 7/5'; did you mean 'CEE 7/[467]'\? Known: AS/NZS 3112, "):
        plug(BOOK, "CEE 7/5")


def test_every_plug_has_a_rating_and_pins() -> None:
    """No plug is without rated current, earth pin and a word to find it by."""
    assert len(plugs(BOOK)) > 20
    for limit in plugs(BOOK):
        assert limit.maximum is not None
        assert "PE" in plug_pins(BOOK, limit.id)
        assert BOOK.row(limit.id).words("words")
        assert "polarised" in BOOK.row(limit.id).data


@pytest.mark.practice
def test_pins_and_their_order() -> None:
    """Three pins, five pins, two lines; a plug that can be turned is not polarised."""
    assert plug_pins(BOOK, "Schuko") == ("L", "N", "PE")
    assert plug_pins(BOOK, "CEE 32 A red") == ("L1", "L2", "L3", "N", "PE")
    assert plug_pins(BOOK, "NEMA 14-50") == ("L1", "L2", "N", "PE")
    assert not plug_polarised(BOOK, "Schuko")
    assert plug_polarised(BOOK, "BS 1363")
    assert connector_pins(BOOK, "type 2") == ("L1", "L2", "L3", "N", "PE", "CP", "PP")
    assert connector_pins(BOOK, "Type 1") == ("L1", "N", "PE", "CP", "PP")


@pytest.mark.published("IEC 62752:2016 scope notes for Denmark and Finland; other texts as named in the table")
@pytest.mark.parametrize(
    ("word", "country", "current"),
    [
        ("type K", "dk", 8.0),
        ("Schuko", "FI", 8.0),
        ("CEE 7/7", "NO", 10.0),
        ("Schuko", "DE", 13.0),
        ("BS 1363", "GB", 10.0),
        ("CEE 7/6", "FR", 8.0),
        ("type J", "CH", 8.0),
        ("NEMA 5-15", "US", 12.0),
        ("NEMA 5-20", "US", 16.0),
        ("CEE 32 A blue", "DE", 32.0),
    ],
)
def test_what_a_plug_is_allowed_for_hours(word: str, country: str, current: float) -> None:
    """Each country has its own figure for the same plug."""
    assert [limit.maximum for limit in plug_practice(BOOK, word, country)] == [current]


def test_practice_names_plugs_that_exist_and_allows_no_more_than_their_rating() -> None:
    """Every plug named in a practice is in the table, and no practice goes above the rating."""
    for row in BOOK.under("plug-practice."):
        for name in row.words("plugs"):
            rated, practised = plug(BOOK, name).maximum, row.limit.maximum
            assert rated is not None
            assert practised is not None
            assert practised <= rated


def test_practice_without_a_country_is_all_of_them() -> None:
    """Without a country every figure known for the plug is given; a country without one gives nothing."""
    assert len(plug_practice(BOOK, "CEE 7/7")) >= 5
    assert plug_practice(BOOK, "NEMA 5-15", "DE") == ()


@pytest.mark.published("IEC 61851-1 Annex B, Table B.2, as a public secondary text restates it")
def test_coding_of_a_type_2_cable() -> None:
    """13, 20, 32 and 63 A in their published ranges, largest resistance first."""
    assert [(band.current, band.minimum, band.nominal, band.maximum) for band in coding(BOOK, "type 2")] == [
        (13.0, 1100.0, 1500.0, 2460.0),
        (20.0, 400.0, 680.0, 936.0),
        (32.0, 164.0, 220.0, 308.0),
        (63.0, 80.0, 100.0, 140.0),
    ]
    assert (BOOK.limit("coding-error.type-2.low").maximum, BOOK.limit("coding-error.type-2.high").minimum) == (
        60.0,
        4500.0,
    )


@pytest.mark.published("SAE J1772: 150 Ω latched, 480 Ω pressed (read); 10 % (memory)")
def test_latch_of_a_type_1_connector() -> None:
    """A type 1 connector tells its latch, and no current."""
    assert [
        (band.latch, band.current, band.minimum, band.nominal, band.maximum) for band in coding(BOOK, "type 1")
    ] == [("pressed", None, 432.0, 480.0, 528.0), ("released", None, 135.0, 150.0, 165.0)]


@pytest.mark.hand("5 V through R4, R5 parallel to the connector's resistance; 4.46, 2.76 and 1.51 V")
@pytest.mark.parametrize(
    ("connector", "name"),
    [(None, "open"), ("coding.type-1.pressed", "pressed"), ("coding.type-1.released", "released")],
)
def test_proximity_voltages_follow_from_the_resistors(connector: str | None, name: str) -> None:
    """The published voltages in the vehicle agree with the published resistors within their rounding."""
    r4, r5 = (BOOK.limit(f"proximity.type-1.{part}").nominal for part in ("r4", "r5"))
    assert r4 is not None
    assert r5 is not None
    load = r5
    if connector is not None:
        nominal = BOOK.limit(connector).nominal
        assert nominal is not None
        load = 1.0 / (1.0 / r5 + 1.0 / nominal)

    assert BOOK.limit(f"proximity.type-1.{name}").nominal == pytest.approx(5.0 * load / (r4 + load), abs=0.025)


def test_an_unknown_connector_lists_the_known() -> None:
    """Only the two a.c. connectors have a coding."""
    with pytest.raises(UnknownName, match=r"unknown vehicle connector 'type 3'.* Known: type 1, type 2"):
        coding(BOOK, "type 3")
