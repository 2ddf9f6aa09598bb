"""serve, demo."""

import argparse
import gc

from service.command_line.kinds import Verbs, add_data, port

# The rooms are imported by the command that needs them, so that checking tables starts no server.


def add_serving(commands: Verbs) -> None:
    """Add the commands that serve the API."""
    serve = commands.add_parser("serve", help="serve the API")
    add_data(serve)
    serve.add_argument("--host", default="127.0.0.1", help="address, 127.0.0.1 unless given")
    serve.add_argument("--port", type=port, default=8080, help="port, 8080 unless given")
    serve.set_defaults(run=_serve)
    demo = commands.add_parser("demo", help="serve, ask every example question, tell the answers")
    demo.add_argument("--once", action="store_true", help="end after the answers")
    told = "port, 8080 unless given, or a free one where that is taken"
    demo.add_argument("--port", type=port, help=told)
    demo.set_defaults(run=_demo)


def _serve(options: argparse.Namespace) -> int:
    gc.disable()  # until it serves: what is loaded for that is no garbage
    from service.serving import serve

    return serve(options.host, options.port, options.data)


def _demo(options: argparse.Namespace) -> int:
    from service.demo.running import demonstrate

    return demonstrate(options.port, once=options.once)
