"""Every word of the contract: codes with their texts, enums, units, facts, ids of the revision."""

from typing import Annotated, Any, Final, get_args

from msgspec import Struct

from catalog import terms
from catalog.facts import (
    ASSUMED_ASME,
    ASSUMED_CALIBRATION,
    ASSUMED_HARDNESS,
    ASSUMED_LEAST,
    ASSUMED_PEAK,
    ASSUMED_PRESSING,
    ASSUMED_RATING,
    ASSUMED_SEAL,
    ASSUMED_SERVICE,
    PRESSING,
    RATING,
    SERVICE,
    SETUP,
)
from catalog.findings import CODES
from catalog.index import Index
from catalog.terms import RULES_VERSION, Severity, StepId
from catalog.wanted import about

_ENUMS: Final[dict[str, Any]] = {
    "verdict": terms.Verdict,
    "severity": terms.Severity,
    "grade": terms.Grade,
    "family": terms.Family,
    "condition": terms.Condition,
    "seam": terms.Seam,
    "hardness_scale": terms.HardnessScale,
    "identified_by": terms.IdentifiedBy,
    "insert": terms.InsertState,
    "wall_basis": terms.WallBasis,
    "neighbour_kind": terms.NeighbourKind,
    "system": terms.System,
    "ring_style": terms.RingStyle,
    "ring_condition": terms.RingCondition,
    "lubrication": terms.Lubrication,
    "lubricated": terms.Lubricated,
    "other_end": terms.OtherEnd,
    "finish": terms.Finish,
    "bend": terms.Bend,
    "ring_edge_towards": terms.RingEdge,
    "nut_thread_towards": terms.NutThread,
    "method": terms.Method,
    "governing": terms.Governing,
    "detail": terms.Detail,
    "step": terms.StepId,
    "step_state": terms.StepState,
    "decision_rule": terms.DecisionRule,
    "unit": terms.Unit,
}
_UNITS: Final[dict[str, Any]] = {
    "length": terms.LengthUnit,
    "pressure": terms.PressureUnit,
    "force": terms.ForceUnit,
    "area": terms.AreaUnit,
    "temperature": terms.TemperatureUnit,
    "angle": terms.AngleUnit,
    "volume": terms.VolumeUnit,
    "mass_per_length": terms.MassPerLengthUnit,
}


class CodeText(Struct, frozen=True, kw_only=True):
    """A finding code: its severity and step, why it matters, and what to do."""

    code: Annotated[str, about("finding code, `area.reason`")]
    severity: Annotated[Severity, about("what it does to the verdict")]
    step: Annotated[StepId, about("step of the bench that it belongs to")]
    text: Annotated[str, about("why it matters")]
    remedy: Annotated[str, about("what to do")]


class RequiredFact(Struct, frozen=True):
    """A field that must be stated, and the code of its absence."""

    at: Annotated[str, about("JSON pointer of the field")]
    code: Annotated[str, about("code of the finding where it is left out")]


class AssumedFact(Struct, frozen=True):
    """A field that is taken as given unless it is stated."""

    at: Annotated[str, about("JSON pointer of the field")]
    value: Annotated[str, about("what is taken as given")]
    text: Annotated[str, about("the same in words")]


class VocabularyAnswer(Struct, frozen=True, kw_only=True):
    """Every word that a question may use and an answer may give."""

    revision: Annotated[str, about("id of the revision that the ids are of")]
    rules: Annotated[str, about("version of the rules")]
    codes: Annotated[tuple[CodeText, ...], about("every finding code")]
    enums: Annotated[dict[str, tuple[str, ...]], about("words of every closed set by its name")]
    units: Annotated[dict[str, tuple[str, ...]], about("units by what they measure")]
    required: Annotated[
        dict[str, tuple[RequiredFact, ...]], about("fields that each question must state")
    ]
    assumed: Annotated[tuple[AssumedFact, ...], about("fields that are taken as given")]
    ids: Annotated[dict[str, tuple[str, ...]], about("ids of the revision by their table")]


def vocabulary(index: Index) -> VocabularyAnswer:
    """Vocabulary of the contract and of one revision."""
    return VocabularyAnswer(
        revision=index.revision,
        rules=RULES_VERSION,
        codes=tuple(
            CodeText(
                code=code,
                severity=CODES[code].severity,
                step=CODES[code].step,
                text=index.cautions[code].text,
                remedy=index.cautions[code].remedy,
            )
            for code in CODES
        ),
        enums={name: get_args(kind) for name, kind in _ENUMS.items()},
        units={name: get_args(kind) for name, kind in _UNITS.items()},
        required={
            question: tuple(RequiredFact(fact.at, fact.code) for fact in facts)
            for question, facts in (
                ("press_target", PRESSING),
                ("tooling_pick", PRESSING),
                ("tooling_pick_with_service", (*PRESSING, *SERVICE)),
                ("setup_check", SETUP),
                ("tube_rating", RATING),
            )
        },
        assumed=tuple(
            AssumedFact(each.at, each.value, each.text)
            for each in (
                *ASSUMED_PRESSING,
                ASSUMED_HARDNESS,
                ASSUMED_CALIBRATION,
                *ASSUMED_SERVICE,
                ASSUMED_PEAK,
                ASSUMED_LEAST,
                ASSUMED_SEAL,
                *ASSUMED_RATING,
                *ASSUMED_ASME,
            )
        ),
        ids={
            "materials": tuple(index.materials),
            "series": tuple(index.series),
            "coatings": tuple(index.coatings),
            "fluids": tuple(index.fluids),
            "cut_methods": tuple(index.cut_methods),
            "rings": tuple(index.rings),
            "presses": tuple(index.presses),
            "gauges": tuple(index.gauges),
            "cones": tuple(index.cones),
            "plates": tuple(index.plates),
        },
    )
