"""Attack the running service with what its contract allows, and with what it does not.

`python -m tests.contract.attack` runs every phase and every check of schemathesis over real HTTP,
with a few seeds, on a store of its own and with a key that may do everything; then walks of an
office at random (`walks.py`). Examples and a hook give it real ids, so that it reaches real
answers; a warning (an operation that mostly refuses, say) fails the run.
"""

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final, get_args

from msgspec import Struct

from service.office.keys import make_key
from service.store.records import Scope
from tests.contract.real import ADDRESS, KEY
from tests.contract.walks import walk
from tests.service.publishing.shop import AT, Shop, opened, proposed, seeded
from tests.service.publishing.tables import doubtful, revised, small

SEEDS: Final = (1, 16, 2603, 8434)
EXAMPLES_AN_OPERATION: Final = 40
WALKS: Final = 12
STEPS_A_WALK: Final = 40
ROOT: Final = Path(__file__).parents[2]
CONFIG: Final = Path(__file__).with_name("schemathesis.toml")


class Attacked(Struct, frozen=True):
    """A service to attack, and a key that may do everything there."""

    shop: Shop
    key: str

    @property
    def base(self) -> str:
        """Address of the service."""
        return str(self.shop.client.base_url).rstrip("/")


@contextmanager
def attacked(folder: Path) -> Iterator[Attacked]:
    """Service on a new store with one revision active, one approved and one proposed."""
    keys = seeded(folder, small())
    with opened(folder, keys) as shop:
        digest = proposed(shop.store, revised())
        assert shop.approve(revised().id, digest).status_code == 201
        proposed(shop.store, doubtful())
        made = make_key(shop.store, "everybody", get_args(Scope), expires_at=None, by="cli", at=AT)
        yield Attacked(shop, made.text)


def attack(target: Attacked, *options: str) -> subprocess.CompletedProcess[str]:
    """Run schemathesis once against a service."""
    command = [
        str(Path(sys.executable).with_name("schemathesis")),
        f"--config-file={CONFIG}",
        "run",
        f"{target.base}/openapi.json",
        f"--url={target.base}",
        f"--header=Authorization: Bearer {target.key}",
        "--checks=all",
        "--no-color",
        # A proposal replays, and a neighbour on the same core is no fault of the service.
        "--request-timeout=120",
        *options,
    ]
    environment = {**os.environ, ADDRESS: target.base, KEY: target.key}
    return subprocess.run(
        command, cwd=ROOT, check=False, capture_output=True, text=True, env=environment
    )


def main() -> int:
    """Run every seed, then the walks; 1 where anything was found."""
    for seed in SEEDS:
        with tempfile.TemporaryDirectory() as folder, attacked(Path(folder) / "store") as target:
            ended = attack(
                target,
                "--phases=examples,coverage,fuzzing,stateful",
                f"--max-examples={EXAMPLES_AN_OPERATION}",
                f"--seed={seed}",
            )
            sys.stdout.write(ended.stdout)
            sys.stderr.write(ended.stderr)
            sys.stdout.flush()
            faults = target.shop.faults()
            sys.stdout.write("".join(f"in the store: {fault}\n" for fault in faults))
        if ended.returncode or faults:
            return 1
    walked = walk(walks=WALKS, steps=STEPS_A_WALK)
    sys.stdout.write(f"{walked.total()} steps of an office: {dict(walked)}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
