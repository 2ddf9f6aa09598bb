"""Keys for tests: one of every scope alone, and ways in which a key is good no longer."""

from typing import get_args

from service.edge.access import Keyring, key_text, keyring_of, new_secret, secret_hash
from service.store.records import Key, KeyRevocation, Scope

SCOPES: tuple[Scope, ...] = get_args(Scope)
NOW_S = 1_772_445_600.0
"""2026-03-02 10:00 UTC."""
LATER, EARLIER = "2026-03-02T10:00:01Z", "2026-03-02T10:00:00Z"


def made(
    n: int, key_id: str, scopes: tuple[Scope, ...], expires_at: str | None = None
) -> tuple[Key, str]:
    """A key as the store keeps it, and its secret."""
    secret = new_secret()
    key = Key(
        n=n,
        at="2026-01-01T00:00:00Z",
        by="office",
        id=key_id,
        name=f"name of {key_id}",
        scopes=scopes,
        secret_hash=secret_hash(secret),
        expires_at=expires_at,
    )
    return key, secret


def revoked(n: int, key_id: str) -> KeyRevocation:
    """A revocation of a key."""
    return KeyRevocation(n=n, at="2026-02-01T00:00:00Z", by="office", key=key_id, reason="lost")


def every_key() -> tuple[Keyring, dict[str, str]]:
    """Keyring, and the text of a key by its name: a scope alone, `expired`, `revoked`, `unknown`.

    Those that are good no longer had every scope.
    """
    keys = [made(n, f"only{scope}", (scope,)) for n, scope in enumerate(SCOPES, start=1)]
    keys += [made(11, "expired1", SCOPES, EARLIER), made(12, "revoked1", SCOPES)]
    texts = dict(
        zip((*SCOPES, "expired", "revoked"), (key_text(k.id, s) for k, s in keys), strict=True)
    )
    texts["unknown"] = key_text("unknown1", new_secret())
    texts["wrong"] = key_text("only" + SCOPES[0], new_secret())
    return keyring_of([key for key, _ in keys], [revoked(1, "revoked1")]), texts


def bearer(text: str) -> dict[str, str]:
    """Header that gives a key."""
    return {"Authorization": f"Bearer {text}"}
