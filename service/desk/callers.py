"""In whose name a command changes something: the key in the environment says so."""

import os
import time
from collections.abc import Mapping

from service.desk.refused import DeskError
from service.edge.access import caller_of, keyring_of
from service.edge.problems import ProblemError
from service.settings import KEY
from service.store.records import Scope
from service.store.sqlite.keeping import Store


def caller(store: Store, scope: Scope, environment: Mapping[str, str] = os.environ) -> str:
    """Name of the holder of the key, which must be good and have this scope.

    The key is read from the environment: options stand in the list of processes, for all to see.
    Errors: `DeskError`.
    """
    text = environment.get(KEY, "").strip()
    if not text:
        message = f"no key is given: this step is taken in your name, so put your key into {KEY}"
        raise DeskError(message)
    with store.reading() as records:
        keyring = keyring_of(records.keys(), records.revocations())
    try:
        who = caller_of(keyring, [b"Bearer " + os.fsencode(text)], time.time())
    except ProblemError as problem:
        message = f"{KEY}: {problem.detail}"
        raise DeskError(message) from problem
    if scope not in who.scopes:
        has = ", ".join(sorted(who.scopes)) or "none"
        message = (
            f"the key of `{who.name}` lacks the scope `{scope}` (it has {has}): ask for a key that "
            "has it"
        )
        raise DeskError(message)
    return who.name
