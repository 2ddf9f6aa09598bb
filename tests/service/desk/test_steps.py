"""Approve, activate, go back, withdraw: in whose name, in which order, and every refusal."""

import pytest

from catalog.seed import shipped_revision
from service.cli.opening import opened, short
from tests.service.desk.office import ROW, Office, newest, steps_of

SHIPPED = shipped_revision().id
ACTIVATE = ("catalog", "activate")
NOTE = ("--note", "in use from today")


def digest_of(office: Office) -> str:
    """Digest of the newest report."""
    with opened(office.folder) as store, store.reading() as records:
        return records.reports()[-1].digest


def active(office: Office) -> str:
    """Revision that answers."""
    with opened(office.folder) as store, store.reading() as records:
        last = records.last_activation()
    assert last is not None
    return last.revision


def approve(office: Office, *more: str, code: int = 0) -> tuple[str, str]:
    """Approve the newest revision by its report."""
    given = "--report", digest_of(office), "--note", "read", *more
    return office.run("catalog", "approve", newest(office), *given, code=code)


@pytest.fixture
def approved(proposed: Office, monkeypatch: pytest.MonkeyPatch) -> Office:
    """An office in which `lead` has approved, and still sits there."""
    proposed.sits(monkeypatch, "lead")
    approve(proposed)
    return proposed


def test_the_walk_leaves_its_steps_in_the_trail(approved: Office) -> None:
    new = newest(approved)
    said, _ = approved.run(*ACTIVATE, short(new), *NOTE, "--expected", "1")
    assert said.startswith(f"activation 2 holds: {short(new)} since ")
    assert active(approved) == new
    said, _ = approved.run("catalog", "rollback", "--note", "gauge was off")
    assert f"it takes the place of {short(new)}" in said
    assert active(approved) == SHIPPED
    assert steps_of(approved.folder)[-5:] == [
        ("office", "propose"),
        ("office", "report"),
        ("lead", "approve"),
        ("lead", "activate"),
        ("lead", "activate"),
    ]


def test_who_approves_again_is_shown_the_first_approval(approved: Office) -> None:
    steps = steps_of(approved.folder)
    said, _ = approve(approved)
    first, again, *_ = said.splitlines()
    assert first == f"approval 1: {short(newest(approved))} by lead"
    assert again.startswith("it was given at ")
    assert again.endswith(", of this very report: nothing was added")
    assert steps_of(approved.folder) == steps


