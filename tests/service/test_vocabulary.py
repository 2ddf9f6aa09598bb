"""The vocabulary says every word that a question may use and an answer may give."""

from typing import Any, get_args

import httpx
import pytest

from catalog import terms
from catalog.findings import CODES
from catalog.seed import shipped_index


@pytest.fixture(scope="module")
def told(client: httpx.Client) -> dict[str, Any]:
    response = client.get("/v1/vocabulary")
    assert response.status_code == 200
    answer: dict[str, Any] = response.json()
    return answer


def test_every_closed_set_of_terms_is_told(told: dict[str, Any]) -> None:
    sets = {
        name: list(get_args(kind))
        for name, kind in vars(terms).items()
        if name[0].isupper() and not name.isupper() and name != "Literal"
    }
    assert len(sets) > 30
    said = [*told["enums"].values(), *told["units"].values()]
    assert [name for name, words in sets.items() if words not in said] == []


def test_every_code_is_told_with_its_severity_text_and_remedy(told: dict[str, Any]) -> None:
    assert {each["code"]: (each["severity"], each["step"]) for each in told["codes"]} == {
        code: (each.severity, each.step) for code, each in CODES.items()
    }
    cautions = shipped_index().cautions
    for each in told["codes"]:
        assert (each["text"], each["remedy"]) == (
            cautions[each["code"]].text,
            cautions[each["code"]].remedy,
        )
        assert each["text"]


def test_every_required_fact_is_a_field_that_its_question_takes(
    told: dict[str, Any], client: httpx.Client
) -> None:
    schemas = client.get("/openapi.json").json()["components"]["schemas"]
    structs = {
        "press_target": "PressTargetQuestion",
        "tooling_pick": "PickItem",
        "tooling_pick_with_service": "PickItem",
        "setup_check": "SetupCheckQuestion",
        "tube_rating": "TubeRatingQuestion",
    }
    assert set(told["required"]) == set(structs)
    for question, facts in told["required"].items():
        for fact in facts:
            schema = schemas[structs[question]]
            for name in fact["at"].split("/")[1:]:
                schema = schemas.get(schema.get("$ref", "").rpartition("/")[2], schema)
                schema = schema["properties"][name]
            assert fact["code"] in CODES


def test_every_id_is_one_that_a_question_can_name(
    told: dict[str, Any], client: httpx.Client
) -> None:
    assert told["revision"] == client.get("/health/ready").json()["revision"]
    ids = told["ids"]
    assert set(ids) == {
        *("materials", "series", "rings", "presses", "gauges", "cones", "plates"),
        *("coatings", "fluids", "cut_methods"),
    }
    assert all(ids.values())
    fields = {
        "materials": ("tube", "material", "tube.material-unknown"),
        "series": ("fitting", "series", "fitting.series-unknown"),
        "rings": ("fitting", "ring", "fitting.ring-unknown"),
        "cones": ("tooling", "cone", "tooling.cone-unknown"),
        "plates": ("tooling", "plate", "tooling.plate-unknown"),
        "coatings": ("tube", "coating", "tube.coating-unknown"),
        "fluids": ("service", "fluid", "service.fluid-unknown"),
        "cut_methods": ("preparation", "cut_method", "preparation.cut-method-unknown"),
    }
    for kind, (part, field, code) in fields.items():
        for name, known in ((ids[kind][0], True), ("no-such-id", False)):
            answer = client.post("/v1/setup-checks", json={part: {field: name}}).json()
            assert (code not in {f["code"] for f in answer["findings"]}) == known, (kind, name)
    for field in ("press", "gauge"):
        for name, known in ((f"{field}-b", True), ("no-such-id", False)):
            answer = client.post("/v1/setup-checks", json={field: name}).json()
            assert (f"{field}.unknown" not in {f["code"] for f in answer["findings"]}) == known
