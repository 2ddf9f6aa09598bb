"""A bench app by the models of datamodel-code-generator and a plain HTTP client."""

import os

import httpx
from ringwright_models import (
    Bend,
    Family,
    FittingFacts,
    Length,
    LengthUnit,
    PressTargetAnswer,
    PressTargetQuestion,
    RingStyle,
    TubeFacts,
)

fitting = FittingFacts(series="S", ring_style=RingStyle.metal, ring_material=Family.carbon_steel)
od, wall = Length(value=16, unit=LengthUnit.mm), Length(value=2, unit=LengthUnit.mm)
tube = TubeFacts(od=od, wall=wall, material="e235-n", bend=Bend.none)
asked = PressTargetQuestion(tube=tube, fitting=fitting, press="press-a", gauge="gauge-a")
body = asked.model_dump_json(exclude_unset=True)
headers = {
    "Authorization": f"Bearer {os.environ['RINGWRIGHT_KEY']}",
    "Content-Type": "application/json",
}
told = httpx.post(f"{os.environ['RINGWRIGHT']}/v1/press-targets", content=body, headers=headers)
answer = PressTargetAnswer.model_validate_json(told.raise_for_status().content)
assert answer.target
assert answer.target.dial
print("stop at", answer.target.dial.stop_at.value, answer.target.dial.stop_at.unit.value)
