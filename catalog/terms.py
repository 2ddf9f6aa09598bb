"""The closed vocabularies of the trade and the contract; all else is an id of a revision."""

from typing import Literal, get_args

RULES_VERSION = "3"
"""Changes whenever the same revision and question could give another answer."""

Verdict = Literal["allowed", "allowed-with-cautions", "undetermined", "rejected"]
Severity = Literal["reject", "unknown", "caution", "note"]

Grade = Literal[
    "standard", "handbook", "maker", "common-practice", "secondary", "memory", "demonstration"
]
"""How far a source is trusted, best first."""
GRADES: tuple[Grade, ...] = get_args(Grade)

Family = Literal["carbon-steel", "stainless-steel", "nickel-copper", "copper"]
Condition = Literal["normalised", "annealed", "solution-annealed", "stress-relieved", "as-welded"]
Seam = Literal["seamless", "welded-cold-drawn", "welded-bead-removed", "welded-as-is", "unknown"]
HardnessScale = Literal["HRB", "HRC", "HV", "HB"]
IdentifiedBy = Literal["marking", "certificate"]
InsertState = Literal["fitted", "none"]
WallBasis = Literal["nominal", "minimum"]
NeighbourKind = Literal["metric", "inch", "pipe"]

System = Literal["metric-24-degree", "inch-flareless"]
RingStyle = Literal["metal", "elastomer-sealed"]
RingCondition = Literal["new", "used"]
Lubrication = Literal["required", "dry", "any"]
Lubricated = Literal["ring", "cone", "thread"]
Finish = Literal["at-pressure", "at-contact"]

Bend = Literal["none", "near-end"]
OtherEnd = Literal["same", "rated"]
RingEdge = Literal["tube-end", "nut"]
NutThread = Literal["tube-end", "away"]

Method = Literal[
    "barlow",
    "boardman",
    "lame",
    "iso-10763",
    "din-2413-static",
    "din-2413-pulsating",
    "asme-b31.3",
]

Governing = Literal[Method, "tube-yield"]
"""What sets the lowest pressure that a tube carries."""

StepId = Literal[
    "tube", "fitting", "service", "prepare", "tooling", "lubricate", "assemble", "press"
]
"""The bench's order of work; every finding belongs to one of these steps."""
StepState = Literal["ok", "open", "wrong"]
Detail = Literal["brief", "full"]

DecisionRule = Literal["worst-case"]

LengthUnit = Literal["mm", "in"]
PressureUnit = Literal["bar", "MPa", "psi"]
ForceUnit = Literal["kN", "lbf"]
AreaUnit = Literal["mm2", "cm2", "in2"]
TemperatureUnit = Literal["degC", "degF"]
AngleUnit = Literal["deg"]
VolumeUnit = Literal["mm3", "cm3", "in3"]
MassPerLengthUnit = Literal["kg/m", "lb/ft"]
Unit = Literal[
    "mm",
    "in",
    "bar",
    "MPa",
    "psi",
    "kN",
    "lbf",
    "mm2",
    "cm2",
    "in2",
    "degC",
    "degF",
    "deg",
    "mm3",
    "cm3",
    "in3",
    "kg/m",
    "lb/ft",
    "s",
    "percent",
    "1",
]
