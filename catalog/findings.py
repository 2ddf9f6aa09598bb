"""Finding codes with their severity and bench step, the finding itself, and the verdict.

The severity of a code stands here and nowhere else, so no table can soften a refusal.
"""

from collections.abc import Iterable
from typing import Annotated, Final

from msgspec import Struct

from catalog.terms import Severity, StepId, Verdict
from catalog.wanted import about


class Code(Struct, frozen=True, gc=False):
    """What a finding code means for the verdict, and at which step of the bench it is met."""

    severity: Severity
    step: StepId


class Finding(Struct, frozen=True, kw_only=True, gc=False, omit_defaults=True):
    """One thing that is wrong, unknown or worth a caution.

    `at` is the JSON pointer of the field that it is about, `step` that of the bench at which it is
    met. `remedy` is what to do; where a fact is missing the message says what to state, and there
    is none. `basis` names the rows that say so and `sources` where those rows come from: both are
    of full detail.
    """

    code: Annotated[str, about("what was found, `area.reason`")]
    severity: Annotated[Severity, about("what it does to the verdict")]
    step: Annotated[StepId, about("step of the bench at which it is met")]
    at: Annotated[str, about("JSON pointer of the field of the question; empty for all of it")]
    message: Annotated[str, about("what was found, with number, limit and unit")]
    remedy: Annotated[str, about("what to do; left out: the message says what to state")] = ""
    basis: Annotated[
        tuple[str, ...], about("names of the rows that say so; left out: none, or brief detail")
    ] = ()
    sources: Annotated[
        tuple[str, ...], about("ids of the sources of those rows; left out: none, or brief detail")
    ] = ()


_BY_STEP: Final[dict[Severity, dict[StepId, str]]] = {
    "reject": {
        "tube": """
            tube.wall-impossible tube.wall-too-thin tube.insert-needed tube.near-size
            tube.od-out-of-tolerance tube.material-not-preset tube.too-hard tube.coating
            tube.weld-bead tube.standard-contradiction tube.straight-length tube.bend-too-tight
            tube.no-wall-carries tube.no-wall-left tube.stress-above-strength
        """,
        "fitting": """
            fitting.no-such-size fitting.ring-material fitting.ring-contradiction
            fitting.ring-reused
        """,
        "service": """
            tube.yield-margin service.over-tube-rating service.over-fitting-rating
            service.over-seal-rating service.over-other-end service.temperature
            service.seal-temperature service.fluid
        """,
        "prepare": """
            preparation.cut-method preparation.out-of-square preparation.burr
            preparation.not-clean
        """,
        "tooling": """
            tooling.cone-od tooling.cone-series tooling.cone-family tooling.cone-check-overdue
            tooling.plate-od tooling.plate-system tooling.force-rating
            press.too-small press.relief-setting press.relief-far-above-span press.too-little-oil
            press.no-pair
            gauge.too-coarse gauge.no-mark-in-window gauge.above-span gauge.not-for-press
            gauge.calibration-overdue
        """,
        "lubricate": "preparation.not-lubricated preparation.lubricated-elastomer",
        "assemble": "preparation.ring-reversed preparation.nut-reversed preparation.not-bottomed",
        "press": """
            press.above-press-rating press.above-ceiling press.outside-window press.reading-unit
            revision.withdrawn revision.not-active-yet
        """,
    },
    "unknown": {
        "tube": """
            tube.od-missing tube.wall-missing tube.material-missing tube.material-unknown
            tube.measured-od-missing tube.seam-missing tube.bend-missing
            tube.straight-length-missing
            tube.size-not-listed tube.near-size-ambiguous tube.insert-unknown
            tube.insert-limit-unknown tube.insert-not-called-for tube.hardness-scale
            tube.weld-bead-unknown tube.coating-unknown
            tube.method-out-of-range tube.stress-missing tube.quality-factor-missing
            tube.caliper-too-coarse
        """,
        "fitting": """
            fitting.series-missing fitting.series-unknown fitting.ring-style-missing
            fitting.ring-material-missing fitting.ring-missing fitting.ring-unknown
            fitting.size-not-listed fitting.other-end-missing
            fitting.mixed-sources fitting.rating-unknown
        """,
        "service": """
            service.pressure-missing service.temperature-missing service.pulsating-missing
            service.fluid-unknown service.no-fatigue-data service.no-strength-data
            service.derating-unknown service.seal-range-unknown service.proof-factor-too-low
            service.peak-missing service.peak-below-working service.least-temperature-missing
            service.least-above-temperature
        """,
        "prepare": """
            preparation.cut-method-missing preparation.cut-method-unknown
            preparation.out-of-square-missing preparation.burr-unknown
            preparation.not-clean-unknown preparation.limits-unknown
        """,
        "tooling": """
            tooling.cone-missing tooling.cone-unknown tooling.cone-uses-unknown
            tooling.plate-missing tooling.plate-unknown target.no-row
            press.missing press.unknown
            gauge.missing gauge.unknown gauge.date-unknown gauge.zero-unknown
            request.day-far
        """,
        "lubricate": "preparation.lubricant-unknown",
        "assemble": """
            preparation.ring-edge-missing preparation.nut-thread-missing
            preparation.not-bottomed-unknown
        """,
        "press": """
            press.reading-missing press.contact-too-easy press.contact-too-hard data.stale
        """,
    },
    "caution": {
        "tube": """
            data.assumed tube.factor-below-usual tube.factor-not-used tube.bend-not-counted
            tube.hardness-unjudged tube.bore-below-standard
        """,
        "fitting": "fitting.end-form",
        "service": "service.proof-factor-low service.fluid-life service.fluid-zinc",
        "lubricate": "preparation.thread-dry",
        "tooling": """
            press.relief-above-span gauge.above-working-range gauge.calibration-due
            tooling.relief-above-force-rating tooling.cone-family-mixed
            request.day-differs data.demonstration data.memory data.fixed-day
        """,
        "press": """
            press.between-graduations revision.superseded
        """,
    },
    "note": {
        "tube": "tube.coating-accepted",
        "tooling": """
            gauge.protected gauge.calibration-due-soon tooling.cone-check-due-in-batch
        """,
        "press": "hint.psi-as-bar",
    },
}

CODES: Final[dict[str, Code]] = {
    code: Code(severity, step)
    for severity, steps in _BY_STEP.items()
    for step, codes in steps.items()
    for code in codes.split()
}
"""Every finding code that an answer can carry."""

SEVERITIES: Final[tuple[Severity, ...]] = ("reject", "unknown", "caution", "note")
"""Gravest first."""

_VERDICTS: Final[dict[Severity, Verdict]] = {
    "reject": "rejected",
    "unknown": "undetermined",
    "caution": "allowed-with-cautions",
    "note": "allowed",
}


def verdict(findings: Iterable[Finding]) -> Verdict:
    """Verdict of these findings: the gravest one decides, a note never does.

    INVARIANT: this is the only place where a verdict is made.
    """
    severities = {finding.severity for finding in findings}
    return next((_VERDICTS[s] for s in SEVERITIES if s in severities), "allowed")


def gravest(verdicts: Iterable[Verdict]) -> Verdict:
    """Gravest of some verdicts, that of a whole batch."""
    given = set(verdicts)
    return next(v for v in _VERDICTS.values() if v in given)
