"""How a command is added, the kinds of values that options take, and options that many share."""

import argparse
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any, Final, Protocol

NOTE_LETTERS: Final = 2000
REVISION: Final = "`current`, an id, or its first 8 or more hex digits"


class Verbs(Protocol):
    """Where a command is added."""

    def add_parser(self, name: str, **named: Any) -> argparse.ArgumentParser:
        """New command."""


def verbs_of(parser: argparse.ArgumentParser) -> Verbs:
    """Where the verbs of a command are added; one must be named."""
    return parser.add_subparsers(required=True, metavar="VERB")


def add_verb(
    verbs: Verbs, name: str, run: Callable[..., int], **named: Any
) -> argparse.ArgumentParser:
    """Add a command that is run with its options by name; what it is refused for is told."""
    from service.cli.telling import ended  # which serving does without

    parser = verbs.add_parser(name, **named)
    parser.set_defaults(run=partial(ended, run))
    return parser


def add_data(parser: argparse.ArgumentParser) -> None:
    """Add the option that names the folder of the store."""
    about = "folder of the store, else the one that RINGWRIGHT_DATA names"
    parser.add_argument("--data", type=Path, metavar="FOLDER", help=about)


def add_note(parser: argparse.ArgumentParser, name: str = "--note") -> None:
    """Add the option that says why, without which no step is taken."""
    about = "why, for the audit trail"
    parser.add_argument(name, type=note, required=True, metavar="TEXT", help=about)


def note(text: str) -> str:
    """Text that says something."""
    if 1 <= len(text.strip()) <= NOTE_LETTERS:
        return text.strip()
    message = f"say why in 1 to {NOTE_LETTERS} letters"
    raise argparse.ArgumentTypeError(message)


def _whole(least: int, most: int, otherwise: str) -> Callable[[str], int]:
    def whole(text: str) -> int:
        if text.isdecimal() and len(text) <= 12 and least <= int(text) <= most:
            return int(text)
        message = f"`{text}` is no {otherwise}"
        raise argparse.ArgumentTypeError(message)

    return whole


port: Final = _whole(0, 65535, "port: give a number from 0 to 65535")
days: Final = _whole(1, 3650, "number of days: give one from 1 to 3650")
"""Days that a key lives."""
number: Final = _whole(0, 10**12 - 1, "number: give the one that the list shows")
"""Number of a step, counted from 1; 0 stands before the first."""
