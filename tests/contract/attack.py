"""Attack the running service with what its contract allows, and with what it does not.

`python -m tests.contract.attack` runs every phase and every check of schemathesis over real HTTP,
with a few seeds. The examples of the contract carry real ids, so it reaches real answers; a warning
(an operation that only ever refused, say) fails the run.
"""

import subprocess
import sys
from pathlib import Path

from tests.service.serving import served

SEEDS = (1, 16, 2603)
EXAMPLES_AN_OPERATION = 60
CONFIG = Path(__file__).with_name("schemathesis.toml")


def main() -> int:
    """Run every seed; the exit code is that of the first run that found something."""
    with served() as client:
        base = str(client.base_url).rstrip("/")
        for seed in SEEDS:
            command = [
                str(Path(sys.executable).with_name("schemathesis")),
                f"--config-file={CONFIG}",
                "run",
                f"{base}/openapi.json",
                f"--url={base}",
                "--checks=all",
                "--phases=examples,coverage,fuzzing,stateful",
                f"--max-examples={EXAMPLES_AN_OPERATION}",
                f"--seed={seed}",
                "--no-color",
            ]
            ended = subprocess.run(command, check=False)
            if ended.returncode:
                return ended.returncode
    return 0


if __name__ == "__main__":
    sys.exit(main())
