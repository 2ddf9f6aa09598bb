"""An ERP by the models of datamodel-code-generator and a plain HTTP client."""

import os

import httpx
from ringwright_models import (
    Family,
    FittingFacts,
    Length,
    LengthUnit,
    PickItem,
    RingStyle,
    ToolingPickAnswer,
    ToolingPickQuestion,
    TubeFacts,
    Verdict,
)

fitting = FittingFacts(series="S", ring_style=RingStyle.metal, ring_material=Family.carbon_steel)
od, wall = Length(value=16, unit=LengthUnit.mm), Length(value=2, unit=LengthUnit.mm)
line = PickItem(tube=TubeFacts(od=od, wall=wall, material="e235-n"), fitting=fitting, quantity=12)
asked = ToolingPickQuestion(items=[line, line]).model_dump_json(exclude_unset=True)
headers = {
    "Authorization": f"Bearer {os.environ['RINGWRIGHT_KEY']}",
    "Content-Type": "application/json",
}
told = httpx.post(f"{os.environ['RINGWRIGHT']}/v1/tooling-picks", content=asked, headers=headers)
answer = ToolingPickAnswer.model_validate_json(told.raise_for_status().content)
for item in answer.items:
    assert item.verdict in {Verdict.allowed, Verdict.allowed_with_cautions}
    print(item.verdict.value, item.cone, item.plate)
