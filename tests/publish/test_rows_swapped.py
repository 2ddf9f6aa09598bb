"""Two rows that changed places, so that a force leaves its tolerance."""

import pytest
from msgspec import structs

from catalog.plausibility import doubts_of
from tests.publish.slips import (
    CARBON_16,
    CARBON_16_THICK,
    CARBON_20,
    STAINLESS_16,
    about,
    exchanged,
    shipped,
    strong,
)

BOTH = ("force_kn", "ceiling_kn")


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (CARBON_16, CARBON_20),
        (CARBON_16, STAINLESS_16),
        (
            "targets/L/28/1.9/2.1/carbon-steel/metal/none",
            "targets/L/35/1.9/2.1/carbon-steel/metal/fitted",
        ),
        (
            "targets/flareless/12.7/1.57/1.73/stainless-steel/metal/none",
            "targets/flareless/15.875/1.57/1.73/stainless-steel/metal/none",
        ),
    ],
)
def test_both_rows_are_named_in_one_doubt(one: str, other: str) -> None:
    found = strong(exchanged(one, other, *BOTH))
    assert [d.kind for d in found if d.column == "force_kn"] == ["rows-swapped"]
    assert set(found[0].rows) == {one, other}


def test_a_force_that_stays_in_its_tolerance_is_no_strong_doubt() -> None:
    # 27.5 and 28.5 kN: 3.6 % apart, tolerance 8 %.
    bad = exchanged(CARBON_16, CARBON_16_THICK, *BOTH)
    assert about(strong(bad), CARBON_16, "force_kn") in ([], ["force-falls-with-wall"])


def test_the_numbers_stand_in_the_message() -> None:
    (told,) = strong(exchanged(CARBON_16, CARBON_20, *BOTH))
    assert "34.3 kN" in told.message
    assert "27.5 kN" in told.message
    assert "tolerance is 8 %" in told.message


def test_another_slip_is_not_hidden_by_a_swap() -> None:
    bad = exchanged(CARBON_16, CARBON_20, *BOTH)
    third = "targets/L/35/2.9/3.1/carbon-steel/metal/none"
    rows = dict(bad.tables)
    swapped_alone = {d.id for d in doubts_of(bad)}
    rows["targets"] = tuple(
        structs.replace(r, force_kn=700.0, ceiling_kn=900.0) if r.ref == third else r
        for r in rows["targets"]
    )
    found = strong(structs.replace(bad, tables=rows), shipped())
    assert about(found, third, "force_kn") == ["ten-times"]
    assert swapped_alone <= {d.id for d in found}
