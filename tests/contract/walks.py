"""Walks of an office at random over HTTP, each answer held against the contract and a model.

Schemathesis follows links of a document from one operation to the next, all of them with one key.
Here each step needs the key of another person, the digest of what was read before, and a reason for
each doubt in it, which links cannot carry; and what is right depends on all that was done since. So
this is a state machine of hypothesis with a small model of the office, and schemathesis looks at
each answer: status, headers and body as `openapi.json` tells them.
"""

import shutil
import tempfile
from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any, Final

import httpx
import schemathesis
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    consumes,
    initialize,
    invariant,
    multiple,
    precondition,
    rule,
    run_state_machine_as_test,
)

from service.store.sqlite import open_store
from tests.service.publishing.shop import AT, PEOPLE, Shop, opened, proposed, seeded
from tests.service.publishing.tables import (
    PLAIN,
    THICK,
    as_csv,
    as_json,
    doubtful,
    end,
    revised,
    small,
    target_question,
)

NOWHERE: Final = "sha256:" + 64 * "0"
Question = tuple[str, str, dict[str, Any]]
"""Operation, path and body of a question."""
QUESTIONS: Final[tuple[Question, ...]] = (
    ("press_target", "/v1/press-targets", target_question(2.5)),
    ("press_target", "/v1/press-targets", target_question(2.0)),
    ("tooling_pick", "/v1/tooling-picks", {"items": [end(2.5), end(2.0), end(2.0, 20.0)]}),
    ("setup_check", "/v1/setup-checks", target_question(2.5)),
    ("tube_rating", "/v1/tube-ratings", {"tube": end(2.0)["tube"], "methods": ["iso-10763"]}),
)
READS: Final = (
    ("revisions", "/v1/revisions"),
    ("revision", "/v1/revisions/current"),
    ("active", "/v1/active"),
    ("activations", "/v1/activations"),
    ("audit", "/v1/audit?limit=1000"),
    ("table", "/v1/revisions/current/tables/targets"),
    ("ready", "/health/ready"),
)
STEPS: Counter[str] = Counter()
"""How often each step was answered with each status, over all walks."""


@cache
def contract(base: str) -> Any:
    """The contract as schemathesis reads it."""
    return schemathesis.openapi.from_url(f"{base}/openapi.json")


@cache
def prepared() -> tuple[Path, dict[str, str]]:
    """A seeded store to copy for each walk, with two proposals, and the keys."""
    folder = Path(tempfile.mkdtemp()) / "store"
    keys = seeded(folder, small())
    store = open_store(folder, seed=None, at=AT)
    for revision in (revised(), doubtful()):
        proposed(store, revision)
    store.close()
    return folder, keys


