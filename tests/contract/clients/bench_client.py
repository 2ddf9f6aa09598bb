"""A bench app by openapi-python-client: how far to press, and what is still to state."""

import os

from ringwright_client import AuthenticatedClient
from ringwright_client.api.questions import press_target, setup_check
from ringwright_client.models import (
    Bend,
    Family,
    FittingFacts,
    Length,
    LengthUnit,
    PressTargetAnswer,
    PressTargetQuestion,
    RingStyle,
    SetupCheckAnswer,
    SetupCheckQuestion,
    TubeFacts,
)

client = AuthenticatedClient(os.environ["RINGWRIGHT"], os.environ["RINGWRIGHT_KEY"])
fitting = FittingFacts(series="S", ring_style=RingStyle.METAL, ring_material=Family.CARBON_STEEL)
od, wall = Length(value=16, unit=LengthUnit.MM), Length(value=2, unit=LengthUnit.MM)
tube = TubeFacts(od=od, wall=wall, material="e235-n", bend=Bend.NONE)
asked = PressTargetQuestion(tube=tube, fitting=fitting, press="press-a", gauge="gauge-a")
pressed = press_target.sync(client=client, body=asked)
assert isinstance(pressed, PressTargetAnswer), pressed
assert pressed.target
assert pressed.target.dial
print("stop at", pressed.target.dial.stop_at.value, pressed.target.dial.stop_at.unit.value)
checked = setup_check.sync(client=client, body=SetupCheckQuestion(tube=tube, fitting=fitting))
assert isinstance(checked, SetupCheckAnswer), checked
assert checked.next_
print("then", checked.next_.at)
Length(value=16, unit="bar")  # type: ignore[arg-type]
