"""Every route answers as it is described, whatever it is asked: drawn from the description itself."""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import hypothesis.strategies as st
import pytest
import requests
import schemathesis
from fastapi import FastAPI
from fastapi.testclient import TestClient
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis import GenerationMode
from schemathesis.core.result import Ok
from schemathesis.specs.openapi import checks

from coldpin.records.vocabulary import VOCABULARY
from coldpin.web.app import create_app
from tests.web.test_pages import settled

HERE = "http://127.0.0.1"
CASE = "skerrow-16"
CHECKED = [
    checks.status_code_conformance,
    checks.content_type_conformance,
    checks.response_headers_conformance,
    checks.response_schema_conformance,
]
NOT_OUR_FAULT = (501, 503, 507)
"""What is not installed, what is being made and is to be asked for again, a full disk; each must be described."""

ODD = (
    "",
    " ",
    "..",
    "../..",
    "a/b",
    "nothing",
    "CON",
    "x" * 300,
    "a\nb",
    "a\x00b",
    "\u202egpj.exe",
    "<b>",
    "%2e%2e",
    "ü",
)
"""What a person, a file system or a foe may call something."""


@pytest.fixture(scope="module")
def app(quay: Path, tmp_path_factory: pytest.TempPathFactory) -> FastAPI:
    """The whole application, over a copy of the shelf: its actions are asked for too."""
    shelf = tmp_path_factory.mktemp("described") / "shelf"
    shutil.copytree(quay, shelf)
    return create_app(shelf)


@pytest.fixture(scope="module")
def client(app: FastAPI) -> Iterator[TestClient]:
    """Asks it; what breaks inside is raised here."""
    with TestClient(app, base_url=HERE, follow_redirects=False) as asker:
        settled(asker)
        yield asker


@pytest.fixture(scope="module")
def known(client: TestClient) -> Mapping[str, tuple[str, ...]]:
    """Words that lead somewhere, by the name of the parameter or field that takes them."""
    assessment = client.get(f"/case/{CASE}.json").json()["assessment"]
    entries = tuple(entry["id"] for entry in assessment["entries"])
    return {
        "name": (CASE, CASE, "empty & new", "broken"),
        "case": (CASE, "empty & new"),
        "finding": tuple(finding["id"] for finding in assessment["findings"][:5]),
        "entry": entries,
        "replaces": entries,
        "shows": tuple(VOCABULARY)[::3],
        "who": ("Ines",),
        "instrument": ("meter", "scope", ""),
        "readings": ("510 mΩ", "1,4 V", "12"),
        "work": ("1", "2"),
        "state": ("shown", "not_shown", "works", ""),
        "scenario": ("touch-live-pins", "plug-burns"),
        "step": ("way-to-earth", "pins-live"),
        "like": tuple(use["name"] for use in assessment["conditions_of_use"][:3]),
        "key": ("specimen.serial", "unit.phases", "claims.words"),
        "list": ("opinions", "estimates", "conditions_of_use"),
        "constant": ("earth.in-service", "plug.cee-7-4"),
        "field": ("name", "text", "source", "maximum"),
        "standing": ("read", "memory"),
    }


def operations(app: FastAPI) -> list[Any]:
    """Every route there is, as described."""
    schema = schemathesis.openapi.from_dict(app.openapi())
    return [found.ok() for found in schema.get_all_operations() if isinstance(found, Ok)]


def test_every_route_is_described(app: FastAPI) -> None:
    """With a sentence, each parameter, and the errors it may answer with; none is left out."""
    described = app.openapi()
    for path, methods in described["paths"].items():
        for method, route in methods.items():
            where = f"{method} {path}"
            assert len(route.get("summary", "").split()) > 1, where
            assert {"400", "403", "422"} <= set(route["responses"]), where
            assert all(answer["description"] for answer in route["responses"].values()), where
            refusal = route["responses"]["404"]["content"]["application/json"]["schema"]
            assert refusal == {"$ref": "#/components/schemas/Told"}, where
            if "requestBody" in route:
                assert "413" in route["responses"], where
            if path.endswith(".json"):
                assert set(route["responses"]["200"]["content"]) == {"application/json"}, where
    ids = [route["operationId"] for methods in described["paths"].values() for route in methods.values()]
    assert len(ids) == len(set(ids))


def test_every_route_answers_as_described(
    app: FastAPI, client: TestClient, known: Mapping[str, tuple[str, ...]], proving: bool
) -> None:
    """No fault, no status and no form of answer that is not described, whatever is asked."""
    for operation in operations(app):
        asked_well = operation.as_strategy(generation_mode=GenerationMode.POSITIVE)
        asked_badly = operation.as_strategy(generation_mode=GenerationMode.NEGATIVE)

        @given(case=st.one_of(asked_well, asked_badly), data=st.data())
        @settings(
            max_examples=100 if proving else 4,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
            deadline=None,
        )
        def ask(case: Any, data: st.DataObject) -> None:
            for place in (case.path_parameters, case.query, case.body):
                lead_somewhere(place, known, data)
            asked = requests.Request(**case.as_transport_kwargs(base_url=HERE)).prepare()
            parts: dict[str, Any] = {"content": asked.body, "headers": dict(asked.headers)}
            answer = client.request(str(asked.method), str(asked.url), **parts)
            assert answer.status_code < 500 or answer.status_code in NOT_OUR_FAULT, answer.text
            case.validate_response(answer, checks=CHECKED)

        ask()


def lead_somewhere(place: Any, known: Mapping[str, tuple[str, ...]], data: st.DataObject) -> None:
    """Put words that lead somewhere, or odd ones, in the place of some that were drawn."""
    if not isinstance(place, dict):
        return
    for name in [name for name in place if name in known]:
        kind = data.draw(st.integers(0, 9))
        if kind < 7:
            place[name] = data.draw(st.sampled_from(known[name]))
        elif kind < 9:
            place[name] = data.draw(st.sampled_from(ODD))
