"""A revision's id is a function of what its rows say, and of nothing else."""

import hashlib
import json
import math
import os
import random
import subprocess
import sys
from typing import Any

import msgspec
import pytest
import rfc8785
from hypothesis import example, given
from hypothesis import strategies as st

from catalog.revision import (
    Manifest,
    RevisionFormatError,
    digest,
    manifest_bytes,
    revision_of,
    rows_of,
    table_bytes,
    table_rows,
)
from catalog.rows import TABLES, AnyRow, Source, Target, canonical_line
from catalog.seed import shipped_revision

SHIPPED = shipped_revision()
ROWS: dict[str, list[AnyRow]] = {name: list(rows) for name, rows in SHIPPED.tables.items()}


def number_by_ecma(value: float) -> str:
    """Number as ECMA-262 writes it, which RFC 8785 asks for; ours lie between 1e-6 and 1e21."""
    assert value == 0 or 1e-6 <= abs(value) < 1e21
    if value == int(value):
        return str(int(value))
    text = repr(value)
    assert "e" not in text, value
    return text


def canonical(value: Any) -> str:
    """RFC 8785 of the values that a row holds, written apart from the package that we use."""
    if isinstance(value, dict):
        # Keys are sorted by UTF-16 code units; ours are ASCII, so code points will do.
        assert all(key.isascii() for key in value)
        pairs = (f"{canonical(key)}:{canonical(value[key])}" for key in sorted(value))
        return "{" + ",".join(pairs) + "}"
    if isinstance(value, list | tuple):
        return "[" + ",".join(map(canonical, value)) + "]"
    if isinstance(value, bool) or value is None:
        return json.dumps(value)
    if isinstance(value, float):
        return number_by_ecma(value)
    return json.dumps(value, ensure_ascii=False)


@pytest.mark.parametrize("name", TABLES)
def test_lines_are_canonical_json(name: str) -> None:
    lines = table_bytes(ROWS[name]).decode("utf-8").splitlines()
    assert sorted(lines) == sorted(canonical(msgspec.to_builtins(row)) for row in ROWS[name])


@pytest.mark.parametrize("name", TABLES)
def test_lines_are_what_plain_json_would_write_but_for_whole_floats(name: str) -> None:
    for line in table_bytes(ROWS[name]).decode("utf-8").splitlines():
        parsed = json.loads(line)
        again = json.dumps(parsed, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
        assert again == line


def test_the_id_can_be_recomputed_by_others() -> None:
    tables = {
        name: "sha256:" + hashlib.sha256(table_bytes(rows)).hexdigest()
        for name, rows in ROWS.items()
    }
    manifest = json.dumps({"format": 3, "tables": tables}, sort_keys=True, separators=(",", ":"))
    assert "sha256:" + hashlib.sha256(manifest.encode()).hexdigest() == SHIPPED.id
    assert manifest_bytes(SHIPPED.manifest).decode() == manifest
    assert SHIPPED.manifest == Manifest(format=3, tables=tables)


@pytest.mark.parametrize("seed", range(5))
def test_the_order_of_rows_and_tables_does_not_matter(seed: int) -> None:
    order = random.Random(seed)  # noqa: S311
    names = list(ROWS)
    order.shuffle(names)
    again = revision_of({name: order.sample(ROWS[name], len(ROWS[name])) for name in names})
    assert again.id == SHIPPED.id
    assert again.manifest == SHIPPED.manifest
    for name in TABLES:
        assert [row.ref for row in again.tables[name]] == [row.ref for row in SHIPPED.tables[name]]


def test_two_rows_of_one_key_have_one_order_too() -> None:
    target = next(iter(rows_of(SHIPPED, Target)))
    other = msgspec.structs.replace(target, force_kn=target.force_kn + 1)
    one = revision_of({"targets": [target, other]})
    assert one.id == revision_of({"targets": [other, target]}).id


@pytest.mark.parametrize("name", TABLES)
def test_one_changed_row_changes_its_table_and_the_id_alone(name: str) -> None:
    rows = ROWS[name]
    column = "title" if name == "sources" else "source"
    changed = [msgspec.structs.replace(rows[0], **{column: "another"}), *rows[1:]]
    again = revision_of({**ROWS, name: changed})
    assert again.id != SHIPPED.id
    differs = {t for t in TABLES if again.manifest.tables[t] != SHIPPED.manifest.tables[t]}
    assert differs == {name}


@pytest.mark.parametrize("name", TABLES)
def test_one_missing_row_changes_the_id(name: str) -> None:
    assert revision_of({**ROWS, name: ROWS[name][1:]}).id != SHIPPED.id


def test_an_empty_table_is_part_of_the_id() -> None:
    # A table left out is a table without rows, and is named in the manifest all the same.
    empty = revision_of({})
    assert empty.id == revision_of(dict.fromkeys(TABLES, ())).id
    assert set(empty.manifest.tables) == set(TABLES)
    assert set(empty.manifest.tables.values()) == {digest(b"")}


@pytest.mark.parametrize("name", TABLES)
def test_bytes_and_rows_are_inverse(name: str) -> None:
    content = table_bytes(ROWS[name])
    rows = table_rows(name, content)
    assert {type(row) for row in rows} == {TABLES[name]}
    assert table_bytes(rows) == content
    assert revision_of({**ROWS, name: rows}).id == SHIPPED.id


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("no-such-table", b""),
        ("targets", b"{}\n"),
        ("targets", b"not json\n"),
        ("sources", b'{"id":"a"}\n'),
        ("sources", b"\xff\xfe\n"),
        ("presses", table_bytes(ROWS["gauges"])),
        ("gauges", table_bytes(ROWS["gauges"]).replace(b'"span":', b'"spam":', 1)),
        ("gauges", table_bytes(ROWS["gauges"]).replace(b'"span":600', b'"span":"600"', 1)),
        ("gauges", table_bytes(ROWS["gauges"]).replace(b'"span":600', b'"span":-1', 1)),
    ],
)
def test_bytes_of_another_form_are_refused(name: str, content: bytes) -> None:
    with pytest.raises(RevisionFormatError, match=name):
        table_rows(name, content)


