"""Whatever is asked in the form of the contract is answered: no question makes the catalog fail."""

from datetime import date
from typing import Any, get_args

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, SearchStrategy

from catalog import facts, terms
from catalog.answers.press_target import press_target
from catalog.answers.setup_check import setup_check
from catalog.answers.tooling_pick import tooling_pick
from catalog.answers.tube_rating import tube_rating
from catalog.findings import CODES, SEVERITIES, Finding, verdict
from catalog.questions import (
    PressTargetQuestion,
    SetupCheckQuestion,
    ToolingPickQuestion,
    TubeRatingQuestion,
)
from tests.catalog.synthetic import shipped_with

STEPS = get_args(terms.StepId)
MISSING = {
    *(fact.code for fact in (*facts.PRESSING, *facts.SERVICE, *facts.SETUP, *facts.RATING)),
    *(code for code in CODES if code.endswith("missing")),
}

INDEX = shipped_with()
# Sizes, pressures and temperatures that are met, the ends of what may be written, and anything.
NUMBERS = st.one_of(
    st.sampled_from([6, 8, 12, 16, 38, 42, 0.25, 0.5, 0.625, 1, 1.5, 2, 3, 4, 25.4, 140, 250, 1e6]),
    st.floats(1e-9, 1e6),
    st.floats(5, 50),
    st.sampled_from([1e-9, 1e-6, 999_999.999]),
)
JUNK = st.text(min_size=1, max_size=12)


def quantity(units: Any, numbers: SearchStrategy[float] = NUMBERS) -> SearchStrategy[Any]:
    return st.fixed_dictionaries({"value": numbers, "unit": st.sampled_from(get_args(units))})


def one_of(words: Any) -> SearchStrategy[Any]:
    return st.sampled_from(get_args(words))


def an_id(known: Any) -> SearchStrategy[str]:
    return st.one_of(st.sampled_from(sorted(known)), JUNK)


def a_word(known: Any) -> SearchStrategy[str]:
    return st.one_of(
        st.sampled_from(sorted(known)),
        st.from_regex("[A-Za-z0-9][A-Za-z0-9._+-]{0,11}", fullmatch=True),
    )


def part(**fields: SearchStrategy[Any]) -> SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries({}, optional=fields)


