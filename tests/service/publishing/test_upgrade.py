"""A store that is older than the program: a finding code has come, and no stored text knows it."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from msgspec import structs

from catalog.compiling import CompileError, compile_revision
from catalog.revision import Revision, revision_of
from catalog.rows import Caution
from catalog.seed import shipped_spares
from tests.service.publishing.shop import Shop, opened, proposed, seeded
from tests.service.publishing.tables import revised, small

CODE = "gauge.no-mark-in-window"


def older(revision: Revision) -> Revision:
    """The same tables from before the code was known, and with one that is known no more."""
    texts = [row for row in revision.tables["cautions"] if row.ref != f"cautions/{CODE}"]
    gone = Caution(code="gauge.gone", text="Was told once.", remedy="none", source="own-wording")
    return revision_of({**revision.tables, "cautions": [*texts, gone]})


@pytest.fixture
def old_shop(tmp_path: Path) -> Iterator[Shop]:
    keys = seeded(tmp_path / "store", older(small()))
    with opened(tmp_path / "store", keys) as shop:
        yield shop


def test_it_starts_is_published_to_and_can_go_back(old_shop: Shop) -> None:
    old, new = older(small()).id, revised()
    assert old_shop.get("/health/ready").json()["revision"] == old
    digest = proposed(old_shop.store, new)
    doubts = [{"doubt": d, "reason": "the program is newer"} for d in old_shop.strong(new.id)]
    assert old_shop.approve(new.id, digest, acknowledged=doubts).status_code == 201
    assert old_shop.activate(new.id).status_code == 200
    back = old_shop.activate(old)
    assert (back.status_code, back.json()["revision"]) == (200, old)
    assert old_shop.get("/health/ready").status_code == 200


def test_only_what_an_older_program_did_not_know_is_let_pass() -> None:
    tables = older(small()).tables
    doubled = [*tables["cautions"], structs.replace(tables["cautions"][0], remedy="another")]
    twice = revision_of({**tables, "cautions": doubled})
    with pytest.raises(CompileError, match="key-doubled"):
        compile_revision(twice, shipped_spares())
    with pytest.raises(CompileError, match=CODE):
        compile_revision(older(small()))
    texts = [row for row in shipped_spares() if row.ref != f"cautions/{CODE}"]
    with pytest.raises(CompileError, match=CODE):
        compile_revision(older(small()), texts)


def test_a_proposal_must_know_every_code_all_the_same(old_shop: Shop) -> None:
    again = older(revised()).tables["cautions"]
    rows = [{c: getattr(row, c) for c in row.__struct_fields__} for row in again]
    body = {"note": "texts", "base": "current", "tables": {"cautions": rows}}
    rows[0]["remedy"] = "another"
    refused = old_shop.post("/v1/revisions", body, "office")
    assert refused.status_code == 422
    rules = {(each["row"], each["rule"]) for each in refused.json()["refusals"]}
    assert (f"cautions/{CODE}", "text-missing") in rules
