"""What is compared is what the bench would be told: each outcome against the answer itself."""

import random
from typing import Any

import msgspec
import pytest
from msgspec import structs

from catalog.answers.assembly import assembly_of
from catalog.answers.press_target import press_target
from catalog.answers.tooling_pick import tooling_pick
from catalog.impact import End, Outcome
from catalog.impact.ends import ends_of, pairs_of, temperatures_of
from catalog.impact.outcomes import answers_of, rated_at
from catalog.index import Index
from catalog.questions import AnswerUnits, PickItem, PressTargetQuestion, ToolingPickQuestion
from catalog.setup.resolving import pick_setup
from tests.catalog.impact.small import END, dropped, indexes, one, small
from tests.catalog.synthetic import shipped_with, synthetic_index

SMALL, _ = indexes(small(), small())


def question(end: End) -> dict[str, Any]:
    return {
        "tube": {
            "od": {"value": end.od_mm, "unit": "mm"},
            "wall": {"value": end.wall_mm, "unit": "mm"},
            "material": end.material,
            "insert": end.insert,
        },
        "fitting": {
            "series": end.series,
            "ring_style": end.ring_style,
            "ring_material": end.ring_material,
            "ring": end.ring,
        },
    }


def asked(index: Index, end: End, press: str, gauge: str) -> dict[str, Any]:
    body = {**question(end), "press": press, "gauge": gauge}
    answer = press_target(index, msgspec.convert(body, PressTargetQuestion))
    told: dict[str, Any] = msgspec.json.decode(msgspec.json.encode(answer))
    return told


def outcome_of(index: Index, end: End, press: str, gauge: str) -> Outcome:
    (found,) = answers_of(index, end, [(press, gauge)])
    return found.outcome


def by_answer(index: Index, end: End, press: str, gauge: str) -> Outcome:
    """Outcome read off the JSON of an answer, with the tooling off that of a pick."""
    told = asked(index, end, press, gauge)
    cone, plate = tooling_of(index, end)
    said: dict[str, Any] = {
        "verdict": told["verdict"],
        "codes": tuple(dict.fromkeys(finding["code"] for finding in told["findings"])),
        "cone": cone,
        "plate": plate,
    }
    target = told.get("target")
    if target is None or not told["verdict"].startswith("allowed"):
        return Outcome(**said)
    return Outcome(
        **said,
        finish=target["finish"],
        force_kn=target["force"]["value"],
        force_low_kn=target["force_band"]["low"]["value"],
        force_high_kn=target["force_band"]["high"]["value"],
        ceiling_kn=target["ceiling"]["value"],
        marks=target.get("dial", {}).get("marks"),
    )


@pytest.mark.parametrize("index", [shipped_with(), synthetic_index()], ids=["shipped", "raised"])
def test_an_outcome_is_what_a_press_target_answers(index: Index) -> None:
    rng = random.Random(17)  # noqa: S311 - a sample, no secret
    ends, pairs = ends_of(index), pairs_of(index)
    seen = set()
    for _ in range(600):
        end, (press, gauge) = rng.choice(ends), rng.choice(pairs)
        found = outcome_of(index, end, press, gauge)
        assert found == by_answer(index, end, press, gauge), (end, press, gauge)
        seen.add((found.verdict, found.finish))
    verdicts = {verdict for verdict, _ in seen}
    assert {"undetermined", "rejected"} < verdicts
    assert {"at-pressure", "at-contact", None} == {finish for _, finish in seen}


def test_the_outcome_of_16s_on_press_b_is_the_one_worked_by_hand() -> None:
    # 27.5 kN +-8 % = 25.3 to 29.7 kN. (27.5 + 1) x 5 = 142.5 bar; (25.3 + 1) x 5 + 6.5 = 138,
    # (29.7 + 1) x 5 - 6.5 = 147; marks 140 and 145. Ceiling (34.3 + 1) x 5 - 6.5 = 170 bar.
    (found,) = answers_of(SMALL, END, [("press-b", "gauge-b")])
    said, dial = found.outcome, found.readings
    assert said.allowed
    assert (said.force_kn, said.ceiling_kn) == (27.5, 34.3)
    assert (said.force_low_kn, said.force_high_kn) == pytest.approx((25.3, 29.7))
    assert (said.marks, said.finish) == (2, "at-pressure")
    assert dial is not None
    assert (dial.unit, dial.graduation) == ("bar", 5.0)
    readings_mpa = (dial.mark, dial.reading, dial.low, dial.high, dial.never_exceed)
    assert readings_mpa == pytest.approx((14.0, 14.0, 13.8, 14.7, 17.0))


