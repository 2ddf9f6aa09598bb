"""The command line: serve, demo, catalog check, catalog export."""

import argparse
import sys
from collections.abc import Callable
from importlib.metadata import version
from pathlib import Path


def main(arguments: list[str] | None = None) -> int:
    """Run one command; the exit code says how it went (0 right, 1 faults, 2 not understood)."""
    options = _parser().parse_args(arguments)
    run: Callable[[argparse.Namespace], int] = options.run
    return run(options)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="ringwright", description=__doc__)
    parser.add_argument("--version", action="version", version=version("ringwright"))
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    serve = commands.add_parser("serve", help="serve the API")
    serve.add_argument("--host", default="127.0.0.1", help="address to listen on")
    serve.add_argument("--port", type=_port, default=8080, help="port to listen on")
    serve.set_defaults(run=_serve)

    demo = commands.add_parser("demo", help="serve, ask every example question, tell the answers")
    demo.add_argument("--once", action="store_true", help="end after the answers")
    demo.add_argument("--port", type=_port, default=0, help="port, a free one unless given")
    demo.set_defaults(run=_demo)

    catalog = commands.add_parser("catalog", help="check and export tables")
    verbs = catalog.add_subparsers(required=True, metavar="VERB")
    check = verbs.add_parser("check", help="say everything that is wrong with a folder of tables")
    check.add_argument("folder", type=Path, metavar="FOLDER")
    check.set_defaults(run=_check)
    export = verbs.add_parser("export", help="write a revision out")
    export.add_argument("--from", dest="folder", type=Path, help="tables, the shipped ones if none")
    where = export.add_mutually_exclusive_group()
    where.add_argument("--to", type=Path, default=Path("catalog-export"), help="folder to write")
    where.add_argument("--sqlite", type=Path, help="write one SQLite file instead")
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
    from service.tables import export

    return export(options.folder, options.to, options.sqlite)


if __name__ == "__main__":
    sys.exit(main())
