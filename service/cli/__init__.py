"""The command line: a file for each group of commands, with their options and what they do."""

import argparse
import gc
import io
import os
import sys
from collections.abc import Callable, Collection, Mapping
from importlib import import_module
from importlib.metadata import version
from pathlib import Path
from typing import Final

from service.cli.options import add_data, port, verbs_of

INTERRUPTED: Final = 130
"""Exit code of a shell command that Ctrl-C ended before its time."""
UNREAD: Final = 141
"""Exit code of a shell command whose output nobody reads any more, as `head` leaves it."""
_GROUPS: Final[Mapping[str, tuple[str, tuple[str, ...]]]] = {
    "key": ("make, list, revoke and rotate API keys", ("keys",)),
    "catalog": ("check, export and publish tables", ("tables", "revisions", "steps")),
    "audit": ("read and verify the audit trail", ("audit",)),
}
"""Commands that have verbs: what they are for, and the modules that add the verbs."""


def main(arguments: list[str] | None = None) -> int:
    """Run one command; the exit code says how it went (0 right, 1 faults, 2 not understood)."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A console that lacks a letter shows a `?` for it, and the command goes on.
            stream.reconfigure(errors="replace")
    words = sys.argv[1:] if arguments is None else arguments
    options = vars(command_line(words).parse_args(words))
    run: Callable[..., int] = options.pop("run")
    try:
        code = run(**options)
        sys.stdout.flush()
    except BrokenPipeError:
        # What is still to be written at the end must not fail again.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return UNREAD
    except KeyboardInterrupt:
        sys.stderr.write("\nended before it was done\n")
        return INTERRUPTED
    return code


def command_line(words: Collection[str] = _GROUPS.keys()) -> argparse.ArgumentParser:
    """Every command with its options; verbs only of the groups that are among these words.

    So serving loads nothing of the office, and checking tables no server.
    """
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
    start = commands.add_parser("serve", help="serve the API")
    add_data(start)
    start.add_argument("--host", default="127.0.0.1", help="address, 127.0.0.1 unless given")
    start.add_argument("--port", type=port, default=8080, help="port, 8080 unless given")
    start.set_defaults(run=serve)
    show = commands.add_parser("demo", help="serve, ask every example question, tell the answers")
    show.add_argument("--once", action="store_true", help="end after the answers")
    where = "port, 8080 unless given, or a free one where that is taken"
    show.add_argument("--port", type=port, help=where)
    show.set_defaults(run=demo)
    for name, (about, modules) in _GROUPS.items():
        group = commands.add_parser(name, help=about)
        if name in words:
            verbs = verbs_of(group)
            for module in modules:
                import_module(f"service.cli.{module}").add_verbs(verbs)
    return parser


def serve(data: Path | None, host: str, port: int) -> int:
    """Serve the API until it is told to stop."""
    gc.disable()  # until it serves: what is loaded for that is no garbage
    from service.serving import serve

    return serve(host, port, data)


def demo(port: int | None, *, once: bool) -> int:
    """Serve, ask every example question, tell the answers."""
    from service.demo.running import demonstrate

    return demonstrate(port, once=once)
