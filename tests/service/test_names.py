"""Names in annotations are there at run time: handlers and Structs break without them."""

from pathlib import Path

ROOT = Path(__file__).parents[2]


def test_no_name_is_imported_for_the_type_checker_alone() -> None:
    # Litestar and msgspec resolve annotations when the service starts or first decodes.
    modules = [*ROOT.glob("catalog/**/*.py"), *ROOT.glob("service/**/*.py")]
    assert ROOT / "service" / "routes" / "answers.py" in modules
    assert [m.name for m in modules if "TYPE_CHECKING" in m.read_text(encoding="utf-8")] == []
