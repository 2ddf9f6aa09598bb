"""The first faults of the draw are found, and each kind of fault is made where it should be."""

import pytest

from tests.mutation.mutants import ROOT, equivalents, mutants, mutants_of
from tests.mutation.trying import search

pytestmark = pytest.mark.apart

SHARE = 12
SOURCE = b'''
"""Module."""
LIMITS: Final = (1.0, 2.0)
Name = Annotated[str, Meta(max_length=3)]


class Row(Struct, frozen=True):
    """Row."""

    wall_mm: Annotated[float, about("wall")] = 2.0


@cache
def rule(a_mm: float, b_mm: float | None = None) -> Iterator[Raised]:
    """Rule of 1."""
    if b_mm is None:
        return
    yield Raised("code", f"{a_mm + 1}", kept(od_mm=a_mm, wall_mm=b_mm), (a_mm,))
    one, two = a_mm, b_mm
    return not a_mm < min(a_mm, b_mm)
'''


def test_faults_are_made_in_what_runs_alone() -> None:
    made = [(m.line, m.before, m.after) for m in mutants_of("x.py", SOURCE, "bench")]
    assert made == [
        (3, "(1.0, 2.0)", "(2.0,)"),
        (3, "(1.0, 2.0)", "(1.0,)"),
        (3, "1.0", "1.01"),
        (3, "2.0", "2.02"),
        (10, "2.0", "2.02"),
        (16, "if b_mm is None: return", "pass"),
        (16, "b_mm is None", "b_mm is not None"),
        (
            18,
            'yield Raised("code", f"{a_mm + 1}", kept(od_mm=a_mm, wall_mm=b_mm), (a_mm,))',
            "pass",
        ),
        (18, "kept(od_mm=a_mm, wall_mm=b_mm)", "kept(od_mm=b_mm, wall_mm=a_mm)"),
        (18, "(a_mm,)", "()"),
        (20, "return not a_mm < min(a_mm, b_mm)", "return None"),
        (20, "not a_mm < min(a_mm, b_mm)", "a_mm < min(a_mm, b_mm)"),
        (20, "a_mm < min(a_mm, b_mm)", "a_mm <= min(a_mm, b_mm)"),
        (20, "a_mm < min(a_mm, b_mm)", "a_mm > min(a_mm, b_mm)"),
        (20, "min(a_mm, b_mm)", "max(a_mm, b_mm)"),
    ]


def test_every_fault_has_a_name_of_its_own_and_compiles() -> None:
    made = mutants()
    assert len({mutant.name for mutant in made}) == len(made) > 3000
    for mutant in made[:300]:
        compile(mutant.source(), mutant.file, "exec")
        assert mutant.source() != (ROOT / mutant.file).read_bytes()


def test_what_is_called_equivalent_is_a_fault_of_today() -> None:
    assert set(equivalents()) <= {mutant.name for mutant in mutants()}
    assert all(why.strip() for why in equivalents().values())


def test_the_first_faults_are_found_by_the_oracle_or_the_tests_of_their_room() -> None:
    some = [mutant for mutant in mutants()[:SHARE] if mutant.name not in equivalents()]
    outcomes = search(some, quick=True, oracle=True)
    assert [mutant.name for mutant, outcome in outcomes if not outcome.by] == []
