"""The collector of cycles rests while a log is read, and is at work again whatever happened meanwhile."""

from __future__ import annotations

import gc
from typing import Any

import numpy as np
import pytest

from coldpin.errors import InputError
from coldpin.records.log import Log, LogChannel, LogQuantity
from coldpin.session.collector import collector_at_rest
from coldpin.session.phases import Course, find_course
from coldpin.session.reading import read_session


def test_it_rests_while_a_log_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    """At the heart of the work, and no longer."""
    at_work = []

    def watched(*given: Any, **named: Any) -> Course:
        at_work.append(gc.isenabled())
        return find_course(*given, **named)

    monkeypatch.setattr("coldpin.session.reading.find_course", watched)
    watts = LogChannel(name="P", quantity=LogQuantity.POWER, unit="W", values=np.full(60, 3680.0))

    read_session(Log(time_s=np.arange(60.0), channels=(watts,)))

    assert at_work == [False]
    assert gc.isenabled()


def test_a_log_that_is_refused_sets_it_to_work_again() -> None:
    """So does any error."""
    with pytest.raises(InputError):
        read_session(Log(time_s=np.arange(60.0), channels=()))
    assert gc.isenabled()


def test_who_found_it_at_rest_leaves_it_so() -> None:
    """One within another, and one where it was switched off before, wake nothing."""
    with collector_at_rest():
        with collector_at_rest():
            assert not gc.isenabled()
        assert not gc.isenabled()
    assert gc.isenabled()