def test_an_unknown_table_is_refused() -> None:
    with pytest.raises(KeyError, match="torques"):
        revision_of({**ROWS, "torques": []})


def test_rows_of_gives_the_rows_of_that_kind() -> None:
    assert {type(row) for row in rows_of(SHIPPED, Source)} == {Source}
    assert len(rows_of(SHIPPED, Source)) == len(ROWS["sources"])


def test_the_id_is_the_same_in_processes_with_other_hash_seeds() -> None:
    code = "from catalog.seed import shipped_revision; print(shipped_revision().id)"
    ids = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, "PYTHONHASHSEED": seed},
            check=True,
            capture_output=True,
            text=True,
        ).stdout.strip()
        for seed in ("0", "1", "4242")
    }
    assert ids == {SHIPPED.id}


class Cells(msgspec.Struct):
    number: float | int
    text: str = ""
    listed: tuple[str | float, ...] = ()
    missing: None = None


@given(
    number=st.floats(allow_nan=False, allow_infinity=False)
    | st.floats(-2000, 2000).map(lambda value: round(value, 4))
    | st.integers(1 - 2**53, 2**53 - 1),
    text=st.text(),
    listed=st.lists(st.text() | st.floats(0, 1), max_size=3),
)
@example(number=0.001, text="", listed=[])
@example(number=0.0009, text="", listed=[])
@example(number=-0.0, text='\x7f\u2028/\\"\x00\x1f', listed=[])
@example(number=2.0**53, text="", listed=[])
@example(number=1e21, text="", listed=[])
@example(number=5.5e-6, text="", listed=[])
@example(number=12.5, text="", listed=[1.0])
def test_a_line_is_what_the_library_of_the_rfc_writes(
    number: float, text: str, listed: list[str | float]
) -> None:
    row = Cells(number=number, text=text, listed=tuple(listed))
    assert canonical_line(row) == rfc8785.dumps(msgspec.to_builtins(row))


@pytest.mark.parametrize("number", [math.nan, math.inf, 2**53, -(2**53)])
def test_a_number_that_canonical_json_has_no_form_for_is_refused(number: float) -> None:
    with pytest.raises(rfc8785.CanonicalizationError):
        canonical_line(Cells(number=number))
