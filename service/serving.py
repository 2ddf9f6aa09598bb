"""Serve the API on one port until it is told to stop."""

import errno
import logging
import socket
import sys

import uvicorn

from service.app import create_app
from service.settings import SettingsError, settings_from


def serve(host: str, port: int) -> int:
    """Serve; 1 where settings or port cannot be used."""
    try:
        settings = settings_from()
        listening = listening_at(host, port)
    except (SettingsError, OSError) as error:
        sys.stderr.write(cannot_serve(error, host, port))
        return 1
    logging.basicConfig(level=logging.INFO, format="%(message)s", stream=sys.stdout)
    logging.getLogger("uvicorn.error").setLevel(logging.WARNING)
    # The edge writes its own slim log, and a request must not learn which server answers.
    config = uvicorn.Config(
        create_app(settings), access_log=False, server_header=False, log_config=None
    )
    sys.stdout.write(f"serving at {address(listening)}, the contract at /docs; Ctrl-C ends it\n")
    sys.stdout.flush()
    try:
        uvicorn.Server(config).run([listening])
    except KeyboardInterrupt:  # told again by the server, after it has ended what it was doing
        sys.stdout.write("ended\n")
    return 0


def listening_at(host: str, port: int) -> socket.socket:
    """Socket that already takes connections; port 0 takes a free one.

    Errors: `OSError` where host or port cannot be used.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listening = socket.socket(family, socket.SOCK_STREAM)
    try:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((host, port))
        listening.listen()
    except OSError:
        listening.close()
        raise
    return listening


def address(listening: socket.socket) -> str:
    """Base URL of what listens."""
    host, port = listening.getsockname()[:2]
    return f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}"


def cannot_serve(error: SettingsError | OSError, host: str, port: int) -> str:
    """Why the service does not start, and what to do, a line each."""
    if isinstance(error, SettingsError):
        return "".join(f"{fault}\n" for fault in error.faults)
    what = f"cannot listen on `{host}` port {port}: {str(error.strerror).lower()}"
    if error.errno == errno.EADDRINUSE:
        return f"{what}: end what listens there, or choose another with --port\n"
    if error.errno == errno.EACCES:
        return f"{what}: choose a port from 1024 up with --port\n"
    return f"{what}: choose another with --host\n"
