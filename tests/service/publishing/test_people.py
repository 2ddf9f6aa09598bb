"""Two people, and not one under two names; and a folder that was replaced."""

import shutil
from pathlib import Path

import pytest

from service.office.keys import make_key, revoke_key
from service.office.refused import OfficeError
from service.store.sqlite import open_store
from service.store.sqlite.refusals import StoreError
from tests.service.publishing.conftest import Prepared
from tests.service.publishing.shop import AT, Shop, refused
from tests.service.publishing.tables import revised

NEW = revised().id


@pytest.mark.parametrize(
    "name",
    [
        "Office",
        "ＯＦＦＩＣＥ",  # noqa: RUF001 (full width on purpose)
        "off ice",
        "office.",
        "\N{CYRILLIC SMALL LETTER O}ffice",
        "...",
    ],
)
def test_a_name_that_could_be_taken_for_another_gets_no_key(name: str, shop: Shop) -> None:
    with pytest.raises(OfficeError):
        make_key(shop.store, name, ("approve",), expires_at=None, by="cli", at=AT)


@pytest.mark.parametrize("name", ["office 2", "Ремонт", "Łukasz Żak"])
def test_a_name_of_its_own_gets_one(name: str, shop: Shop) -> None:
    made = make_key(shop.store, name, ("approve",), expires_at=None, by="cli", at=AT)
    assert made.key.name == name


def test_the_approval_of_somebody_whose_keys_are_all_revoked_counts_no_more(
    prepared: Prepared, shop: Shop
) -> None:
    assert shop.approve(NEW, prepared.revised).status_code == 201
    lead = shop.keys["lead"].split("_")[1]
    revoke_key(shop.store, lead, reason="stolen", by="cli", at=AT)
    problem = refused(shop.activate(NEW), 409, "conflict")
    assert "every key of `lead`" in problem["detail"]
    make_key(shop.store, "lead", ("approve",), expires_at=None, by="cli", at=AT)
    assert shop.activate(NEW).status_code == 200


def test_a_folder_put_in_the_place_of_another_is_not_written_to(tmp_path: Path) -> None:
    folder, aside = tmp_path / "shop", tmp_path / "aside"
    store = open_store(folder, seed=None, at=AT)
    shutil.copytree(folder, aside)
    shutil.rmtree(folder)
    for found in ("is gone", "is another file"):
        for step in (store.version, lambda: store.changing().__enter__()):
            with pytest.raises(StoreError, match=found):
                step()
        if not folder.exists():
            shutil.copytree(aside, folder)
    store.close()
