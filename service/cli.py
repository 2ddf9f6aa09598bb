"""The command line: serve, demo, catalog check, catalog export."""

import argparse
import io
import sys
from collections.abc import Callable
from importlib.metadata import version
from pathlib import Path


def main(arguments: list[str] | None = None) -> int:
    """Run one command; the exit code says how it went (0 right, 1 faults, 2 not understood)."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A console that lacks a letter shows a `?` for it, and the command goes on.
            stream.reconfigure(errors="replace")
    options = command_line().parse_args(arguments)
    run: Callable[[argparse.Namespace], int] = options.run
    return run(options)


def command_line() -> argparse.ArgumentParser:
    """Every command with its options."""
    parser = argparse.ArgumentParser(
        prog="ringwright",
        description="Presetting cutting rings on hydraulic tube: a catalog behind an API.",
        epilog="exit codes: 0 right, 1 something is wrong and told, 2 command not understood",
    )
    parser.add_argument("--version", action="version", version=version("ringwright"))
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    serve = commands.add_parser("serve", help="serve the API")
    serve.add_argument("--host", default="127.0.0.1", help="address, 127.0.0.1 unless given")
    serve.add_argument("--port", type=_port, default=8080, help="port, 8080 unless given")
    serve.set_defaults(run=_serve)

    demo = commands.add_parser("demo", help="serve, ask every example question, tell the answers")
    demo.add_argument("--once", action="store_true", help="end after the answers")
    demo.add_argument("--port", type=_port, default=0, help="port, a free one unless given")
    demo.set_defaults(run=_demo)

    catalog = commands.add_parser("catalog", help="check and export tables")
    verbs = catalog.add_subparsers(required=True, metavar="VERB")
    check = verbs.add_parser("check", help="say everything that is wrong with tables")
    check.add_argument("folder", type=Path, metavar="FOLDER", help="one CSV file a table")
    check.set_defaults(run=_check)
    export = verbs.add_parser("export", help="write a revision out")
    export.add_argument(
        "--from", dest="folder", type=Path, metavar="FOLDER", help="tables, else the shipped"
    )
    where = export.add_mutually_exclusive_group()
    where.add_argument(
        "--to",
        type=Path,
        default=Path("catalog-export"),
        metavar="FOLDER",
        help="folder for the canonical files and CSV, catalog-export unless given",
    )
    where.add_argument("--sqlite", type=Path, metavar="FILE", help="write one SQLite file instead")
    export.add_argument("--force", action="store_true", help="write over an export that is there")
    export.set_defaults(run=_export)
    return parser


def _port(text: str) -> int:
    if text.isdecimal() and int(text) <= 65535:
        return int(text)
    message = f"`{text}` is no port: give a number from 0 to 65535"
    raise argparse.ArgumentTypeError(message)


# The rooms are imported by the command that needs them, so that checking tables starts no server.


def _serve(options: argparse.Namespace) -> int:
    from service.serving import serve

    return serve(options.host, options.port)


def _demo(options: argparse.Namespace) -> int:
    from service.demo.running import demonstrate

    return demonstrate(options.port, once=options.once)


def _check(options: argparse.Namespace) -> int:
    from service.tables import check

    return check(options.folder)


def _export(options: argparse.Namespace) -> int:
    from service.exporting import export

    sqlite: Path | None = options.sqlite
    target: Path = options.to if sqlite is None else sqlite
    return export(options.folder, target, as_sqlite=sqlite is not None, force=options.force)


if __name__ == "__main__":
    sys.exit(main())