LENGTH, PRESSURE = quantity(terms.LengthUnit), quantity(terms.PressureUnit)
FROM_ZERO = quantity(terms.LengthUnit, st.one_of(st.just(0.0), NUMBERS))
TEMPERATURE = quantity(terms.TemperatureUnit, st.floats(-460, 10_000))
YES_OR_NO = st.booleans()
TUBE = part(
    od=LENGTH,
    wall=LENGTH,
    material=an_id(INDEX.materials),
    measured_od=LENGTH,
    caliper_uncertainty=FROM_ZERO,
    identified_by=one_of(terms.IdentifiedBy),
    seam=one_of(terms.Seam),
    quality_factor=st.floats(1e-9, 1),
    coating=a_word(INDEX.coatings),
    hardness=st.fixed_dictionaries(
        {"value": st.floats(0.1, 10_000), "scale": one_of(terms.HardnessScale)}
    ),
    insert=one_of(terms.InsertState),
    bend=one_of(terms.Bend),
    straight_length=LENGTH,
    bends=st.lists(part(radius=LENGTH), max_size=3),
)
FITTING = part(
    series=an_id(INDEX.series),
    ring_style=one_of(terms.RingStyle),
    ring_material=one_of(terms.Family),
    ring=an_id(INDEX.rings),
    ring_condition=one_of(terms.RingCondition),
    ring_source=JUNK,
    nut_source=JUNK,
    other_end=one_of(terms.OtherEnd),
    other_end_rating=PRESSURE,
)
SERVICE = part(
    working_pressure=PRESSURE,
    peak_pressure=PRESSURE,
    proof_factor=st.floats(1, 10),
    temperature=TEMPERATURE,
    least_temperature=TEMPERATURE,
    pulsating=YES_OR_NO,
    fluid=a_word(INDEX.fluids),
    corrosion_allowance=FROM_ZERO,
)
PREPARATION = part(
    cut_method=a_word(INDEX.cut_methods),
    out_of_square=quantity(terms.AngleUnit, st.floats(0, 90)),
    deburred_inside=YES_OR_NO,
    deburred_outside=YES_OR_NO,
    cleaned=YES_OR_NO,
    lubricated=st.lists(one_of(terms.Lubricated), max_size=3),
    ring_edge_towards=one_of(terms.RingEdge),
    nut_thread_towards=one_of(terms.NutThread),
    tube_bottomed=YES_OR_NO,
)
DAYS = st.dates(date(1, 1, 1), date(9999, 12, 31)).map(date.isoformat)
TOOL_STATE = part(
    cone_uses_since_check=st.integers(0, 10_000_000),
    gauge_calibration_due=DAYS,
    gauge_zero_checked=YES_OR_NO,
)
UNITS = part(
    length=one_of(terms.LengthUnit),
    pressure=one_of(terms.PressureUnit),
    force=one_of(terms.ForceUnit),
    temperature=one_of(terms.TemperatureUnit),
)
TARGET = part(
    tube=TUBE,
    fitting=FITTING,
    press=an_id(INDEX.presses),
    gauge=an_id(INDEX.gauges),
    on=DAYS,
    tool_state=TOOL_STATE,
    answer_in=UNITS,
)
SETUP = part(
    tube=TUBE,
    fitting=FITTING,
    service=SERVICE,
    tooling=part(cone=an_id(INDEX.cones), plate=an_id(INDEX.plates)),
    press=an_id(INDEX.presses),
    gauge=an_id(INDEX.gauges),
    intended_reading=PRESSURE,
    contact_reading=PRESSURE,
    preparation=PREPARATION,
    on=DAYS,
    tool_state=TOOL_STATE,
    answer_in=UNITS,
)
ITEM = part(tube=TUBE, fitting=FITTING, service=SERVICE, quantity=st.integers(1, 1_000_000))
RATING = part(
    tube=part(od=LENGTH, wall=LENGTH, material=an_id(INDEX.materials)),
    temperature=TEMPERATURE,
    allowable_stress=PRESSURE,
    methods=st.lists(one_of(terms.Method), min_size=1, max_size=7),
    pressure=PRESSURE,
    proof_factor=st.floats(1, 10),
    design_factor=st.floats(1, 20),
    corrosion_allowance=FROM_ZERO,
    wall_under_tolerance_percent=st.floats(0, 100, exclude_max=True),
    quality_factor=st.floats(1e-9, 1),
    weld_factor=st.floats(1e-9, 1),
    y_coefficient=st.floats(0, 1),
    answer_in=UNITS,
)


@st.composite
def known_size(draw: DrawFn) -> dict[str, Any]:
    """Tube and fitting of a row of the targets, so that the deep rooms are reached too."""
    targets = [target for band in INDEX.targets.values() for target in band]
    target = draw(st.sampled_from(targets))
    grades = sorted(
        m.id
        for m in INDEX.materials.values()
        if m.family == target.family and target.grade in {None, m.id}
    )
    walls = [
        tube.wall_mm
        for tube in INDEX.tubes.values()
        if tube.od_mm == target.od_mm and target.wall_min_mm <= tube.wall_mm <= target.wall_max_mm
    ]
    return {
        "tube": {
            "od": {"value": target.od_mm, "unit": "mm"},
            "wall": {"value": draw(st.sampled_from(walls)), "unit": "mm"},
            "material": draw(st.sampled_from(grades)),
            "insert": target.insert,
        },
        "fitting": {
            "series": target.series,
            "ring_style": target.ring_style,
            "ring_material": target.family,
            **({} if target.ring is None else {"ring": target.ring}),
        },
    }


def merged(question: dict[str, Any], size: dict[str, Any]) -> dict[str, Any]:
    return {**question, **{name: {**question.get(name, {}), **size[name]} for name in size}}


def is_sound(answer: Any, beside: tuple[Finding, ...] = ()) -> None:
    """What holds of every answer, whatever it says; `beside` an item stands what it shares."""
    assert answer.verdict == verdict((*answer.findings, *beside))
    places = [
        (f.code.startswith("data."), STEPS.index(f.step), SEVERITIES.index(f.severity))
        for f in answer.findings
        if f.code != "revision.withdrawn"
    ]
    assert places == sorted(places)
    assert answer.headline
    assert ("next" in msgspec.to_builtins(answer)) == (not answer.verdict.startswith("allowed"))
    for finding in answer.findings:
        assert finding.severity == CODES[finding.code].severity
        assert finding.message
        assert finding.step == CODES[finding.code].step
        # What to do about a missing fact is what the message says.
        assert finding.remedy or finding.code in MISSING
        assert (finding.at == "") or finding.at.startswith("/")
    if answer.verdict == "rejected":
        assert not getattr(answer, "target", None)
    # A number that is none would be told as null, and nothing of an answer ever is.
    assert nulls(msgspec.json.decode(msgspec.json.encode(answer))) == []


