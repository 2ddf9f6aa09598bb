"""A report from another process is the one that is made here, byte for byte."""

import pytest

from catalog.impact import untold
from catalog.publishing import report_bytes, report_on
from catalog.revision import Revision, row_digest
from catalog.standing import Withdrawn
from catalog.withdrawing import WithdrawnRow
from service.office.replaying import replayed_apart
from tests.service.publishing.tables import PLAIN, doubtful, revised, row_of, small

GONE = WithdrawnRow(
    row=PLAIN,
    digest=row_digest(row_of(small(), PLAIN)),
    why=Withdrawn(reason="ring crushed", by="boss", on="2026-03-02"),
)


@pytest.mark.parametrize(
    ("revision", "withdrawn"),
    [(doubtful(), ()), (revised(), (GONE,))],
    ids=["doubtful", "beside a withdrawn row"],
)
def test_the_same_bytes(revision: Revision, withdrawn: tuple[WithdrawnRow, ...]) -> None:
    apart = replayed_apart(revision, small(), withdrawn, untold)
    assert report_bytes(apart) == report_bytes(report_on(revision, small(), withdrawn))
    assert apart.withdrawals == len(withdrawn)
