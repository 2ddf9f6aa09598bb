"""What holds for every test, however many of them run at once."""

from hypothesis import settings

# A neighbour on the same core is no fault of what is tested: tests of how long something takes
# measure the time of the processor, or have seconds to spare.
settings.register_profile("tests", deadline=None)
settings.load_profile("tests")
