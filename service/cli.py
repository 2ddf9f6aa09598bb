"""The command line: serve and demo, keys, tables and revisions, the audit trail."""

import argparse
import io
import os
import sys
from collections.abc import Callable
from importlib.metadata import version
from typing import Final

from service.command_line.audit import add_audit
from service.command_line.catalog import add_catalog
from service.command_line.keys import add_keys
from service.command_line.serving import add_serving

INTERRUPTED: Final = 130
"""Exit code of a shell command that Ctrl-C ended before its time."""
UNREAD: Final = 141
"""Exit code of a shell command whose output nobody reads any more, as `head` leaves it."""


def main(arguments: list[str] | None = None) -> int:
    """Run one command; the exit code says how it went (0 right, 1 faults, 2 not understood)."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A console that lacks a letter shows a `?` for it, and the command goes on.
            stream.reconfigure(errors="replace")
    options = command_line().parse_args(arguments)
    run: Callable[[argparse.Namespace], int] = options.run
    try:
        code = run(options)
        sys.stdout.flush()
    except BrokenPipeError:
        # What is still to be written at the end must not fail again.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return UNREAD
    except KeyboardInterrupt:
        sys.stderr.write("\nended before it was done\n")
        return INTERRUPTED
    return code


def command_line() -> argparse.ArgumentParser:
    """Every command with its options."""
    parser = argparse.ArgumentParser(
        prog="ringwright",
        description="Presetting cutting rings on hydraulic tube: a catalog behind an API.",
        epilog=(
            "exit codes: 0 right, 1 something is wrong and told, 2 command not understood. "
            "RINGWRIGHT_KEY holds the key in whose name a step is taken."
        ),
    )
    parser.add_argument("--version", action="version", version=version("ringwright"))
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    add_serving(commands)
    add_keys(commands)
    add_catalog(commands)
    add_audit(commands)
    return parser


if __name__ == "__main__":
    sys.exit(main())
