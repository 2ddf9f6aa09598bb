"""Every error of a body at once, each with its pointer; nothing is converted by guess."""

from typing import Any

import httpx
import pytest

from tests.service.serving import mm, press_target

PATH = "/v1/press-targets"


def pointers(client: httpx.Client, body: Any, path: str = PATH) -> dict[str, str]:
    response = client.post(path, json=body)
    assert response.status_code == 422, response.text
    return {error["pointer"]: error["detail"] for error in response.json()["errors"]}


def test_all_errors_at_once_each_with_its_pointer(client: httpx.Client) -> None:
    told = pointers(
        client,
        {
            "tube": {"od": {"value": -16, "unit": "cm"}, "wal": 3, "wall": None, "material": 5},
            "press": "",
            "fitting": {"series": "S", "ring_style": "x"},
            "on": "2.3.2026",
            "extra/~": 1,
        },
    )
    assert set(told) == {
        "/tube/od/value",
        "/tube/od/unit",
        "/tube/wal",
        "/tube/wall",
        "/tube/material",
        "/press",
        "/fitting/ring_style",
        "/on",
        "/extra~1~0",
    }
    assert told["/tube/od/value"] == "`-16` is not a number above 0 and at most 1000000"
    assert told["/tube/od/unit"] == "`cm` is not one of `in`, `mm`"
    assert "did you mean `wall`" in told["/tube/wal"]
    assert "leave the field out" in told["/tube/wall"]


@pytest.mark.parametrize("radius", [0, -40])
def test_a_bend_has_a_radius_above_zero(client: httpx.Client, radius: float) -> None:
    bends = [{"radius": mm(40)}, {"radius": mm(radius)}]
    told = pointers(client, {"tube": {"bends": bends}}, "/v1/setup-checks")
    assert set(told) == {"/tube/bends/1/radius/value"}
    assert f"`{radius}` is not a number above 0" in told["/tube/bends/1/radius/value"]


@pytest.mark.parametrize("value", ["16", "1e1", True, [16], {"v": 16}, None, "NaN", 0, -1, 1e300])
def test_a_size_is_a_number_above_zero(client: httpx.Client, value: Any) -> None:
    body = press_target(tube={"od": {"value": value, "unit": "mm"}})
    told = pointers(client, body)
    assert set(told) == {"/tube/od/value"}
    assert ("without quotes" in told["/tube/od/value"]) == isinstance(value, str)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("tube", []),
        ("tube", "null"),
        ("fitting", 3),
        ("press", 5),
        ("press", "p" * 81),
        ("revision", "latest"),
        ("revision", "sha256:" + "0" * 64 + "\n"),
        ("client_ref", "x" * 121),
        ("answer_in", {"pressure": "atm"}),
        ("tool_state", {"cone_uses_since_check": 1.5}),
        ("tool_state", {"cone_uses_since_check": -1}),
    ],
)
def test_a_wrong_value_is_refused_where_it_stands(
    client: httpx.Client, field: str, value: Any
) -> None:
    told = pointers(client, press_target(**{field: value}))
    assert len(told) == 1
    assert next(iter(told)).startswith(f"/{field}")


def test_tools_are_an_object_by_ids(client: httpx.Client) -> None:
    tools = {
        "gauge-a": {"calibration_due": "soon", "uses": 3},
        "a/b": None,
        "": {},
        "cone-S-16": 12,
        "cone-S-14": {"uses_since_check": 12.0},
    }
    told = pointers(client, {"items": [{}], "tools": tools}, "/v1/tooling-picks")
    assert set(told) == {
        *("/tools/gauge-a/calibration_due", "/tools/gauge-a/uses", "/tools/a~1b"),
        *("/tools/", "/tools/cone-S-16"),
    }
    assert told["/tools/cone-S-16"] == (
        "`12` is not an object with `calibration_due`, `uses_since_check`"
    )
    body = {"items": [{}], "tools": {f"gauge-{n}": {} for n in range(1001)}}
    told = pointers(client, body, "/v1/tooling-picks")
    assert list(told) == ["/tools"]
    assert told["/tools"].startswith("1001 entries are not an object of at most 1000")
    told = pointers(client, {"items": [{}], "tools": []}, "/v1/tooling-picks")
    assert told["/tools"].startswith("`[]` is not an object of at most 1000")


