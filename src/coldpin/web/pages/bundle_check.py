"""Checking a bundle that somebody sent: every hash, then its record computed anew."""

from __future__ import annotations

import os
import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from http import HTTPStatus
from pathlib import Path

from fastapi import Request, Response
from starlette.concurrency import run_in_threadpool

from coldpin.casefile.arrivals import Arrival, new_arrival
from coldpin.errors import CaseError, InputError
from coldpin.records.bundle import BundleCheck
from coldpin.web.answering import TOLD, Pages, done
from coldpin.web.desk import Desk
from coldpin.web.receiving import Received, receive
from coldpin.web.works import Work, Works
from coldpin.web.writing import form_of
from coldpin.workbench.bundling import check_bundle
from coldpin.workbench.shelving import open_shelf

PLACE = "/bundle"

KEPT = 20
"""Ours: what came of so many checks is remembered, the last."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BundlePage:
    """The check of a bundle.

    Parameters
    ----------
    title : str
        Of the shelf.
    check : str
        Which check is shown; empty where none was begun.
    work : Work or None
        What checks it, while it does; the one that broke off.
    checked : BundleCheck or None
        What came of it.
    """

    title: str
    check: str = ""
    work: Work | None = None
    checked: BundleCheck | None = None


@dataclass(slots=True)
class Checks:
    """What came of the checks that were made lately, by the work that made them."""

    _made: OrderedDict[str, BundleCheck] = field(default_factory=OrderedDict)
    _files: dict[str, Arrival] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def of(self, check: str) -> BundleCheck | None:
        """Return what came of a check.

        Parameters
        ----------
        check : str
            Id of the work.

        Returns
        -------
        BundleCheck or None
            None where nothing is known of it.
        """
        with self._lock:
            return self._made.get(check)

    def keep(self, check: str, made: BundleCheck) -> None:
        """Remember what came of a check, and forget the oldest.

        Parameters
        ----------
        check : str
            Id of the work.
        made : BundleCheck
            What came of it.
        """
        with self._lock:
            self._made[check] = made
            while len(self._made) > KEPT:
                self._made.popitem(last=False)

    def bring(self, check: str, arrival: Arrival) -> None:
        """Remember where the file of a check stands, until it is over.

        Parameters
        ----------
        check : str
            Id of the work.
        arrival : Arrival
            Where it stands.
        """
        with self._lock:
            self._files[check] = arrival

    def put_away(self, works: Works) -> None:
        """Put away the files of the checks that are over, however they ended.

        Parameters
        ----------
        works : Works
            Where they are made.
        """
        with self._lock:
            under_way = {work.id for work in works.now()}
            over = [self._files.pop(check) for check in list(self._files) if check not in under_way]
        for arrival in over:
            arrival.drop()


def bundle_page(desk: Desk, checks: Checks, check: str) -> BundlePage:
    """Return the check of a bundle, as far as it is.

    Parameters
    ----------
    desk : Desk
        The shelf.
    checks : Checks
        What came of others.
    check : str
        Id of the work; empty to begin one.

    Returns
    -------
    BundlePage
        At once.

    Raises
    ------
    UnknownName
        There is no such check, or it was made long ago.
    CaseError
        The folder is not a shelf any more.
    """
    checks.put_away(desk.works)
    title = open_shelf(desk.shelf).description().title
    made = checks.of(check)
    if not check or made is not None:
        return BundlePage(title=title, check=check, checked=made)
    return BundlePage(title=title, check=check, work=desk.works.of(check))


def check_received(path: Path, *, progress: Callable[[float], None] | None = None) -> BundleCheck:
    """Check a bundle that was brought; a message names it as whoever brought it does, not where it stands meanwhile.

    Parameters
    ----------
    path : Path
        Where it stands.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.

    Returns
    -------
    BundleCheck
        What came of it.

    Raises
    ------
    CaseError
        It is no bundle, or one that is refused.
    StorageError
        There is no room to unpack it.
    """
    try:
        return check_bundle(path, progress=progress)
    except CaseError as error:
        raise CaseError(str(error).replace(f"{path.parent}{os.sep}", "")) from error


def add(pages: Pages, desk: Desk) -> None:
    """Add the routes.

    Parameters
    ----------
    pages : Pages
        Where they go.
    desk : Desk
        What they show.
    """
    checks = Checks()

    @pages.show(PLACE, "bundle.html")
    def page(check: str = "") -> BundlePage:
        """Show the check of a bundle, or how to begin one."""
        return bundle_page(desk, checks, check)

    @pages.router.post(
        PLACE,
        response_class=Response,
        responses=dict(TOLD),
        status_code=HTTPStatus.ACCEPTED,
        openapi_extra=form_of(files=True),
    )
    async def begin(request: Request) -> Response:
        """Check a bundle against its manifests, and compute its record again beside the page."""
        received = await receive(request, lambda: new_arrival(desk.shelf))
        work = await run_in_threadpool(_begin, desk, checks, received)
        return done(request, work, place=f"{PLACE}?check={work.id}", status=HTTPStatus.ACCEPTED)


def _begin(desk: Desk, checks: Checks, received: Received) -> Work:
    arrival = received.arrival
    names = arrival.names() if arrival is not None else ()
    if arrival is None or len(names) != 1:
        if arrival is not None:
            arrival.drop()
        raise InputError("bring one file, the bundle as it was packed")
    begun: list[str] = []
    ready = threading.Event()

    def keep(made: BundleCheck) -> None:
        ready.wait()
        checks.keep(begun[0], made)

    work = desk.works.start(check_received, {"path": arrival.file(names[0])}, title="Checking the bundle", then=keep)
    checks.put_away(desk.works)
    checks.bring(work.id, arrival)
    begun.append(work.id)
    ready.set()
    return work
