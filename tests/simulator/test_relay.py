"""The virtual relay by itself, and contacts that follow a coil."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.errors import OutsideRange
from coldpin.simulator import Relay
from coldpin.simulator.contacts import Cause, Contacts
from coldpin.simulator.course import Contact
from coldpin.simulator.relay import LONGEST_BOUNCE, SHORTEST_BOUNCE

CAUSE = Cause(at=0.0, load_from="B", load_to="C")


def contacts(relay: Relay, seed: int = 1) -> Contacts:
    return Contacts(relay=relay, output="switched", rng=np.random.default_rng(seed))


@pytest.mark.hand("a rectangular distribution fills its half-width and never leaves it")
def test_spread_of_the_movements() -> None:
    """Each movement differs from the nominal one by no more than the spread, and as often above as below."""
    relay, rng = Relay(operate=0.012, release=0.008, spread=0.002), np.random.default_rng(2)
    closing = np.array([relay.close(rng).delay for _ in range(1000)])
    opening = np.array([relay.open(rng, closed_before=1).delay for _ in range(1000)])

    for delays, nominal in ((closing, 0.012), (opening, 0.008)):
        assert 0.00196 < np.abs(delays - nominal).max() <= 0.002
        # Five standard errors of the mean of a rectangular distribution.
        assert delays.mean() == pytest.approx(nominal, abs=5.0 * 0.002 / np.sqrt(3.0 * 1000.0))


@given(seed=st.integers(0, 2**32 - 1), bounce=st.floats(0.0, 5.0e-3))
@pytest.mark.hand("what a bounce is: partings in order, each short, all within the time of bouncing, ending in a touch")
def test_bounces_end_in_a_touch(seed: int, bounce: float) -> None:
    """Partings follow one another without overlap, none is longer than the longest, the last ends within the time."""
    partings = Relay(bounce=bounce).close(np.random.default_rng(seed)).partings
    edges = [edge for parting in partings for edge in parting]

    assert edges == sorted(edges)
    assert all(0.0 < edge <= bounce * (1.0 + 1e-12) for edge in edges)
    assert all(SHORTEST_BOUNCE * 0.99 <= after - before <= LONGEST_BOUNCE * 1.01 for before, after in partings)
    assert bounce < 1e-3 or partings


@pytest.mark.hand("closing at 12 ms and its partings, opening at 8 ms")
def test_contacts_follow_the_coil() -> None:
    """Contacts touch after the operate time, bounce, and part after the release time; the responses say so."""
    follows = contacts(Relay(bounce=3.0e-3))
    follows.drive(True, 1.0, CAUSE)
    assert follows.due == pytest.approx(1.012)
    assert not follows.move(1.0)
    assert follows.move(1.012)
    assert follows.touches[0] == Contact(at=1.012, part=1.0)
    assert [touch.part for touch in follows.touches[1:]] == [0.0, 1.0] * ((len(follows.touches) - 1) // 2)
    follows.drive(False, 2.0, CAUSE)
    assert follows.move(2.008)
    up, down = follows.responses
    assert (up.closes, up.contacts, down.closes, down.contacts) == (True, 1.012, False, 2.008)
    assert up.settled == follows.touches[-2].at
    assert (up.delay, down.settled) == (1.012, 2.008)


@pytest.mark.hand("a movement that has not happened when the coil turns never happens")
def test_a_movement_can_be_overtaken() -> None:
    """A coil let go before the contacts touched leaves them open, and no touch in the record."""
    follows = contacts(Relay(operate=0.02, release=0.008))
    follows.drive(True, 1.0, CAUSE)
    follows.drive(False, 1.01, CAUSE)
    assert not follows.move(1.018)
    assert not follows.move(1.02)
    assert follows.touches == []
    assert [response.contacts for response in follows.responses] == [None, None]


@pytest.mark.hand("contacts that part while they still bounce stay apart")
def test_opening_ends_the_bouncing() -> None:
    """Bounces that would have come after the contacts parted are not in the record."""
    follows = contacts(Relay(operate=0.0, release=0.0005, bounce=5.0e-3))
    follows.drive(True, 0.0, CAUSE)
    follows.move(0.0)
    follows.drive(False, 0.0015, CAUSE)
    follows.move(0.002)

    assert follows.touches[-1] == Contact(at=0.002, part=0.0)
    assert [touch.at for touch in follows.touches] == sorted(touch.at for touch in follows.touches)


@pytest.mark.hand("what a welded contact does: nothing")
@pytest.mark.parametrize(("weld", "left"), [("both poles", 1.0), ("one pole", 0.15)])
def test_a_weld_stays(weld: str, left: float) -> None:
    """After as many closings as it takes, the contacts no longer part, or one of them does not."""
    follows = contacts(Relay(weld=weld, welds_after=2))  # type: ignore[arg-type]  # the parameter's words
    parts = []
    for turn in range(3):
        follows.drive(True, turn, CAUSE)
        follows.move(turn + 0.5)
        follows.drive(False, turn + 0.6, CAUSE)
        follows.move(turn + 0.9)
        parts.append(follows.part)

    assert parts == [0.0, left, left]
    assert follows.responses[-1].contacts is None


@pytest.mark.hand("texts of the messages")
def test_relays_that_cannot_be_are_refused() -> None:
    """A negative time, and a spread that would move contacts before their coil, are named."""
    with pytest.raises(OutsideRange, match=r"operate is -0\.01; it cannot be negative"):
        Relay(operate=-0.01)
    with pytest.raises(OutsideRange, match="no contact moves before its coil"):
        Relay(release=0.001, spread=0.002)