def test_a_long_value_is_shown_in_part(client: httpx.Client) -> None:
    told = pointers(client, press_target(press="p" * 5000, on=["x"] * 5000))
    assert all(len(detail) < 200 for detail in told.values())
    assert told["/press"].startswith(f"`{'p' * 60}...` is not a text")


def test_a_whole_number_may_be_written_as_a_fraction(client: httpx.Client) -> None:
    # JSON Schema calls 12.0 an integer, so a client that checked its question must not be refused.
    response = client.post(PATH, json=press_target(tool_state={"cone_uses_since_check": 12.0}))
    assert response.status_code == 200
    assert response.json()["tool_state"]["cone_uses_since_check"] == 12


def test_a_name_that_stands_twice_is_refused(client: httpx.Client) -> None:
    body = b'{"tube": {"od": {"value": 16, "value": 17, "unit": "mm"}}, "press": "a", "press": "b"}'
    response = client.post(PATH, content=body, headers={"Content-Type": "application/json"})
    assert response.status_code == 422
    assert {e["pointer"] for e in response.json()["errors"]} == {"/tube/od/value", "/press"}


@pytest.mark.parametrize("body", [[], "x", 5, None, True])
def test_the_top_must_be_an_object(client: httpx.Client, body: Any) -> None:
    response = client.post(
        PATH, content=__import__("json").dumps(body), headers={"Content-Type": "application/json"}
    )
    assert response.status_code == 422
    assert [e["pointer"] for e in response.json()["errors"]] == [""]


def test_one_bad_item_fails_the_whole_batch_with_every_pointer(client: httpx.Client) -> None:
    good = {"tube": {"od": mm(16)}}
    items = [good, {"tube": {"od": mm(0)}}, good, {"quantity": 0, "tub": {}}]
    told = pointers(client, {"items": items}, "/v1/tooling-picks")
    assert set(told) == {"/items/1/tube/od/value", "/items/3/quantity", "/items/3/tub"}


@pytest.mark.parametrize("count", [0, 1001])
def test_a_batch_has_one_to_a_thousand_items(client: httpx.Client, count: int) -> None:
    told = pointers(client, {"items": [{}] * count}, "/v1/tooling-picks")
    assert set(told) == {"/items"}
    assert "at most 1000" in told["/items"]


def test_items_are_asked_for(client: httpx.Client) -> None:
    assert set(pointers(client, {}, "/v1/tooling-picks")) == {"/items"}


def test_a_flood_of_errors_is_cut_and_counted(client: httpx.Client) -> None:
    response = client.post("/v1/tooling-picks", json={"items": [{"quantity": 0}] * 1000})
    told = response.json()
    assert (response.status_code, len(told["errors"]), told["error_count"]) == (422, 200, 1000)
    assert told["detail"] == "1000 errors, the first 200 are told"
    response = client.post("/v1/tooling-picks", json={"items": [{"quantity": 0, "x": 0}] * 1000})
    assert response.json()["error_count"] == 1000
    assert response.json()["detail"] == "more than 1000 errors, the first 200 are told"


def test_a_field_that_once_took_another_kind_of_value_says_where_that_is_now(
    client: httpx.Client,
) -> None:
    path = "/v1/setup-checks"
    moved = {
        "tube": {"straight_length": "no-bend"},
        "fitting": {"other_end": {"value": 300, "unit": "bar"}},
    }
    told = pointers(client, moved, path)
    assert "state `bend` as `none`" in told["/tube/straight_length"]
    assert "in `other_end_rating`" in told["/fitting/other_end"]
    told = pointers(client, {"tube": {"straight_length": {"value": 1, "unit": "m"}}}, path)
    assert set(told) == {"/tube/straight_length/unit"}


@pytest.mark.parametrize(("more", "hinted"), [(12, True), (13, False)])
def test_a_name_of_over_forty_letters_is_no_slip(
    client: httpx.Client, *, more: int, hinted: bool
) -> None:
    # Comparing a thousand long names with every field would take longer than the question.
    name = "wall_under_tolerance_percent" + "x" * more
    told = pointers(client, {name: 1}, "/v1/tube-ratings")
    assert ("did you mean `wall_under_tolerance_percent`" in told[f"/{name}"]) == hinted
