"""Why a command of the desk cannot be done, line by line, with its exit code."""

from typing import Final

FAULT: Final = 1
NOT_UNDERSTOOD: Final = 2


class DeskError(Exception):
    """A command that is refused; nothing of it was done."""

    def __init__(self, *lines: str, code: int = FAULT) -> None:
        super().__init__("; ".join(lines))
        self.lines = lines
        self.code = code
