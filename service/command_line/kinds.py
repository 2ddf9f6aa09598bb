"""Kinds of values that options take, and the options that many commands share."""

import argparse
from pathlib import Path
from typing import Any, Final, Protocol

NOTE_LETTERS: Final = 2000
_DAYS_MOST: Final = 3650


class Verbs(Protocol):
    """Where a command is added."""

    def add_parser(self, name: str, **named: Any) -> argparse.ArgumentParser:
        """New command."""


def verbs_of(parser: argparse.ArgumentParser) -> Verbs:
    """Where the verbs of a command are added; one must be named."""
    return parser.add_subparsers(required=True, metavar="VERB")


def add_data(parser: argparse.ArgumentParser) -> None:
    """Add the option that names the folder of the store."""
    told = "folder of the store, else the one that RINGWRIGHT_DATA names"
    parser.add_argument("--data", type=Path, metavar="FOLDER", help=told)


def add_note(parser: argparse.ArgumentParser, name: str = "--note") -> None:
    """Add the option that says why, without which no step is taken."""
    told = "why, for the audit trail"
    parser.add_argument(name, type=note, required=True, metavar="TEXT", help=told)


def note(text: str) -> str:
    """Text that says something."""
    if 1 <= len(text.strip()) <= NOTE_LETTERS:
        return text.strip()
    message = f"say why in 1 to {NOTE_LETTERS} letters"
    raise argparse.ArgumentTypeError(message)


def port(text: str) -> int:
    """Number of a port."""
    if text.isdecimal() and int(text) <= 65535:
        return int(text)
    message = f"`{text}` is no port: give a number from 0 to 65535"
    raise argparse.ArgumentTypeError(message)


def days(text: str) -> int:
    """Number of days that a key lives."""
    if text.isdecimal() and 1 <= int(text) <= _DAYS_MOST:
        return int(text)
    message = f"`{text}` is no number of days: give one from 1 to {_DAYS_MOST}"
    raise argparse.ArgumentTypeError(message)


def number(text: str) -> int:
    """Number of a step, counted from 1; 0 stands before the first."""
    if text.isdecimal() and len(text) <= 12:
        return int(text)
    message = f"`{text}` is no number: give the one that the list shows"
    raise argparse.ArgumentTypeError(message)
