"""An ERP by openapi-python-client: the tooling of a work order."""

import os

from ringwright_client import AuthenticatedClient
from ringwright_client.api.questions import tooling_pick
from ringwright_client.models import (
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

client = AuthenticatedClient(os.environ["RINGWRIGHT"], os.environ["RINGWRIGHT_KEY"])
fitting = FittingFacts(series="S", ring_style=RingStyle.METAL, ring_material=Family.CARBON_STEEL)
od, wall = Length(value=16, unit=LengthUnit.MM), Length(value=2, unit=LengthUnit.MM)
line = PickItem(tube=TubeFacts(od=od, wall=wall, material="e235-n"), fitting=fitting, quantity=12)
answer = tooling_pick.sync(client=client, body=ToolingPickQuestion(items=[line, line]))
assert isinstance(answer, ToolingPickAnswer), answer
for item in answer.items:
    assert item.verdict in {Verdict.ALLOWED, Verdict.ALLOWED_WITH_CAUTIONS}
    print(item.verdict.value, item.cone, item.plate)
