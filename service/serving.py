"""Serve the API on one port until it is told to stop."""

import errno
import gc
import logging
import socket
import sys
from contextlib import closing, nullcontext
from pathlib import Path
from shlex import quote

import uvicorn
from msgspec import structs

from catalog.compiling import CompileError
from service.app import create_app, served_store
from service.edge.log import Log
from service.edge.wrapper import Wrapper
from service.settings import Settings, SettingsError, fixed_day_note, settings_from
from service.store.sqlite.keeping import Store
from service.store.sqlite.refusals import StoreError


def serve(host: str, port: int, folder: Path | None = None) -> int:
    """Serve a folder, else the one of the settings, else the shipped tables.

    1 where settings, port or store cannot be used.
    """
    try:
        settings = settings_from()
        listening = listening_at(host, port)
    except (SettingsError, OSError) as error:
        sys.stderr.write(cannot_serve(error, host, port))
        return 1
    if folder is not None:
        settings = structs.replace(settings, data=str(folder))
    with closing(listening):
        try:
            store = served_store(settings)
        except StoreError as error:
            sys.stderr.write(f"{error}\n")
            return 1
        with nullcontext() if store is None else closing(store):
            return _serve(settings, store, listening)


def _serve(settings: Settings, store: Store | None, listening: socket.socket) -> int:
    try:
        log = Log.to(sys.stdout)
        app = create_app(settings, store=store, log=log)
    except (StoreError, CompileError) as error:
        back = f"ringwright catalog rollback --note 'NOTE' --data {quote(settings.data)}"
        told = f"or go back to the revision before it, then start again: {back}"
        sys.stderr.write(f"{error}\n{told}\n")
        return 1
    sys.stdout.write(f"serving at {address(listening)}, the contract at /docs; Ctrl-C ends it\n")
    sys.stdout.write("".join(f"{line}\n" for line in _notes(settings, store)))
    sys.stdout.flush()
    _run(app, log, listening)
    return 0


def _run(app: Wrapper, log: Log, listening: socket.socket) -> None:
    logging.basicConfig(level=logging.INFO, format="%(message)s", handlers=[log])
    logging.getLogger("uvicorn.error").setLevel(logging.WARNING)
    # The edge writes its own slim log, and a request must not learn which server answers.
    config = uvicorn.Config(app, access_log=False, server_header=False, log_config=None)
    gc.freeze()  # no collection looks at the tables again
    gc.enable()
    try:
        uvicorn.Server(config).run([listening])
    except KeyboardInterrupt:  # told again by the server, after it has ended what it was doing
        sys.stdout.write("ended\n")


def _notes(settings: Settings, store: Store | None) -> list[str]:
    """What whoever starts the service must know about the day, keys, and what is kept."""
    day = fixed_day_note(settings)
    if settings.open_reading:
        who = "whoever reaches this port may ask and read without a key"
    elif store is None:
        who = "no question is answered, for there are no keys: set RINGWRIGHT_OPEN_READING=1"
    else:
        with store.reading() as records:
            making = f"ringwright key make NAME --scope read --data {quote(settings.data)}"
            who = "" if records.keys() else f"no key was made yet: {making}"
    kept = f"{settings.data} keeps revisions, keys and the audit trail"
    if store is None:
        kept = "nothing is kept, and the shipped, invented tables answer: name a folder with --data"
    return [*filter(None, [day, kept, who])]


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