class Office(RuleBasedStateMachine):
    """An office with its model: what is stored, approved, active and withdrawn."""

    revisions = Bundle("revisions")
    reports = Bundle("reports")
    ready = Bundle("ready")

    def __init__(self) -> None:
        super().__init__()
        source, keys = prepared()
        self.folder = Path(tempfile.mkdtemp())
        shutil.copytree(source, self.folder / "store")
        self.context = opened(self.folder / "store", keys)
        self.shop: Shop = self.context.__enter__()
        self.contract = contract(str(self.shop.client.base_url).rstrip("/"))
        self.proposers = {small().id: "ringwright", revised().id: "office", doubtful().id: "office"}
        self.activations = [small().id]
        self.approved: set[tuple[str, str]] = set()
        self.approvers: set[tuple[str, str]] = set()
        self.whole: set[str] = set()
        self.rows: set[tuple[str, float]] = set()
        self.steps = len(self.shop.audit())

    def teardown(self) -> None:
        """Hold the whole store against itself, and let go of it."""
        try:
            assert self.shop.faults() == ()
        finally:
            self.context.__exit__(None, None, None)
            shutil.rmtree(self.folder)

    @property
    def active(self) -> str:
        return self.activations[-1]

    def asked(
        self, operation: str, who: str, method: str, path: str, *statuses: int, **more: Any
    ) -> httpx.Response:
        """Answer that must have one of these statuses and be as the contract tells it."""
        answer = self.shop.ask(who, method, path, **more)
        STEPS[f"{operation} {answer.status_code}"] += 1
        assert answer.status_code in statuses, (operation, answer.status_code, answer.text[:2000])
        answer.request.read()  # a form is sent piece by piece; the contract is held to all of it
        self.contract.find_operation_by_id(operation).validate_response(answer)
        return answer

    @initialize(target=revisions)
    def begin(self) -> Any:
        """Name what is stored, and one revision that is not."""
        return multiple(*self.proposers, small().id, revised().id, doubtful().id, NOWHERE)

    @initialize(target=reports)
    def begin_reading(self) -> Any:
        """Read the reports on what is proposed."""
        return multiple(self.read_report_on(revised().id), self.read_report_on(doubtful().id))

    @rule(
        target=revisions,
        number=st.integers(1, 4) | st.just(0),
        who=st.sampled_from(["office", "other-office"]),
        form=st.sampled_from(["json", "whole json", "csv"]),
        only=st.booleans(),
        turn=st.integers(0, 1),
    )
    def propose(self, number: int, who: str, form: str, turn: int, *, only: bool) -> Any:
        """Propose tables in any form, or only have them looked at; not at every turn."""
        if turn:
            return multiple()
        revision = revised(number) if number else doubtful()
        tables = (
            revision.tables if form == "whole json" else {"targets": revision.tables["targets"]}
        )
        known = revision.id in self.proposers
        status = 409 if revision.id == self.active else 200 if known or only else 201
        path = f"/v1/revisions{'?validate_only=true' if only else ''}"
        if form == "csv":
            files = [("tables", item) for item in as_csv(tables).items()]
            said: dict[str, Any] = {"data": {"note": "n", "base": small().id}, "files": files}
        else:
            told = {name: as_json(rows) for name, rows in tables.items()}
            said = {"json": {"note": "n", "base": small().id, "tables": told}}
        answer = self.asked("propose", who, "POST", path, status, **said)
        if status == 409 or only:
            return multiple()
        self.proposers.setdefault(revision.id, PEOPLE[who][0])
        body = answer.json()
        assert (body["revision"], body["proposed_by"]) == (
            revision.id,
            self.proposers[revision.id],
        )
        return revision.id

    @rule(target=reports, revision=revisions)
    def read_report(self, revision: str) -> Any:
        """Read the report on any revision against the active one."""
        return self.read_report_on(revision)

    def read_report_on(self, revision: str) -> Any:
        """What is read of a report: what it compares and knows withdrawn, its digest and doubts."""
        status = 404 if revision not in self.proposers else 409 if revision == self.active else 200
        path = f"/v1/revisions/{revision}/report"
        answer = self.asked("report", "lead", "GET", path, status)
        if status != 200:
            return multiple()
        body = answer.json()
        assert body["summary"]["against"] == self.active
        whole = self.asked("whole_report", "lead", "GET", f"{path}.json", 200)
        assert whole.json()["revision"] == revision
        strong = tuple(body["summary"]["strong"])
        return revision, self.active, len(self.rows), body["digest"], strong

    @rule(
        target=ready,
        report=reports,
        who=st.sampled_from(["lead", "lead", "lead", "office-again"]),
        forget=st.booleans(),
        other=revisions,
        mixed=st.integers(0, 7),
    )
    def approve(self, report: Any, who: str, other: str, mixed: int, *, forget: bool) -> Any:
        """Approve by a report that was read, maybe long ago, or for another revision."""
        return self.approve_by(report, who, forget=forget, other=None if mixed else other)

    def approve_by(self, report: Any, who: str, *, forget: bool, other: str | None = None) -> Any:
        """The revision that is approved by a report, where the model says that it may be."""
        revision, against, withdrawn, digest, strong = report
        if other not in {None, revision}:
            revision, strong = other, ()
        told = [] if forget else [{"doubt": doubt, "reason": "pressed three"} for doubt in strong]
        if revision not in self.proposers:
            status = 404
        elif self.proposers[revision] == PEOPLE[who][0]:
            status = 403
        elif (
            revision in self.whole
            or revision != report[0]
            or against != self.active
            or withdrawn != len(self.rows)
        ):
            status = 409
        elif len(told) < len(strong):
            status = 422
        else:
            status = 200 if (digest, PEOPLE[who][0]) in self.approvers else 201
        body = {"report": digest, "note": "read", "acknowledged": told}
        path = f"/v1/revisions/{revision}/approvals"
        self.asked("approve", who, "POST", path, status, json=body)
        if status not in {200, 201}:
            return multiple()
        self.approvers.add((digest, PEOPLE[who][0]))
        self.approved.add((revision, against))
        return revision

    @rule(
        revision=revisions,
        seen=st.sampled_from(["nothing", "tag", "old tag", "number", "old number"]),
    )
    def activate_any(self, revision: str, seen: str) -> None:
        """Activate any revision over what was seen, or was not."""
        self.activate(revision, seen)

    def activate(self, revision: str, seen: str) -> None:
        """Activate a revision, which must be done or refused as the model has it."""
        n = len(self.activations)
        body: dict[str, Any] = {"revision": revision, "note": "go"}
        headers = {}
        if seen.endswith("number"):
            body["expected_activation"] = n if seen == "number" else n - 1
        elif seen == "tag":
            read = self.asked("active", "boss", "GET", "/v1/active", 200)
            headers["If-Match"] = read.headers["etag"]
        elif seen == "old tag":
            headers["If-Match"] = '"seen long ago"'
        if seen in {"nothing", "old tag"}:
            status = 428 if seen == "nothing" else 412
        elif seen == "old number":
            status = 409
        elif revision not in self.proposers:
            status = 404
        else:
            may = revision in self.activations or (revision, self.active) in self.approved
            status = 200 if may and revision not in {self.active, *self.whole} else 409
        self.asked("activate", "boss", "PUT", "/v1/active", status, json=body, headers=headers)
        if status == 200:
            self.activations.append(revision)

    @rule(revision=ready)
    def activate_approved(self, revision: str) -> None:
        """Activate what was approved, maybe long ago, as an office does it."""
        self.activate(revision, "tag")

    @rule(revision=revisions)
    def publish(self, revision: str) -> None:
        """Take every step with a revision, one after the other, and ask what has changed."""
        report = self.read_report_on(revision)
        if isinstance(report, tuple):
            self.approve_by(report, "lead", forget=False)
        self.activate(revision, "number")
        for question in QUESTIONS[:2]:
            self.ask(question, None)

    @rule(back=st.integers(0, 5))
    def go_back(self, back: int) -> None:
        """Activate what was active before."""
        self.activate(self.activations[-1 - back % len(self.activations)], "tag")

    @rule(revision=revisions, row=st.sampled_from([PLAIN, THICK, THICK, "targets/S/17"]))
    def withdraw_row(self, revision: str, row: str) -> None:
        """Withdraw a row of any revision."""
        status = 404 if revision not in self.proposers else 422 if row.endswith("17") else 201
        body = {"rows": [row], "reason": "ring crushed"}
        path = f"/v1/revisions/{revision}/withdrawals"
        self.asked("withdraw", "boss", "POST", path, status, json=body)
        if status == 201:
            self.rows.add((row, force_kn(revision, row)))
            for question in QUESTIONS[:2]:
                self.ask(question, revision)
                self.ask(question, None)

    @precondition(lambda self: len(self.proposers) > 2)
    @rule(revision=consumes(revisions), sure=st.integers(0, 2))
    def withdraw_whole(self, revision: str, sure: int) -> Any:
        """Withdraw a whole revision, now and then."""
        if sure or revision not in self.proposers:
            return
        body = {"whole": True, "reason": "wrong unit"}
        path = f"/v1/revisions/{revision}/withdrawals"
        self.asked("withdraw", "boss", "POST", path, 201, json=body)
        self.whole.add(revision)
        for question in QUESTIONS:
            self.ask(question, revision)

    @rule(question=st.sampled_from(QUESTIONS), pin=st.none() | revisions)
    def ask_any(self, question: Question, pin: str | None) -> None:
        """Ask anything, of what is active or pinned."""
        self.ask(question, pin)

    def ask(self, question: Question, pin: str | None) -> None:
        """Ask, of what is active or pinned: the answer says what was said of what it rests on."""
        operation, path, body = question
        revision = pin or self.active
        status = 200 if revision in self.proposers else 404
        body = body if pin is None else {**body, "revision": pin}
        answer = self.asked(operation, "erp", "POST", path, status, json=body)
        if status == 404:
            return
        told = answer.json()
        assert told["revision"] == answer.headers["catalog-revision"] == revision
        parts = told.get("items", [told])
        codes = [{f["code"] for f in part["findings"]} for part in parts]
        for found in codes:
            assert ("revision.superseded" in found) == (
                revision != self.active and revision in self.activations
            )
            assert ("revision.not-active-yet" in found) == (revision not in self.activations)
            if revision in self.whole:
                assert "revision.withdrawn" in found
        if operation == "press_target":
            wall_mm = body["tube"]["wall"]["value"]
            row = THICK if wall_mm == 2.5 else PLAIN
            gone = revision in self.whole or (row, force_kn(revision, row)) in self.rows
            assert ("revision.withdrawn" in codes[0]) == gone
            rejected = gone or revision not in self.activations
            assert (told["verdict"] == "rejected") >= rejected
            if not rejected and "target" in told:
                assert told["target"]["force"]["value"] == force_kn(revision, row)

    @rule(revision=revisions)
    def compare(self, revision: str) -> None:
        """Ask which open items a revision answers otherwise, and what differs from the active."""
        status = 200 if revision in self.proposers else 404
        path = f"/v1/revisions/{revision}"
        body = {"items": [end(2.5), end(2.0)]}
        self.asked("items_impact", "erp", "POST", f"{path}/impact", status, json=body)
        answer = self.asked("diff", "erp", "GET", f"{path}/diff/current", status)
        if status == 200:
            assert (answer.json()["count"] == 0) == (revision == self.active)

    @rule(read=st.sampled_from(READS))
    def read(self, read: tuple[str, str]) -> None:
        """Read what there is."""
        operation, path = read
        answer = self.asked(operation, "erp", "GET", path, 200)
        assert answer.headers["catalog-revision"] == self.active

    @invariant()
    def the_feed_is_the_model(self) -> None:
        """What the store says is what was acknowledged, no more and no less; nothing is lost."""
        with self.shop.store.reading() as records:
            assert [a.revision for a in records.activations()] == self.activations
            assert {p.revision: p.by for p in records.proposals()} == self.proposers
            assert {(a.revision, a.against) for a in records.approvals()} == self.approved
            given = [(a.report, a.by) for a in records.approvals()]
            assert sorted(given) == sorted(self.approvers)
            steps = len(records.audit())
        assert steps >= self.steps
        self.steps = steps


@cache
def force_kn(revision: str, row: str) -> float:
    """Force of a row in one of the revisions of these walks."""
    known = {each.id: each for each in (small(), doubtful(), *(revised(n) for n in range(1, 5)))}
    (found,) = [r for r in known[revision].tables["targets"] if r.ref == row]
    return float(found.force_kn)  # type: ignore[union-attr]


def walk(*, walks: int, steps: int, shrink: bool = True) -> Counter[str]:
    """Walk so many times so many steps; how often each step got each status.

    Where something is wrong, the shortest walk that shows it is told, unless that is not wanted.
    """
    phases = [Phase.generate, *([Phase.shrink] if shrink else [])]
    STEPS.clear()
    run_state_machine_as_test(
        Office,
        settings=settings(
            max_examples=walks,
            stateful_step_count=steps,
            deadline=None,
            database=None,
            derandomize=True,
            phases=phases,
            suppress_health_check=list(HealthCheck),
        ),
    )
    return Counter(STEPS)
