"""Every file that a test here has refused is refused by the service too, word for word.

Where a module has `refused` (`tests.publish.office`), it is listened to, and once a test has passed
what it had refused is sent as a form. Modules without are about whole tables, which can be read.
"""

from collections.abc import Callable, Iterator, Mapping
from typing import Any

import pytest

from catalog.loading import BadCell, Limits
from catalog.publishing.shapes import refusal_of_cell
from service.settings import Settings
from tests.publish import office
from tests.service.publishing.shop import Shop, opened, seeded
from tests.service.publishing.tables import small

CONVERTED = "test_unit_in_the_wrong_column"
"""What a folder on a disk is refused for and an office is told of: the service converts it."""
Files = Mapping[str, bytes]
Shops = Callable[[Limits], Shop]


@pytest.fixture(scope="session")
def shops(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shops]:
    """The shop with these limits of rows and bytes."""
    folder = tmp_path_factory.mktemp("publish") / "store"
    keys = seeded(folder, small())
    served: dict[Limits, tuple[Any, Shop]] = {}

    def serving(limits: Limits) -> Shop:
        if limits not in served:
            settings = Settings(
                access_log=False,
                requests_per_second=0,
                max_rows_a_table=limits.rows_a_table,
                max_upload_bytes=limits.file_bytes,
            )
            context = opened(folder, keys, settings)
            served[limits] = context, context.__enter__()
        return served[limits][1]

    yield serving
    for context, _ in served.values():
        context.__exit__(None, None, None)


@pytest.fixture(autouse=True)
def refused_over_http(
    request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch
) -> Iterator[None]:
    """Send what the test has refused, each with its limits, once the test has ended."""
    module = getattr(request.node, "module", None)
    if not hasattr(module, "refused") or request.node.path.stem == CONVERTED:
        yield
        return
    shops: Shops = request.getfixturevalue("shops")
    heard: list[tuple[Files, Limits, list[BadCell]]] = []

    def refused(files: Files, limits: Limits = office.USUAL) -> list[BadCell]:
        bad = office.refused(files, limits)
        heard.append((files, limits, bad))
        return bad

    monkeypatch.setattr(module, "refused", refused)
    yield
    for files, limits, bad in heard:
        if limits == Limits(rows_a_table=limits.rows_a_table):  # else no setting gives them
            is_refused_over_http(shops(limits), files, limits, bad)


def is_refused_over_http(shop: Shop, files: Files, limits: Limits, bad: list[BadCell]) -> None:
    """The service refuses files for these cells, in these words."""
    answer = shop.propose(files)
    if sum(map(len, files.values())) > limits.file_bytes:
        assert answer.status_code == 413, answer.text
        return
    assert answer.status_code == 422, (list(files), answer.text[:2000])
    wanted = [refusal_of_cell(cell) for cell in bad]
    told = answer.json()["refusals"]
    assert [each["rule"] for each in told] == [each.rule for each in wanted]
    assert told == [{f: getattr(each, f) for f in each.__struct_fields__} for each in wanted]
