"""Keys: made, listed, revoked, rotated; the secret is told once and never kept."""

from msgspec import Struct

from service.edge.access import key_text, new_id, new_secret, secret_hash
from service.office.refused import OfficeError
from service.store.records import Key, KeyRevocation, Scope, alphabets, person
from service.store.sqlite.changing import Change
from service.store.sqlite.keeping import Store


class MadeKey(Struct, frozen=True, kw_only=True):
    """A new key: what is kept of it, and its text, which is told this once."""

    key: Key
    text: str


def make_key(
    store: Store,
    name: str,
    scopes: tuple[Scope, ...],
    *,
    expires_at: str | None,
    by: str,
    at: str,
) -> MadeKey:
    """Make a key for a person or a system. Two keys of one name are one person's."""
    with store.changing() as change:
        return _make(change, name, scopes, expires_at, by, at)


def revoke_key(store: Store, key: str, *, reason: str, by: str, at: str) -> KeyRevocation:
    """Make a key open nothing any more. Errors: `OfficeError` where there is none to revoke."""
    with store.changing() as change:
        _held(change, key)
        return _revoke(change, key, reason, by, at)


def rotate_key(store: Store, key: str, *, expires_at: str | None, by: str, at: str) -> MadeKey:
    """Put a new key with the name and scopes of another in its place, in one step."""
    with store.changing() as change:
        old = _held(change, key)
        _revoke(change, key, "rotated", by, at)
        return _make(change, old.name, old.scopes, expires_at, by, at)


def _make(
    change: Change,
    name: str,
    scopes: tuple[Scope, ...],
    expires_at: str | None,
    by: str,
    at: str,
) -> MadeKey:
    _refuse_alike(change, name)
    secret = new_secret()
    key = Key(
        n=change.next_number(Key),
        at=at,
        by=by,
        id=new_id(),
        name=name,
        scopes=scopes,
        secret_hash=secret_hash(secret),
        expires_at=expires_at,
    )
    change.add(key)
    return MadeKey(key=key, text=key_text(key.id, secret))


def _refuse_alike(change: Change, name: str) -> None:
    """Refuse a name that is another's, spelt otherwise: it would look like a second person."""
    if len(alphabets(name)) > 1 or not person(name):
        detail = f"`{name}` mixes alphabets, or has no letter: one could be taken for another"
        raise OfficeError("conflict", detail)
    made = change.keys()
    for key in made:
        if key.name != name and person(key.name) == person(name):
            detail = f"`{name}` is `{key.name}`, spelt otherwise: give it as it stands there"
            raise OfficeError("conflict", detail)


def _held(change: Change, key: str) -> Key:
    made = change.keys()
    found = next((each for each in made if each.id == key), None)
    if found is None:
        raise OfficeError("conflict", f"`{key}` is no key here: see `ringwright key list`")
    if any(each.key == key for each in change.revocations()):
        raise OfficeError("conflict", f"`{key}` is revoked already")
    return found


def _revoke(change: Change, key: str, reason: str, by: str, at: str) -> KeyRevocation:
    n = change.next_number(KeyRevocation)
    return change.add(KeyRevocation(n=n, at=at, by=by, key=key, reason=reason))
