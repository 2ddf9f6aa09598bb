"""What holds for every test, however many of them run at once."""

import os
import sys
from pathlib import Path

from hypothesis import settings

# A neighbour on the same core is no fault of what is tested: tests of how long something takes
# measure the time of the processor, or have seconds to spare.
settings.register_profile("tests", deadline=None)
settings.load_profile("tests")

# Tests start hundreds of processes: what one of them has compiled the next finds, and the next run
# too, on a machine that keeps no bytecode otherwise. The processes of xdist inherit the folder.
if os.environ.pop("PYTHONDONTWRITEBYTECODE", None) or "PYTHONPYCACHEPREFIX" not in os.environ:
    kept = Path(__file__).parents[1] / ".pytest_cache" / "bytecode"
    os.environ["PYTHONPYCACHEPREFIX"] = sys.pycache_prefix = str(kept)
    sys.dont_write_bytecode = False
