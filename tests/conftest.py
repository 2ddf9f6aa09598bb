"""What holds for every test, however many of them run at once."""

import atexit
import os
import shutil
import tempfile

from hypothesis import settings

# A neighbour on the same core is no fault of what is tested: tests of how long something takes
# measure the time of the processor, or have seconds to spare.
settings.register_profile("tests", deadline=None)
settings.load_profile("tests")

# Tests start hundreds of processes: what one of them has compiled the next finds, on a machine that
# keeps no bytecode too. The processes of xdist inherit the folder of the first.
if os.environ.pop("PYTHONDONTWRITEBYTECODE", None) or "PYTHONPYCACHEPREFIX" not in os.environ:
    os.environ["PYTHONPYCACHEPREFIX"] = tempfile.mkdtemp(prefix="ringwright-bytecode-")
    atexit.register(shutil.rmtree, os.environ["PYTHONPYCACHEPREFIX"], ignore_errors=True)
