"""One change at a time, whole or not at all, seen by everybody; reading is of one moment."""

import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from threading import Barrier, Event

import pytest

from service.store.records import Key, Proposal
from service.store.sqlite.keeping import Store
from service.store.sqlite.refusals import StoreError
from service.store.verifying import verified
from tests.service.store.conftest import Opened
from tests.service.store.office import StopError, at, everything, key, propose, publish, small


def test_a_change_that_raises_leaves_nothing(store: Store) -> None:
    propose(store, small(1))
    with store.reading() as records:
        before = list(everything(records))
    report = b""

    def half() -> None:
        nonlocal report
        with store.changing() as change:
            change.add_tables(small(2))
            report = change.add_report(b"half a report").encode()
            change.add(_proposal(2))
            assert len(change.audit()) == 2
            raise StopError

    with pytest.raises(StopError):
        half()
    with store.reading() as records:
        assert list(everything(records)) == before
        assert records.revision(small(2).id) is None
        with pytest.raises(KeyError):
            records.report(report.decode())
    propose(store, small(2))


def test_a_change_sees_itself_and_nobody_else_sees_it(store: Store) -> None:
    with store.changing() as change:
        change.add_tables(small(1))
        change.add(_proposal(1))
        assert change.next_number(Proposal) == 2
        assert change.proposal(small(1).id) is not None
        assert change.revision(small(1).id) is not None
        with store.reading() as records:
            assert records.proposals() == ()
            assert records.revision(small(1).id) is None
    with store.reading() as records:
        assert len(records.proposals()) == 1


def _proposal(n: int) -> Proposal:
    return Proposal(n=n, at=at(1), by="office a", revision=small(n).id, base=None, note="")


def test_reading_is_of_one_moment(store: Store) -> None:
    propose(store, small(1))
    with store.reading() as records:
        # Nothing has been read yet: the moment is the beginning of the block all the same.
        publish(store, small(2))
        assert len(records.proposals()) == 1
        assert records.last_activation() is None
        with store.reading() as later:
            assert len(later.proposals()) == 2
        assert records.activations() == ()


def test_reading_a_block_that_is_over_is_refused(store: Store) -> None:
    with store.reading() as records:
        pass
    with pytest.raises(RuntimeError, match="ended"):
        records.activations()
    with store.changing() as change:
        pass
    with pytest.raises(RuntimeError, match="ended"):
        change.add(key(1))


def test_one_change_at_a_time(store: Store) -> None:
    inside, let_go, order = Event(), Event(), []

    def slow() -> None:
        with store.changing() as change:
            inside.set()
            let_go.wait(10)
            change.add(key(1))
            order.append("slow")

    def waiting() -> None:
        with store.changing() as change:
            order.append("waiting")
            change.add(key(change.next_number(Key)))

    with ThreadPoolExecutor(2) as pool:
        first = pool.submit(slow)
        assert inside.wait(10)
        second = pool.submit(waiting)
        assert not second.done()
        let_go.set()
        first.result(20)
        second.result(20)
    assert order == ["slow", "waiting"]
    with store.reading() as records:
        made = records.keys()
        assert [each.id for each in made] == ["key1", "key2"]


def test_many_threads_lose_nothing(opened: Opened) -> None:
    threads, changes = 6, 8
    stores = [opened(), opened()]
    start = Barrier(threads)

    def work(number: int) -> None:
        start.wait(20)
        for _ in range(changes):
            with stores[number % 2].changing() as change:
                change.add(key(change.next_number(Key)))

    with ThreadPoolExecutor(threads) as pool:
        list(pool.map(work, range(threads)))
    with stores[0].reading() as records:
        assert len(records.keys()) == threads * changes
        assert verified(records) == ()


def test_the_version_differs_after_every_commit_whoever_asks(opened: Opened) -> None:
    store, other = opened(), opened()
    with ThreadPoolExecutor(1) as pool:
        for change_in in (store, other, store):
            for done in (_make_a_key, lambda store: pool.submit(_make_a_key, store).result()):
                here, there = store.version(), pool.submit(store.version).result()
                assert store.version() == here == there
                with store.reading() as records:
                    records.audit()
                assert store.version() == here
                done(change_in)
                assert store.version() != here
                assert pool.submit(store.version).result() == store.version()


def test_what_another_has_committed_may_show_later_and_what_this_one_has_shows_at_once(
    opened: Opened,
) -> None:
    store, other = opened(), opened()
    before = store.version()
    _make_a_key(other)
    assert store.version(within_s=60) == before
    _make_a_key(store)
    after = store.version(within_s=60)
    assert after != before
    _make_a_key(other)
    assert store.version(within_s=60) == after
    assert store.version() != after
    _make_a_key(other)
    shown = store.version()
    _make_a_key(other)
    time.sleep(0.01)
    assert store.version(within_s=0.01) != shown


def _make_a_key(store: Store) -> None:
    with store.changing() as change:
        change.add(key(change.next_number(Key)))


def test_a_change_that_was_given_up_leaves_the_version(store: Store) -> None:
    before = store.version()
    with suppress(StopError), store.changing() as change:
        change.add(key(1))
        raise StopError
    assert store.version() == before


def test_a_closed_store_says_so(store: Store) -> None:
    store.close()
    store.close()
    with pytest.raises(StoreError, match="closed"), store.reading():
        pass
    with pytest.raises(StoreError, match="closed"), store.changing():
        pass
    with pytest.raises(StoreError, match="closed"):
        store.version()


def test_closing_lets_a_block_end(opened: Opened) -> None:
    store = opened()
    with store.changing() as change:
        store.close()
        change.add(key(1))
    with opened().reading() as records:
        assert len(records.keys()) == 1
