"""API keys: who is calling, and what they may do.

A key is `rw_<id>_<secret>`; the id is public, the secret is 32 random bytes. The store keeps the
sha256 of a secret and no more. A slow hash is for secrets that people think up: 256 random bits
cannot be guessed from a quick one either, and a slow one would let strangers keep us busy.
"""

import hashlib
import hmac
import math
import re
import secrets
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Final

from msgspec import Struct

from service.edge.problems import ProblemError
from service.store.records import Key, KeyRevocation, Scope

CHALLENGE: Final = (("www-authenticate", 'Bearer realm="ringwright"'),)

_ID: Final = re.compile(r"[a-z0-9]{4,32}")
_HEADER: Final = re.compile(rb"[Bb][Ee][Aa][Rr][Ee][Rr] +rw_([a-z0-9]{4,32})_([A-Za-z0-9_-]{43})")
_NOBODY: Final = "0" * 64
"""Hash that no secret has: what an unknown id is compared with."""


class Caller(Struct, frozen=True):
    """Who holds the key of a request."""

    name: str
    key_id: str
    scopes: frozenset[Scope]


class HeldKey(Struct, frozen=True):
    """A key that was not revoked; `expires_s` is in seconds since 1970 (UTC)."""

    caller: Caller
    secret_hash: str
    expires_s: float


class Keyring(Struct, frozen=True):
    """Keys by their id. It is only ever replaced as a whole."""

    held: Mapping[str, HeldKey]


def keyring_of(keys: Iterable[Key], revocations: Iterable[KeyRevocation]) -> Keyring:
    """Keyring of what the store has; keys that were revoked are not on it.

    An id that stands twice, or a time that cannot be read, opens nothing.
    """
    revoked = {each.key for each in revocations}
    held: dict[str, HeldKey] = {}
    for key in keys:
        if key.id in held:
            revoked.add(key.id)
        caller = Caller(key.name, key.id, frozenset(key.scopes))
        held[key.id] = HeldKey(caller, key.secret_hash, _seconds(key.expires_at))
    return Keyring({id_: key for id_, key in held.items() if id_ not in revoked})


def caller_of(keyring: Keyring, given: list[bytes], now_s: float) -> Caller:
    """Caller whose key stands in the `Authorization` headers of a request.

    Errors: `ProblemError` `no-key` where there is none, `bad-key` for every other reason, without
    a word on which: revoked, expired, unknown, malformed, or two of them.
    """
    if not given:
        detail = "no key is given: send `Authorization: Bearer` and the key"
        raise ProblemError("no-key", detail, headers=CHALLENGE)
    match = _HEADER.fullmatch(given[0]) if len(given) == 1 else None
    if match is not None:
        held = keyring.held.get(match[1].decode())
        # The same work for an unknown id as for a known one: the time must not tell which it was.
        wanted = _NOBODY if held is None else held.secret_hash
        same = hmac.compare_digest(hashlib.sha256(match[2]).hexdigest(), wanted)
        if same and held is not None and now_s < held.expires_s:
            return held.caller
    raise bad_key()


def still_held(keyring: Keyring, caller: Caller, now_s: float) -> bool:
    """Whether the key of a caller is good still, with the same scopes."""
    held = keyring.held.get(caller.key_id)
    return held is not None and held.caller == caller and now_s < held.expires_s


def bad_key() -> ProblemError:
    """Problem of a key that opens nothing, without a word on why."""
    detail = "this key opens nothing: ask whoever gave it to you for another"
    return ProblemError("bad-key", detail, headers=CHALLENGE)


def told_id(given: list[bytes]) -> str | None:
    """Id of the key of a request as it may stand in a log: None unless it has the form of one."""
    match = _HEADER.fullmatch(given[0]) if len(given) == 1 else None
    return None if match is None else match[1].decode()


def new_id() -> str:
    """Public id for a new key."""
    return secrets.token_hex(6)


def new_secret() -> str:
    """Secret for a new key: 32 random bytes, base64url."""
    return secrets.token_urlsafe(32)


def secret_hash(secret: str) -> str:
    """Hash of a secret, as the store keeps it."""
    return hashlib.sha256(secret.encode()).hexdigest()


def key_text(key_id: str, secret: str) -> str:
    """Key as a person gets it, once.

    >>> key_text("a1b2c3", "s" * 43)
    'rw_a1b2c3_sssssssssssssssssssssssssssssssssssssssssss'
    """
    if not _ID.fullmatch(key_id):
        message = f"`{key_id}` is no id of a key: 4 to 32 small letters and digits"
        raise ValueError(message)
    return f"rw_{key_id}_{secret}"


def _seconds(moment: str | None) -> float:
    """Moment in seconds since 1970; never for None, long ago where it cannot be read."""
    if moment is None:
        return math.inf
    try:
        read = datetime.fromisoformat(moment)
    except ValueError:
        return -math.inf
    return -math.inf if read.tzinfo is None else read.timestamp()
