"""The schemas: they stand for what is written, and one file each."""

from __future__ import annotations

import json
from pathlib import Path

from coldpin.pilot.proximity import read_proximity
from coldpin.pilot.vehicle_simulator import plan_vehicle_simulator
from coldpin.quantity import Quantity
from coldpin.records.assessment import Assessment
from coldpin.records.plain import from_json, to_json, to_plain
from coldpin.report import build_document, render_html, schemas, write_schemas
from coldpin.standards import Edition, load_book
from tests.report.sample import PILOT, SAMPLE


def test_each_document_names_itself_in_its_schema() -> None:
    """The name in the document is the only one its schema allows."""
    for name, schema in schemas().items():
        assert schema["title"] == name
        assert schema["properties"]["schema"]["const"] == name
        assert schema["$schema"].endswith("2020-12/schema")


def test_what_is_written_has_the_keys_that_its_schema_asks_for() -> None:
    """The record and the schema name the same keys."""
    for name, record in (
        ("coldpin.assessment/1", SAMPLE),
        ("coldpin.pilot/1", PILOT.reading),
        ("coldpin.proximity/1", read_proximity(Quantity(223.0, 1.0, "Ω"), load_book())),
        ("coldpin.vehicle_simulator/1", plan_vehicle_simulator(load_book(), Edition.IEC_3)),
    ):
        schema = schemas()[name]

        assert set(schema["required"]) <= set(to_plain(record)) <= set(schema["properties"])


def test_one_file_is_written_for_each(tmp_path: Path) -> None:
    """The files hold the schemas as JSON."""
    files = write_schemas(tmp_path / "schema")

    assert [file.name for file in files] == [
        "coldpin.assessment-1.schema.json",
        "coldpin.pilot-1.schema.json",
        "coldpin.proximity-1.schema.json",
        "coldpin.vehicle_simulator-1.schema.json",
    ]
    assert [json.loads(file.read_text(encoding="utf-8")) for file in files] == [schemas()[n] for n in sorted(schemas())]


def test_a_report_can_be_made_again_from_its_record() -> None:
    """The record written as JSON and read back gives the same page, number for number."""
    again = from_json(Assessment, to_json(SAMPLE), where="assessment.json")

    assert render_html(build_document(again)) == render_html(build_document(SAMPLE))
