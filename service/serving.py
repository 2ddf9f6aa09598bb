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
        listening = _listening(host, port)
    except SettingsError as error:
        for fault in error.faults:
            sys.stderr.write(f"{fault}\n")
        return 1
    except OSError as error:
        taken = error.errno in {errno.EADDRINUSE, errno.EACCES}
        advice = "choose another with --port" if taken else "choose another with --host"
        sys.stderr.write(f"cannot listen on {host} port {port}: {error.strerror}: {advice}\n")
        return 1
    logging.basicConfig(level=logging.INFO, format="%(message)s", stream=sys.stdout)
    logging.getLogger("uvicorn.error").setLevel(logging.WARNING)
    sys.stdout.write(f"serving at http://{host}:{listening.getsockname()[1]}\n")
    sys.stdout.flush()
    # The edge writes its own slim log, and a request must not learn which server answers.
    config = uvicorn.Config(
        create_app(settings), access_log=False, server_header=False, log_config=None
    )
    uvicorn.Server(config).run([listening])
    return 0


def _listening(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listening = socket.socket(family, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
    except OSError:
        listening.close()
        raise
    return listening
