"""Publishing from a terminal while the service runs on the same folder, as people do it."""

import re
from pathlib import Path
from typing import Any

import httpx
import pytest

from tests.service.commands import interrupt, line_with, run, running

pytestmark = pytest.mark.apart

EDITED = "S,16,2.4,2.6,carbon-steel,,metal,,none,28.5,8,at-pressure,35.6,demo"
HIGHER = "S,16,2.4,2.6,carbon-steel,,metal,,none,29,8,at-pressure,36.3,demo"
"""1.25 x 29 kN = 36.25 kN, rounded up, as the ceilings of the table are."""
ROW = "targets/S/16/2.4/2.6/carbon-steel/metal/none"
PICK = {
    "detail": "full",
    "items": [
        {
            "tube": {
                "od": {"value": 16, "unit": "mm"},
                "wall": {"value": 2.5, "unit": "mm"},
                "material": "e235-n",
            },
            "fitting": {"series": "S", "ring_style": "metal", "ring_material": "carbon-steel"},
        }
    ],
}


class Shop:
    """A folder, whoever is at the terminal, and the ERP that asks."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.keys: dict[str, str] = {}

    def make_key(self, name: str, *scopes: str) -> None:
        given = [word for scope in scopes for word in ("--scope", scope)]
        said = run("key", "make", name, *given, "--data", self.folder, code=0).stdout
        self.keys[name] = said.splitlines()[-1]

    def do(self, who: str, *words: str | Path, code: int = 0) -> str:
        """What `catalog` says to somebody."""
        key = self.keys[who]
        ended = run(
            "catalog", *words, "--data", self.folder, code=code, RINGWRIGHT_KEY=key, COLUMNS="80"
        )
        told = ended.stdout + ended.stderr
        assert key not in told
        return told

    def pick(self, base: str) -> Any:
        """The ERP's tooling pick of this moment."""
        key = {"Authorization": f"Bearer {self.keys['erp']}"}
        return httpx.post(f"{base}/v1/tooling-picks", json=PICK, headers=key).json()


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    """A new shop with keys for everybody."""
    shop = Shop(tmp_path / "shop")
    shop.make_key("erp", "read")
    shop.make_key("office", "propose")
    shop.make_key("lead", "approve", "activate")
    return shop


def test_the_next_answer_rests_on_what_the_terminal_activated(shop: Shop, tmp_path: Path) -> None:
    with running("serve", "--port", "0", "--data", str(shop.folder)) as process:
        base = line_with(process, "serving at ").split()[2].rstrip(",")
        before = shop.pick(base)
        assert before["items"][0]["target"]["force"]["value"] == 28.5

        shop.do("office", "export", "--to", tmp_path / "tables")
        targets = tmp_path / "tables" / "targets.csv"
        text = targets.read_text(encoding="utf-8")
        assert text.count(EDITED) == 1
        targets.write_text(text.replace(EDITED, HIGHER), encoding="utf-8")
        note = "--note", "16 S x 2.5 measured anew"
        said = shop.do("office", "propose", targets, "--base", "current", *note)
        revision, digest = re.findall(
            r"^(?:revision|report) (sha256:[0-9a-f]{64})", said, re.MULTILINE
        )
        told = " ".join(said.split())
        assert "1 row differs; 32564 press targets asked: 1 newly allowed, none newly" in told
        assert " 8 with other numbers (by at most " in told
        assert shop.pick(base) == before

        name, read = revision[7:15], ("--note", "read, agrees")
        shop.do("office", "approve", name, "--report", digest, *read, code=1)
        shop.do("lead", "activate", name, "--note", "early", "--expected", "1", code=1)
        assert shop.pick(base) == before
        shop.do("lead", "report", name, "--html", tmp_path / "report.html")
        shop.do("lead", "approve", name, "--report", digest, *read)
        shop.do("lead", "activate", name, "--note", "from today", "--expected", "1")
        after = shop.pick(base)
        assert after["revision"] == revision
        assert after["items"][0]["target"]["force"]["value"] == 29

        shop.do("lead", "rollback", "--note", "the gauge of the measurement was off")
        assert shop.pick(base) == before
        shop.do("lead", "withdraw", name, "--row", ROW, "--reason", "measured with a wrong gauge")
        shop.do("lead", "rollback", name, "--note", "only to see that it is refused now")
        item = shop.pick(base)["items"][0]
        assert item["verdict"] == "rejected"
        assert "revision.withdrawn" in {finding["code"] for finding in item["findings"]}
        code, _, complained = interrupt(process)
    assert (code, complained) == (0, "")
    verified = run("audit", "verify", "--data", shop.folder, code=0).stdout
    # Tables and activation of the start, three keys, proposal and report, approval, three
    # activations, one withdrawal.
    assert verified.startswith("12 steps, ")


def test_a_key_that_is_revoked_at_the_terminal_opens_nothing_over_http(shop: Shop) -> None:
    with running("serve", "--port", "0", "--data", str(shop.folder)) as process:
        base = line_with(process, "serving at ").split()[2].rstrip(",")
        assert shop.pick(base)["items"]
        id_ = shop.keys["erp"].split("_")[1]
        run("key", "revoke", id_, "--reason", "lost", "--data", shop.folder, code=0)
        assert shop.pick(base)["status"] == 401
        shop.make_key("erp", "read")
        assert shop.pick(base)["items"]


def test_a_key_of_the_wrong_person_does_nothing(shop: Shop, tmp_path: Path) -> None:
    told = shop.do("erp", "rollback", "--note", "no", code=1)
    assert "the key of `erp` lacks the scope `activate` (it has read)" in told
    shop.keys["stranger"] = "rw_000000000000_" + "A" * 43
    told = shop.do("stranger", "rollback", "--note", "no", code=1)
    assert told == (
        "RINGWRIGHT_KEY: this key opens nothing: ask whoever gave it to you for another\n"
    )
