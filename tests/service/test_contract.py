"""The committed contract: valid, equal to the service, and as strict as the service is."""

import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from typing import Any

import httpx
import pytest
from msgspec import structs
from openapi_schema_validator import OAS31Validator, oas31_format_checker
from openapi_spec_validator import OpenAPIV31SpecValidator

from service.app import API_ROUTES, create_app
from service.edge.contract import PATH, document_bytes, main
from service.edge.parameters import told_path
from service.safety import SAFETY
from service.settings import Settings
from tests.service.serving import OPEN, mm, press_target, served

CONTRACT: dict[str, Any] = json.loads(PATH.read_text(encoding="utf-8"))
SCHEMAS: dict[str, Any] = CONTRACT["components"]["schemas"]
OPERATIONS: dict[str, dict[str, Any]] = {
    operation["operationId"]: operation
    for methods in CONTRACT["paths"].values()
    for operation in methods.values()
}
QUESTIONS = {"press_target", "tooling_pick", "setup_check", "tube_rating"}
READS = {
    methods["get"]["operationId"] for methods in CONTRACT["paths"].values() if "get" in methods
}
PLAIN_READS = {"vocabulary", "live", "ready"}
"""Reads that a service without a store answers."""


def schema_errors(schema: dict[str, Any], value: Any) -> list[str]:
    """What a validator of JSON Schema 2020-12 has against a value."""
    whole = {**schema, "components": CONTRACT["components"]}
    checker = OAS31Validator(whole, format_checker=oas31_format_checker)
    return [error.message for error in checker.iter_errors(value)]


def asked(operation: str) -> dict[str, Any]:
    content: dict[str, Any] = OPERATIONS[operation]["requestBody"]["content"]
    assert list(content) == ["application/json"]
    schema: dict[str, Any] = content["application/json"]["schema"]
    return schema


def resolved(told: dict[str, Any]) -> dict[str, Any]:
    """What a reference leads to; a response that stands in its place is itself."""
    if "$ref" not in told:
        return told
    _, _, kind, name = told["$ref"].split("/")
    found: dict[str, Any] = CONTRACT["components"][kind][name]
    return found


def reached(schema: Any) -> Iterator[str]:
    """Names of the schemas that a schema leads to."""
    text = json.dumps(schema)
    for name in sorted(set(re.findall(r"#/components/schemas/(\w+)", text))):
        yield name
        yield from reached(SCHEMAS[name])


def test_it_is_valid() -> None:
    assert CONTRACT["openapi"] == "3.1.0"
    assert [str(e) for e in OpenAPIV31SpecValidator(CONTRACT).iter_errors()] == []


def test_it_says_what_outranks_it() -> None:
    for line in SAFETY:
        assert line in CONTRACT["info"]["description"]


def test_it_is_what_the_service_makes_and_serves(client: httpx.Client) -> None:
    create_app(Settings())
    committed = PATH.read_bytes()
    assert document_bytes(API_ROUTES) == committed
    served = client.get("/openapi.json")
    assert served.content == committed
    assert served.headers["content-type"] == "application/json"


def test_it_is_the_same_in_another_process_with_another_hash_seed() -> None:
    for seed in ("1", "2"):
        subprocess.run(
            [sys.executable, "-m", "service.edge.contract", "--check"],
            env={**os.environ, "PYTHONHASHSEED": seed},
            check=True,
        )


