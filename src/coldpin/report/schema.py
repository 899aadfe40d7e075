"""The schema of every document that coldpin hands out as JSON, by the name that stands in the document."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from coldpin.records.assessment import Assessment
from coldpin.records.pilot import PilotReading
from coldpin.records.plain import schema_of
from coldpin.records.proximity import ProximityReading
from coldpin.records.vehicle_simulator import VehicleSimulator

DOCUMENTS: Mapping[str, type] = {
    "coldpin.assessment/1": Assessment,
    "coldpin.pilot/1": PilotReading,
    "coldpin.proximity/1": ProximityReading,
    "coldpin.vehicle_simulator/1": VehicleSimulator,
}
"""The record behind each document; a released version is never changed, only followed by the next."""


def schemas() -> dict[str, dict[str, Any]]:
    """Return the JSON schema of every document.

    Returns
    -------
    dict of str to dict
        JSON Schema 2020-12 by the document's name.

    Examples
    --------
    >>> sorted(schemas())
    ['coldpin.assessment/1', 'coldpin.pilot/1', 'coldpin.proximity/1', 'coldpin.vehicle_simulator/1']
    """
    return {name: {**schema_of(record), "title": name} for name, record in DOCUMENTS.items()}


def schema_file(name: str) -> str:
    """Return the file name of a document's schema.

    Parameters
    ----------
    name : str
        The document's name.

    Returns
    -------
    str
        The file name.

    Examples
    --------
    >>> schema_file("coldpin.pilot/1")
    'coldpin.pilot-1.schema.json'
    """
    return f"{name.replace('/', '-')}.schema.json"


def write_schemas(folder: Path) -> tuple[Path, ...]:
    """Write every schema into a folder.

    Parameters
    ----------
    folder : pathlib.Path
        Where; made if it is not there.

    Returns
    -------
    tuple of pathlib.Path
        The files, in the order of the documents' names.
    """
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name, schema in sorted(schemas().items()):
        file = folder / schema_file(name)
        file.write_text(json.dumps(schema, ensure_ascii=False, indent=2) + "\n", encoding="utf-8")
        written.append(file)
    return tuple(written)
