"""The same cable at other lengths: tables by hand, the length where a claim ends, monotone in length."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.copper.length_variants import Cable, Socket, length_variants
from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity
from coldpin.records.finding import Outcome
from coldpin.records.length_variants import LengthVariants
from coldpin.standards.book import load_book
from coldpin.standards.protective_device import find_device

BOOK = load_book()
HOT = 1.0 + 0.00393 * 40.0


def told(lengths: list[float], *, per_km: float = 13.3, socket: Socket | None = None, **more: object) -> LengthVariants:
    """Variants of a cable whose line and earth are alike, at 16 A and 60 °C."""
    metre = Quantity(per_km / 1000.0, per_km * 1e-6, "Ω/m")
    given_: dict[str, object] = {"current": 16.0, "conductor_temperature": 60.0, **more}
    return length_variants(lengths, Cable(line=metre, earth=metre), BOOK, socket=socket, **given_)  # type: ignore[arg-type]  # arguments by name


@pytest.mark.hand(
    "11.5 V / (2 · 16 A · 13.3 mΩ/m · 1.1572) = 23.35 m of 1.5 mm²; at 30 °C 11.5 V / (… · 1.0393) = 26.0 m"
)
def test_a_catalogue_of_five_lengths() -> None:
    """Three within, the longest beyond; one between that is too long only where the conductors are warm."""
    variants = told([25.0, 5.0, 10.0, 20.0, 27.0])

    assert [one.length_m for one in variants.variants] == [5.0, 10.0, 20.0, 25.0, 27.0]
    assert [one.drop_outcome for one in variants.variants] == [
        *[Outcome.WITHIN] * 3,
        Outcome.UNDECIDED,
        Outcome.BEYOND,
    ]
    assert variants.longest_for_drop_m.value == pytest.approx(23.35, abs=0.005)
    assert variants.variants[0].drop_percent.value == pytest.approx(5.0 * 5.0 / 23.35, rel=3e-4)
    assert variants.longest_for_loop_m is None


@pytest.mark.hand("(2.73 Ω − 1.90 Ω) / (2 · 13.3 mΩ/m · 1.1572) = 26.96 m")
def test_the_length_at_which_the_breaker_need_not_act() -> None:
    """A socket with little to spare sets its own end."""
    socket = Socket(loop=Quantity(1.90, 0.005, "Ω"), device=find_device("B16"))
    variants = told([20.0, 30.0], socket=socket)

    assert variants.longest_for_loop_m is not None
    assert variants.longest_for_loop_m.value == pytest.approx(26.96, abs=0.005)
    assert [one.loop_outcome for one in variants.variants] == [Outcome.WITHIN, Outcome.BEYOND]
    assert variants.variants[0].loop_ohm is not None
    assert variants.variants[0].loop_ohm.value == pytest.approx(1.90 + 2.0 * 20.0 * 0.0133 * HOT)


def test_joints_take_their_part_whatever_the_length() -> None:
    """Ten milliohms at the ends of each conductor shorten the lead by what they are worth in metres."""
    metre = Quantity(0.0133, 0.0, "Ω/m")
    bare, joined = (
        length_variants(
            [5.0], Cable(line=metre, joints=Quantity(ohms, 0.0, "Ω")), BOOK, current=16.0, conductor_temperature=60.0
        )
        for ohms in (0.0, 0.01)
    )

    assert bare.longest_for_drop_m.value - joined.longest_for_drop_m.value == pytest.approx(0.01 / 0.0133)


def test_three_phases_reach_twice_as_far() -> None:
    """Nothing comes back."""
    one, three = told([5.0]), told([5.0], phases=3)

    assert three.longest_for_drop_m.value == pytest.approx(2.0 * one.longest_for_drop_m.value)


@given(
    lengths=st.lists(st.floats(1.0, 60.0), min_size=2, max_size=5, unique=True),
    per_km=st.floats(1.0, 40.0),
    loop=st.floats(0.1, 2.5),
)
def test_longer_is_never_better(lengths: list[float], per_km: float, loop: float) -> None:
    """Drop and loop rise with the length, and the end of the claim lies where the formula puts it."""
    socket = Socket(loop=Quantity(loop, 0.01, "Ω"), device=find_device("B16"))
    variants = told(lengths, per_km=per_km, socket=socket)
    drops = [one.drop_v.value for one in variants.variants]
    loops = [one.loop_ohm.value for one in variants.variants if one.loop_ohm is not None]

    assert drops == sorted(drops)
    assert loops == sorted(loops)
    for one in variants.variants:
        assert (one.length_m <= variants.longest_for_drop_m.value) == (one.drop_percent.value <= 5.0 + 1e-12)


@pytest.mark.parametrize(
    ("lengths", "more", "message"),
    [
        ([0.0], {}, "a cable is longer than 0 m"),
        ([5.0], {"current": 0.0}, "must be above 0 A"),
        ([5.0], {"phases": 2}, "a lead has 1 or 3"),
    ],
)
def test_what_cannot_be_is_refused(lengths: list[float], more: dict[str, object], message: str) -> None:
    """One message that says what was given."""
    with pytest.raises(OutsideRange, match=message):
        told(lengths, **more)  # type: ignore[arg-type]  # arguments by name