def test_nobody_approves_what_they_proposed(
    proposed: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    keys = {**proposed.keys}
    # The key of the proposer gains nothing by a second one with all scopes in the same name.
    proposed.sits(monkeypatch, "office")
    assert "lacks the scope `approve`" in approve(proposed, code=1)[1]
    made = proposed.run("key", "make", "office", "--scope", "approve")[0].split()[-1]
    monkeypatch.setenv("RINGWRIGHT_KEY", made)
    _, complained = approve(proposed, code=1)
    assert complained == "`office` has proposed it: another person must approve\n"
    assert made not in keys.values()


def test_a_report_that_was_not_read_is_not_approved(
    proposed: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    proposed.sits(monkeypatch, "lead")
    given = "--report", "sha256:" + "0" * 64, "--note", "read"
    _, complained = proposed.run("catalog", "approve", newest(proposed), *given, code=1)
    assert "is no report on this revision: read `ringwright catalog report`" in complained
    assert "GET" not in complained


def test_each_strong_doubt_wants_its_own_reason(
    slipped: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    slipped.sits(monkeypatch, "lead")
    doubts = [
        "no-good-pair:targets/bare:",
        f"relation:cones/cone-S-16+{ROW}:rated_force_kn",
        f"relation:cones/cone-S-16-steel+{ROW}:rated_force_kn",
        f"relation:plates/plate-metric-16+{ROW}:rated_force_kn",
        f"ten-times:{ROW}:force_kn",
    ]
    _, complained = approve(slipped, code=1)
    assert complained.splitlines() == [
        "5 acknowledgements to mend",
        *(
            f"--acknowledge: the strong doubt `{doubt}` is not acknowledged: give a reason"
            for doubt in doubts
        ),
    ]
    some = [word for doubt in doubts[:4] for word in ("--acknowledge", f"{doubt}=new tool")]
    _, complained = approve(slipped, *some, "--acknowledge", "hearsay=no", code=1)
    assert "--acknowledge 5: `hearsay` is no strong doubt of the report" in complained
    assert doubts[4] in complained
    approve(slipped, *some, "--acknowledge", f"{doubts[4]}=it is = 290 kN")
    with opened(slipped.folder) as store, store.reading() as records:
        (approval,) = records.approvals()
    assert [(a.doubt, a.reason) for a in approval.acknowledged] == [
        (doubts[0], "new tool"),
        (doubts[1], "new tool"),
        (doubts[2], "new tool"),
        (doubts[3], "new tool"),
        (doubts[4], "it is = 290 kN"),
    ]


def test_what_nobody_approved_is_not_activated(
    proposed: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    proposed.sits(monkeypatch, "lead")
    new = newest(proposed)
    _, complained = proposed.run(*ACTIVATE, new, *NOTE, "--expected", "1", code=1)
    assert "nobody has approved this revision against the one that is active" in complained
    _, complained = proposed.run("catalog", "rollback", new, *NOTE, code=1)
    assert complained == f"{short(new)} has never answered: have it approved and activate it\n"
    assert active(proposed) == SHIPPED


def test_without_a_terminal_it_is_said_what_was_seen(approved: Office) -> None:
    _, complained = approved.run(*ACTIVATE, newest(approved), *NOTE, code=2)
    assert complained.startswith(
        "say which activation you have seen, with --expected N: activation 1 holds: "
    )
    assert active(approved) == SHIPPED


def test_whoever_saw_another_activation_decides_anew(approved: Office) -> None:
    for seen in ("0", "2"):
        _, complained = approved.run(*ACTIVATE, newest(approved), *NOTE, "--expected", seen, code=1)
        assert complained == (
            f"activation 1 holds, not {seen}: look at `ringwright catalog revisions` and decide"
            " anew\n"
        )
    _, complained = approved.run(*ACTIVATE, "current", *NOTE, "--expected", "1", code=1)
    assert complained == "this revision is active already\n"


def test_going_back_twice_does_not_go_forward(approved: Office) -> None:
    new = newest(approved)
    approved.run(*ACTIVATE, new, *NOTE, "--expected", "1")
    approved.run("catalog", "rollback", *NOTE)
    _, complained = approved.run("catalog", "rollback", *NOTE, code=1)
    assert complained == "no revision answered before it that is not withdrawn: name another\n"
    # By its name it is asked for, and needs no approval: it has answered before.
    approved.run("catalog", "rollback", new, *NOTE)
    assert active(approved) == new
    approved.run("catalog", "rollback", *NOTE)
    assert active(approved) == SHIPPED


def test_nothing_goes_back_to_what_is_withdrawn(approved: Office) -> None:
    approved.run(*ACTIVATE, newest(approved), *NOTE, "--expected", "1")
    said, _ = approved.run("catalog", "withdraw", SHIPPED, "--whole", "--reason", "crushed")
    assert said.startswith(f"the whole revision of {short(SHIPPED)} withdrawn")
    assert "it is the one that answers" not in said
    approved.run("catalog", "rollback", *NOTE, code=1)
    _, complained = approved.run("catalog", "rollback", SHIPPED, *NOTE, code=1)
    assert "this revision is withdrawn" in complained


def test_rows_are_withdrawn_by_the_name_that_answers_give_them(approved: Office) -> None:
    given = "catalog", "withdraw", "current", "--reason", "wrong gauge"
    _, complained = approved.run(*given, "--row", ROW, "--row", "targets/S/17", code=1)
    assert "--row 2: `targets/S/17` is no row of this revision" in complained
    said, _ = approved.run(*given, "--row", ROW)
    assert f"  {ROW}, by lead at " in said
    listed, _ = approved.run("catalog", "revisions")
    # The column is narrow: the words may stand one under the other.
    assert "1 row" in " ".join(listed.split())
    assert "withdrawn" in listed


def test_withdrawing_what_answers_says_what_that_means(approved: Office) -> None:
    said, _ = approved.run("catalog", "withdraw", "current", "--whole", "--reason", "crushed")
    assert "it is the one that answers: every answer is rejected until you" in said


@pytest.mark.parametrize(
    "arguments",
    [
        ("approve", "current", "--note", "n"),
        ("approve", "current", "--report", "d", "--note", "n", "--acknowledge", "no mark"),
        ("approve", "current", "--report", "d", "--note", "n", "--acknowledge", "doubt= "),
        ("approve", "current", "--report", "d"),
        ("activate", "current", "--note", " "),
        ("activate", "current", "--note", "n" * 2001),
        ("activate", "current", "--note", "n", "--expected", "-1"),
        ("activate", "--note", "n", "--key", "rw_a_b"),
        ("rollback",),
        ("withdraw", "current", "--reason", "r"),
        ("withdraw", "current", "--reason", "r", "--whole", "--row", "targets/S/16"),
        ("withdraw", "current", "--whole"),
    ],
    ids=lambda each: " ".join(each)[:60],
)
def test_a_step_that_is_half_said_is_not_understood(
    office: Office, arguments: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        office.run("catalog", *arguments)
    assert ended.value.code == 2
