"""The attack finds what is broken: each way in which a service could differ from its contract."""

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest

from service.edge.problems import ProblemError
from tests.contract.attack import Attacked, attack
from tests.contract.real import INDEX, STORED, TARGETS, before_call, with_real_names
from tests.service.serving import mm

Break = Callable[[pytest.MonkeyPatch], None]


def a_fault(patch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **_more: object) -> None:
        raise RuntimeError

    patch.setattr("service.routes.answers.tube_rating", broken)


def an_answer_of_another_form(patch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **_more: object) -> dict[str, str]:
        return {"verdikt": "allowed"}

    patch.setattr("service.routes.answers.tube_rating", broken)


def a_header_left_out(patch: pytest.MonkeyPatch) -> None:
    from service.edge.wrapper import _common_headers

    def broken(*about: Any) -> list[tuple[bytes, bytes]]:
        return [(n, v) for n, v in _common_headers(*about) if n != b"catalog-revision"]

    patch.setattr("service.edge.wrapper._common_headers", broken)


def a_status_that_is_not_told(patch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **_more: object) -> None:
        raise ProblemError("method-not-allowed", "never")

    patch.setattr("service.routes.answers.tube_rating", broken)


def anything_taken(patch: pytest.MonkeyPatch) -> None:
    from service.edge.decoding import decoded

    def broken(body: bytes, kind: Any) -> Any:
        try:
            return decoded(body, kind)
        except ProblemError:
            return kind()

    patch.setattr("service.edge.decoding.decoded", broken)


def nothing_but_refusals(patch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise ProblemError("revision-not-found", "never")

    patch.setattr("service.routes.answers._index", broken)


@pytest.mark.apart
@pytest.mark.parametrize(
    ("broken", "finds"),
    [
        (a_fault, "Server error"),
        (an_answer_of_another_form, "Response violates schema"),
        (a_header_left_out, "Missing required response headers"),
        (a_status_that_is_not_told, "Undocumented status code"),
        (anything_taken, "Schema-violating request accepted"),
        (nothing_but_refusals, "Missing test data"),
        (None, "No issues found"),
    ],
    ids=lambda value: getattr(value, "__name__", None),
)
def test_a_service_that_differs_is_found_out(
    broken: Break | None, finds: str, target: Attacked, monkeypatch: pytest.MonkeyPatch
) -> None:
    if broken is not None:
        broken(monkeypatch)
    ended = attack(
        target,
        "--phases=examples,coverage",
        "--include-path=/v1/tube-ratings",
        "--max-failures=1",
        "--seed=1",
    )
    assert finds in ended.stdout, ended.stdout + ended.stderr
    assert ended.returncode == (0 if broken is None else 1)


def test_real_names_change_values_and_never_the_form() -> None:
    body = {
        "items": [{"tube": {"od": mm(3), "material": "x"}, "fitting": {"ring": "y"}}] * 40,
        "revision": "sha256:" + "0" * 64,
    }
    named = [with_real_names({**body, "client_ref": str(n)}) for n in range(40)]
    for made in named:
        assert made.keys() == {*body, "client_ref"}
        for item in made["items"]:
            assert item.keys() == {"tube", "fitting"}
            assert item["tube"].keys() == {"od", "material"}
    pinned = {made["revision"] for made in named}
    assert pinned == {*STORED, body["revision"]}
    rings = {item["fitting"]["ring"] for made in named for item in made["items"]}
    assert "y" in rings
    assert rings - {"y"} <= set(INDEX.rings)
    assert len(rings) > 3
    assert len(TARGETS) == 42


@pytest.mark.parametrize(
    ("phase", "query"), [("stateful", {}), ("fuzzing", {"validate_only": "true"})]
)
def test_links_follow_what_was_kept_and_the_rest_only_looks_too(
    phase: str, query: dict[str, str]
) -> None:
    case = SimpleNamespace(
        meta=SimpleNamespace(
            generation=SimpleNamespace(mode=SimpleNamespace(is_positive=True)),
            phase=SimpleNamespace(name=SimpleNamespace(value=phase)),
        ),
        operation=SimpleNamespace(
            definition=SimpleNamespace(raw={"operationId": "propose"}), path="/v1/revisions"
        ),
        path_parameters={},
        query={"validate_only": "true"},
        headers={},
        body={"note": "thicker", "tables": {"targets": []}},
        media_type="application/json",
    )
    before_call(None, case)
    assert case.query == query