def test_a_stale_contract_is_told(
    tmp_path: Any, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    stale = tmp_path / "openapi.json"
    stale.write_bytes(PATH.read_bytes().replace(b'"Ringwright"', b'"Ringwrong"'))
    monkeypatch.setattr("service.edge.contract.PATH", stale)
    assert main(["--check"]) == 1
    assert "--write" in capsys.readouterr().err
    assert main(["--write"]) == 0
    assert main(["--check"]) == 0
    assert stale.read_bytes() == PATH.read_bytes()
    assert main([]) == 2


def test_every_path_of_the_service_is_in_it_or_is_a_page() -> None:
    app = create_app(Settings())
    routes: Any = app.app
    paths = {told_path(route.path) for route in routes.routes}
    pages = {path for path in paths if path in {"/", "/openapi.json"} or path.startswith("/docs")}
    assert paths - pages == set(CONTRACT["paths"])
    assert len(OPERATIONS) == sum(len(methods) for methods in CONTRACT["paths"].values())


@pytest.mark.parametrize("operation", sorted(QUESTIONS))
def test_a_question_is_a_closed_object_to_its_last_part(operation: str) -> None:
    names = [n for n in reached(asked(operation)) if "enum" not in SCHEMAS[n]]
    assert len(names) >= 4
    for name in names:
        assert SCHEMAS[name]["type"] == "object"
        assert SCHEMAS[name]["additionalProperties"] is False, name


@pytest.mark.parametrize("operation", sorted(QUESTIONS))
def test_a_text_of_a_question_has_a_greatest_length(operation: str) -> None:
    for name in reached(asked(operation)):
        for field, schema in SCHEMAS[name].get("properties", {}).items():
            if schema.get("type") == "string" and "format" not in schema:
                assert "maxLength" in schema, f"{name}.{field}"
            if schema.get("type") == "array":
                assert "maxItems" in schema, f"{name}.{field}"
            if schema.get("type") in {"number", "integer"}:
                assert {"maximum", "exclusiveMaximum"} & set(schema), f"{name}.{field}"


def test_no_pattern_takes_more_than_it_shows() -> None:
    # `\d` takes the digits of every script, and `$` a line feed after the end.
    text = json.dumps(CONTRACT)
    assert "\\\\d" not in text
    assert "\\\\w" not in text
    revision = SCHEMAS["PressTargetQuestion"]["properties"]["revision"]
    assert (revision["minLength"], revision["maxLength"]) == (71, 71)


@pytest.mark.parametrize(
    ("operation", "body"),
    [
        ("press_target", {"tube": {"od": mm(0)}}),  # above 0, in an optional part
        ("press_target", {"tube": {"od": {"value": "16", "unit": "mm"}}}),
        ("press_target", {"tube": {"wal": mm(1)}}),
        ("press_target", {"press": None}),
        ("setup_check", {"tube": {"straight_length": mm(-1)}}),  # bounds inside a union
        ("setup_check", {"tube": {"straight_length": "bend"}}),
        ("setup_check", {"preparation": {"lubricated": ["oil"]}}),  # a value inside a list
        ("setup_check", {"preparation": {"lubricated": ["ring"] * 4}}),
        ("setup_check", {"on": "today"}),
        ("tooling_pick", {"items": []}),
        ("tooling_pick", {}),
        ("tooling_pick", {"items": [{"quantity": 0}]}),  # bounds inside a list of objects
        ("tooling_pick", {"items": [{"quantity": 1.5}]}),
        ("tube_rating", {"methods": []}),
        ("tube_rating", {"proof_factor": 0.9}),
    ],
)
def test_what_the_service_refuses_the_contract_refuses(
    client: httpx.Client, operation: str, body: Any
) -> None:
    assert schema_errors(asked(operation), body) != []
    path = next(p for p, m in CONTRACT["paths"].items() if OPERATIONS[operation] in m.values())
    assert client.post(path, json=body).status_code == 422


def test_defaults_are_told_in_words() -> None:
    # A generator makes a field with a default a required one, of whoever asks too.
    methods = SCHEMAS["TubeRatingQuestion"]["properties"]["methods"]
    assert methods["description"].endswith("left out: `iso-10763`")
    units = SCHEMAS["AnswerUnits"]["properties"]
    said = {name: units[name]["description"].rpartition("left out: ")[2] for name in units}
    assert said == {"length": "`mm`", "pressure": "`bar`", "force": "`kN`", "temperature": "`degC`"}
    whole = SCHEMAS["TubeRatingQuestion"]["properties"]["answer_in"]["description"]
    assert whole.endswith("left out: `mm`, `bar`, `kN`, `degC`")


@pytest.mark.parametrize("operation", sorted(OPERATIONS))
def test_every_refusal_is_a_problem_with_headers(operation: str) -> None:
    responses = OPERATIONS[operation]["responses"]
    probe = operation in {"live", "ready"}
    assert {"400", "500"} <= set(responses)
    assert ({"401", "403", "429"} <= set(responses)) is not probe
    if operation in QUESTIONS:
        assert {"200", "404", "413", "415", "422", "503"} <= set(responses)
    if operation in READS:
        assert {"200", "304", "412"} <= set(responses)
    for status, told in responses.items():
        response = resolved(told)
        headers = {"Catalog-Revision", "Ringwright-Rules", "Content-Digest", "X-Request-Id", "Vary"}
        if status != "304":
            headers.add("Content-Encoding")
        if status in {"200", "304"} and operation in READS:
            headers.add("ETag")
        if status in {"429", "503"} and not probe:
            headers.add("Retry-After")
        if status == "401":
            headers.add("WWW-Authenticate")
        limits = {"RateLimit", "RateLimit-Policy"}
        if not probe:
            headers |= limits
        # What every problem may carry stands once, so that of a probe names the limits too.
        more = {"ETag", *limits} if probe and status >= "304" else {"ETag"}
        assert set(response["headers"]) - more == headers - more
        assert headers <= set(response["headers"])
        if status >= "400" and not (probe and status == "503"):
            assert list(response["content"]) == ["application/problem+json"]


def test_every_header_is_as_it_is_described(client: httpx.Client) -> None:
    described = CONTRACT["components"]["headers"]
    with served(structs.replace(OPEN, requests_per_second=1)) as counted:
        limited = counted.post("/v1/press-targets", json=press_target())
    responses = [
        client.get("/v1/vocabulary", headers={"Accept-Encoding": each})
        for each in ("", "gzip", "zstd")
    ]
    responses.append(client.post("/v1/press-targets", json={"x": 1}))
    responses.append(client.post("/v1/press-targets", json=press_target()))
    for response in (*responses, limited):
        for name, header in described.items():
            if name.startswith("RateLimit"):
                # They are there where there is a limit.
                assert (header["required"], name in response.headers) == (
                    False,
                    response is limited,
                )
                if response is not limited:
                    continue
            if name == "ETag" and response.request.method == "POST":
                continue
            if name == "Content-Encoding":
                # It is there where there is a coding: here the one that was asked for, or none.
                coding = response.request.headers["accept-encoding"] or None
                coded = coding if response in responses[:3] else response.headers.get(name)
                assert (header["required"], response.headers.get(name)) == (False, coded)
                if coded is None:
                    continue
            assert re.fullmatch(header["schema"]["pattern"], response.headers[name]), name


@pytest.mark.parametrize("operation", sorted(QUESTIONS))
def test_its_examples_are_asked_and_answered_by_its_own_schemas(
    client: httpx.Client, operation: str
) -> None:
    path = next(p for p, m in CONTRACT["paths"].items() if OPERATIONS[operation] in m.values())
    content = OPERATIONS[operation]["requestBody"]["content"]["application/json"]
    answer = OPERATIONS[operation]["responses"]["200"]["content"]["application/json"]["schema"]
    assert content["examples"]
    for name, example in content["examples"].items():
        assert schema_errors(content["schema"], example["value"]) == [], name
        response = client.post(path, json=example["value"])
        assert response.status_code == 200, name
        assert schema_errors(answer, response.json()) == [], name


@pytest.mark.parametrize("operation", sorted(PLAIN_READS))
def test_what_is_read_is_as_it_is_described(client: httpx.Client, operation: str) -> None:
    path = next(p for p, m in CONTRACT["paths"].items() if OPERATIONS[operation] in m.values())
    schema = OPERATIONS[operation]["responses"]["200"]["content"]["application/json"]["schema"]
    assert schema_errors(schema, client.get(path).json()) == []


def test_a_problem_is_as_it_is_described(client: httpx.Client) -> None:
    schema = {"$ref": "#/components/schemas/ProblemDetails"}
    for response in (
        client.get("/nothing"),
        client.put("/v1/press-targets"),
        client.post("/v1/press-targets", json={"x": 1}),
        client.post("/v1/press-targets", content=b"{"),
        client.get("/health/live?x"),
    ):
        assert schema_errors(schema, response.json()) == []
        assert response.json()["detail"]
    assert schema_errors(schema, {"status": 404}) != []  # the check could fail


def test_no_answer_says_null(client: httpx.Client) -> None:
    for path, body in (
        ("/v1/press-targets", {}),
        ("/v1/setup-checks", {}),
        ("/v1/tube-ratings", {}),
        ("/v1/tooling-picks", {"items": [{}]}),
        ("/v1/press-targets", press_target()),
    ):
        response = client.post(path, json=body)
        assert response.status_code == 200
        assert b"null" not in response.content