def nulls(part: Any, at: str = "") -> list[str]:
    """Pointers of everything that is null."""
    if isinstance(part, dict):
        return [found for name, each in part.items() for found in nulls(each, f"{at}/{name}")]
    if isinstance(part, list):
        return [found for n, each in enumerate(part) for found in nulls(each, f"{at}/{n}")]
    return [at] if part is None else []


@settings(max_examples=250, deadline=None)
@given(question=TARGET, size=known_size(), known=YES_OR_NO)
def test_any_press_target(question: dict[str, Any], size: dict[str, Any], known: bool) -> None:  # noqa: FBT001
    asked = msgspec.convert(merged(question, size) if known else question, PressTargetQuestion)
    answer = press_target(INDEX, asked)
    is_sound(answer)
    assert answer.verdict != "allowed"


@settings(max_examples=250, deadline=None)
@given(question=SETUP, size=known_size(), known=YES_OR_NO)
def test_any_setup(question: dict[str, Any], size: dict[str, Any], known: bool) -> None:  # noqa: FBT001
    asked = msgspec.convert(merged(question, size) if known else question, SetupCheckQuestion)
    answer = setup_check(INDEX, asked)
    is_sound(answer)
    assert answer.verdict != "allowed"
    states = {step.state for step in answer.steps}
    assert ("wrong" in states) == (answer.verdict == "rejected")
    assert answer.verdict != "undetermined" or "open" in states


@settings(max_examples=250, deadline=None)
@given(items=st.lists(st.tuples(ITEM, known_size(), YES_OR_NO), min_size=1, max_size=4))
def test_any_work_order(items: list[tuple[dict[str, Any], dict[str, Any], bool]]) -> None:
    asked = [merged(item, size) if known else item for item, size, known in items]
    answer = tooling_pick(INDEX, msgspec.convert({"items": asked}, ToolingPickQuestion))
    for item in answer.items:
        is_sound(item, answer.findings)
        assert item.verdict != "allowed"
        assert (item.verdict == "rejected") <= (item.pairs == ())


@settings(max_examples=250, deadline=None)
@given(question=RATING, size=known_size(), known=YES_OR_NO)
def test_any_rating(question: dict[str, Any], size: dict[str, Any], known: bool) -> None:  # noqa: FBT001
    if known:
        tube = {name: size["tube"][name] for name in ("od", "wall", "material")}
        question = {**question, "tube": tube}
    answer = tube_rating(INDEX, msgspec.convert(question, TubeRatingQuestion))
    is_sound(answer)
    for rating in answer.ratings:
        assert rating.pressure.value >= 0


@pytest.mark.parametrize(
    "question",
    [
        {"allowable_stress": {"value": 5e-324, "unit": "psi"}, "methods": ["barlow"]},
        {
            "tube": {"od": {"value": 16, "unit": "mm"}, "wall": {"value": 2, "unit": "mm"}},
            "allowable_stress": {"value": 5e-324, "unit": "MPa"},
            "design_factor": 7,
            "methods": ["lame"],
        },
        {
            "tube": {
                "od": {"value": 5e-324, "unit": "in"},
                "wall": {"value": 5e-324, "unit": "in"},
            },
            "allowable_stress": {"value": 6, "unit": "MPa"},
            "pressure": {"value": 1e6, "unit": "MPa"},
            "quality_factor": 5e-324,
            "weld_factor": 5e-324,
            "y_coefficient": 0,
            "methods": ["asme-b31.3"],
        },
    ],
    ids=["stress", "stress and factor", "quality and weld factor"],
)
def test_next_to_nothing_is_answered_or_refused_by_the_form(question: dict[str, Any]) -> None:
    try:
        asked = msgspec.convert(question, TubeRatingQuestion)
    except msgspec.ValidationError:
        return
    is_sound(tube_rating(INDEX, asked))