def test_what_the_revision_does_not_know_is_never_allowed() -> None:
    for press, gauge in (("press-9", "gauge-b"), ("press-b", "gauge-9"), ("press-c", "gauge-a")):
        assert not outcome_of(SMALL, END, press, gauge).allowed
    without, _ = indexes(small(dropped("tubes", "en-10305-4/16/2")), small())
    assert not outcome_of(without, END, "press-b", "gauge-b").allowed


@pytest.mark.parametrize("index", [shipped_with(), SMALL], ids=["shipped", "small"])
def test_limits_are_those_that_a_rated_pick_tells(index: Index) -> None:
    rng = random.Random(23)  # noqa: S311 - a sample, no secret
    told_at_all = 0
    for end in rng.sample(ends_of(index), 40):
        for temp_c in temperatures_of(end, index):
            for pulsating in (False, True):
                assembly = _assembly(index, end, temp_c, pulsating=pulsating)
                rated = rated_at(index, end, temp_c)
                told = rated.pulsating_bar if pulsating else rated.static_bar
                if assembly is None:
                    assert told is None, (end, temp_c, pulsating)
                    continue
                told_at_all += 1
                assert told == pytest.approx(assembly["pressure"]["value"], rel=1e-6)
                assert pulsating or rated.static_governing == assembly["governing"]
    assert told_at_all > 30


def _picked(index: Index, end: End, **more: Any) -> dict[str, Any]:
    body = {"items": [{**question(end), **more}]}
    (item,) = tooling_pick(index, msgspec.convert(body, ToolingPickQuestion)).items
    told: dict[str, Any] = msgspec.json.decode(msgspec.json.encode(item))
    return told


def tooling_of(index: Index, end: End) -> tuple[str | None, str | None]:
    """Cone and plate that a pick names."""
    told = _picked(index, end)
    return told.get("cone"), told.get("plate")


def _assembly(index: Index, end: End, temp_c: float, *, pulsating: bool) -> Any:
    service = {
        "working_pressure": {"value": 10, "unit": "bar"},
        "temperature": {"value": temp_c, "unit": "degC"},
        "pulsating": pulsating,
    }
    # Not by the answer: one that is rejected tells no rating.
    item = msgspec.convert({**question(end), "service": service}, PickItem)
    rating = assembly_of(pick_setup(index, item, AnswerUnits()))
    return None if rating is None else msgspec.to_builtins(rating)


def test_the_limit_of_16_x_2_is_the_one_worked_by_hand() -> None:
    # ISO 10763: 340 / 4 x ln(16 / 12) = 85 x 0.2876821 = 24.45298 MPa; the fitting carries 400 bar,
    # the yield margin at the least wall of 1.8 mm 235 / sqrt 3 x (1 - 0.775^2) / 1.5 = 36.1 MPa.
    # DIN 2413 pulsating at 226 / 1.5 MPa and 1.8 mm carries more than that: the static governs.
    found = rated_at(SMALL, END, 120.0)
    assert found.static_bar == pytest.approx(244.5298, abs=1e-3)
    assert found.static_governing == "tube"
    assert found.pulsating_bar == found.static_bar
    limits = {limit.of: limit.bar for limit in found.limits}
    assert list(limits) == ["tube-static", "tube-pulsating", "tube-yield", "fitting"]
    assert limits["tube-static"] == found.static_bar
    assert limits["fitting"] == pytest.approx(400.0)
    assert limits["tube-yield"] == pytest.approx(2350 / 3**0.5 * (1 - 0.775**2) / 1.5)
    assert limits["tube-pulsating"] > found.static_bar


def test_the_seal_is_a_limit_of_its_own() -> None:
    ring = "ring-S-elastomer-sealed-carbon-steel"
    sealed = structs.replace(END, ring_style="elastomer-sealed", ring=ring)
    index, _ = indexes(
        small(one("rings", ring, seal_rated_pressure_bar=160.0)),
        small(),
    )
    found = rated_at(index, sealed, 20.0)
    assert found.static_governing == "seal"
    assert found.static_bar == pytest.approx(160.0)
    assert {limit.of for limit in found.limits} >= {"seal", "fitting", "tube-static"}


def test_a_limit_that_is_not_known_leaves_the_whole_not_known() -> None:
    for changes in (
        one("strengths", "e235-n/120", tensile_mpa=None),
        one("materials", "e235-n", yield_mpa=None),
        one("sizes", "S/16", rated_pressure_bar=None),
        dropped("derating", "carbon-steel/120"),
    ):
        index, _ = indexes(small(changes), small())
        found = rated_at(index, END, 120.0)
        assert (found.static_bar, found.static_governing) == (None, None), changes
        assert found.pulsating_bar is None
    unsure, _ = indexes(small(one("strengths", "e235-n/120", endurance_mpa=None)), small())
    assert rated_at(unsure, END, 120.0).pulsating_bar is None
    assert rated_at(unsure, END, 120.0).static_bar is not None
