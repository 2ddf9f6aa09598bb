"""Attack the running service with what its contract allows, and with what it does not.

`python -m tests.contract.attack` runs every phase and every check of schemathesis over real HTTP,
with a few seeds. Examples and a hook give it real ids, so that it reaches real answers; a warning
(an operation that mostly refuses, say) fails the run.
"""

import subprocess
import sys
from pathlib import Path
from typing import Final

from tests.service.serving import served

SEEDS: Final = (1, 16, 2603, 8434)
EXAMPLES_AN_OPERATION: Final = 200
ROOT: Final = Path(__file__).parents[2]
CONFIG: Final = Path(__file__).with_name("schemathesis.toml")


def attack(base: str, *options: str) -> subprocess.CompletedProcess[str]:
    """Run schemathesis once against the service at an address."""
    command = [
        str(Path(sys.executable).with_name("schemathesis")),
        f"--config-file={CONFIG}",
        "run",
        f"{base}/openapi.json",
        f"--url={base}",
        "--checks=all",
        "--no-color",
        *options,
    ]
    return subprocess.run(command, cwd=ROOT, check=False, capture_output=True, text=True)


def main() -> int:
    """Run every seed; 1 where one of them found anything."""
    with served() as client:
        base = str(client.base_url).rstrip("/")
        for seed in SEEDS:
            ended = attack(
                base,
                "--phases=examples,coverage,fuzzing,stateful",
                f"--max-examples={EXAMPLES_AN_OPERATION}",
                f"--seed={seed}",
            )
            sys.stdout.write(ended.stdout)
            sys.stderr.write(ended.stderr)
            sys.stdout.flush()
            if ended.returncode:
                return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
