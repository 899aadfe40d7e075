"""Speed of the page of a capture: a thousand million samples prepared once, then any window asked for over HTTP."""

from __future__ import annotations

import http.client
import os
import tempfile
import threading
import time
from functools import partial
from itertools import product
from pathlib import Path
from statistics import median
from urllib.parse import quote

import numpy as np
import uvicorn

from coldpin.records.case import Build, Cable, Electronics
from coldpin.web.app import create_app
from coldpin.workbench.cases import new_case
from coldpin.workbench.entries import add_evidence
from coldpin.workbench.wave_opening import open_wave
from coldpin.workbench.wave_preparing import prepare_wave
from tools.measured_page import table
from tools.timing import tell, timed

SAMPLES = 1_000_000_000
"""Of two bytes each: a quarter of an hour at 1 MS/s, 2 GB."""

RATE = 1e6
COLUMNS = 4000
"""More than a wide screen asks for."""

PLACES = 7
"""Windows of each width, spread over the capture."""

GOAL = 0.050
"""Any window, once the wave is prepared. [s]"""

PATIENCE = 30.0
"""After so long a server that does not begin to listen is given up. [s]"""


def write_capture(target: Path, samples: int) -> None:
    """Write a capture of the pilot in state B with some noise, as an array of two bytes a sample.

    Parameters
    ----------
    target : Path
        The file to write.
    samples : int
        How many.
    """
    cycles = np.tile(np.repeat(np.array([900, -1200], np.int16), [267, 733]), 1000)
    tile = cycles + np.random.default_rng(1).integers(-3, 4, cycles.size).astype(np.int16)
    with target.open("wb") as out:
        np.lib.format.write_array_header_1_0(out, {"descr": "<i2", "fortran_order": False, "shape": (samples,)})
        for begin in range(0, samples, tile.size):
            out.write(tile[: min(tile.size, samples - begin)].tobytes())


def serve(shelf: Path) -> tuple[uvicorn.Server, threading.Thread, int]:
    """Show a shelf from a thread of this process.

    Parameters
    ----------
    shelf : Path
        Its folder.

    Returns
    -------
    tuple
        The server, its thread, and the port.

    Raises
    ------
    TimeoutError
        It does not begin to listen.
    """
    server = uvicorn.Server(uvicorn.Config(create_app(shelf), host="127.0.0.1", port=0, log_level="warning"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    end = time.monotonic() + PATIENCE
    while not server.started:
        if time.monotonic() > end:
            raise TimeoutError("the server does not begin to listen")
        time.sleep(0.02)
    return server, thread, int(server.servers[0].sockets[0].getsockname()[1])


def _ask(line: http.client.HTTPConnection, address: str) -> None:
    line.request("GET", address)
    answer = line.getresponse()
    data = answer.read()
    if answer.status != http.HTTPStatus.OK or not data:
        raise RuntimeError(f"{address} answered {answer.status}")


def section(samples: int = SAMPLES) -> tuple[str, bool]:
    """Time the preparing of a long wave and windows of every width, and return the text of the section.

    Parameters
    ----------
    samples : int
        How long the capture is. [1]

    Returns
    -------
    tuple of str and bool
        A table, and whether the goal is reached.
    """
    with tempfile.TemporaryDirectory() as folder:
        tell(f"a wave of {samples:.3g} samples")
        file = Path(folder) / "long.npy"
        write_capture(file, samples)
        case = new_case(
            Path(folder) / "shelf" / "long",
            make="Skerrow",
            model="16",
            charging_mode=2,
            build=Build.PORTABLE,
            cable=Cable.ATTACHED,
            electronics=Electronics.IN_CABLE,
            tester="Ines",
        ).folder
        choices = {"rate": RATE, "scale": 0.01}
        entry = add_evidence(case, file, shows="pilot capture", who="Ines", choices=choices).entry.id
        file.unlink()
        preparing = timed(partial(prepare_wave, case, entry))
        opening = timed(partial(open_wave, case, entry))
        server, thread, port = serve(case.parent)
        try:
            times = _windows(port, f"/case/{case.name}/wave/{quote(entry)}/samples", samples)
        finally:
            server.should_exit = True
            thread.join(PATIENCE)
    worst = max(max(found) for found in times.values())
    reached = worst <= GOAL
    rows = [
        [f"preparing {samples:.3g} samples, once", f"{preparing:.2f} s", "", ""],
        ["opening the prepared wave", f"{1e3 * opening:.1f} ms", "", ""],
    ]
    for width, found in times.items():
        goal = f"≤ {1e3 * GOAL:g} ms" + ("" if max(found) <= GOAL else ", **not reached**")
        rows.append(
            [
                f"a window of {width:.3g} samples in {COLUMNS} columns",
                f"{1e3 * median(found):.1f} ms",
                f"{1e3 * min(found):.1f} ms to {1e3 * max(found):.1f} ms",
                goal,
            ]
        )
    text = (
        f"The wave of a capture, asked for over HTTP on this machine, {PLACES} places for each width; load average at "
        f"the end {os.getloadavg()[0]:.1f}.\n\n"
    )
    return text + table(["wave", "median", "lowest to highest", "goal"], rows), reached


def _windows(port: int, address: str, samples: int) -> dict[int, list[float]]:
    """Return how long windows of every width take, by width. [s]"""
    draws = np.random.default_rng(2)
    widths = sorted({samples, *(samples // part for part in (3, 30, 300, 1500, 3000, 10**4, 10**5, 10**6))} - {0})
    line = http.client.HTTPConnection("127.0.0.1", port)
    _ask(line, f"{address}?first=0&count={widths[0]}&columns=16")  # the wave is opened by whoever comes first
    times: dict[int, list[float]] = {width: [] for width in widths}
    for width, _ in product(widths, range(PLACES)):
        first = int(draws.integers(0, samples - width + 1))
        asked = f"{address}?first={first}&count={width}&columns={COLUMNS}"
        times[width].append(timed(partial(_ask, line, asked)))
    line.close()
    return times


if __name__ == "__main__":
    print(section()[0])
