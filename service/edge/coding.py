"""Codings of a body: which one a caller takes (RFC 9110, 12.5.3), and the bytes in it.

No answer holds a secret, so that its length after compression gives nothing away.
"""

import re
import sys
import zlib
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Any, Final

if sys.version_info >= (3, 14):
    from compression import zstd
else:
    from backports import zstd

IDENTITY: Final = "identity"
CODINGS: Final = ("zstd", "gzip")
"""Codings that are offered, the quicker first: zstd takes a tenth to a half of gzip's time."""
LONGEST_HEADER: Final = 1000
"""Bytes of an `Accept-Encoding` that are read; a longer one counts as not given."""

# An answer is 3 % longer than by level 6, in two thirds of the time.
_GZIP_LEVEL: Final = 4
# Its window is 2 MiB, and RFC 9659 lets a browser refuse what needs more than 8.
_ZSTD_LEVEL: Final = 3
_GZIP_FORMAT: Final = 31
_OTHER_NAMES: Final = {"x-gzip": "gzip"}
_TOKEN: Final = r"[!#$%&'*+.^_`|~0-9a-z-]+"  # noqa: S105 (the word of RFC 9110)
_MEMBER: Final = re.compile(
    rf"({_TOKEN})(?:[ \t]*;[ \t]*q=(0(?:[.][0-9]{{0,3}})?|1(?:[.]0{{0,3}})?))?", re.IGNORECASE
)


def chosen(accepted: bytes, offered: tuple[str, ...] = CODINGS, *, worth: bool = True) -> str:
    """Coding of `offered` for a caller who sends this `Accept-Encoding`, or `IDENTITY`.

    `worth` is whether coding pays: where it does not, only a caller who forbids the identity gets a
    coding. What is not of the header's form is passed over, and a caller who forbids everything is
    given the identity all the same, which RFC 9110 allows: everybody can read it, and an answer
    that is held back helps nobody.

    >>> chosen(b"gzip;q=0.5, *;q=0"), chosen(b"identity, gzip;q=0.9"), chosen(b"br;q=1.0;x")
    ('gzip', 'identity', 'identity')
    """
    weights = _weights(accepted)
    others = weights.get("*", 0.0)
    coding = max(offered, key=lambda each: weights.get(each, others))
    weight = weights.get(coding, others)
    # Nobody has to name the identity to be given it, so a weight it has only where it is named.
    plain = weights.get(IDENTITY, 0.0)
    forbidden = weights.get(IDENTITY, weights.get("*", 1.0)) == 0
    if weight == 0 or plain > weight or not (worth or forbidden):
        return IDENTITY
    return coding


def coded(parts: Iterable[bytes], coding: str) -> bytes:
    """Body in a coding, `zstd` or `gzip`: for the same parts the same bytes, in any process."""
    packer: Any = (
        zstd.ZstdCompressor(_ZSTD_LEVEL)
        if coding == "zstd"
        else zlib.compressobj(_GZIP_LEVEL, zlib.DEFLATED, _GZIP_FORMAT)  # names no time of its own
    )
    return b"".join([*(packer.compress(part) for part in parts), packer.flush()])


def decoded(body: bytes) -> bytes:
    """Body that is stored as gzip."""
    return zlib.decompress(body, _GZIP_FORMAT)


@lru_cache(256)
def _weights(accepted: bytes) -> Mapping[str, float]:
    """Weight of each coding that a header names; of one that it names twice the least."""
    weights: dict[str, float] = {}
    if len(accepted) <= LONGEST_HEADER:
        for member in accepted.decode("latin-1").split(","):
            read = _MEMBER.fullmatch(member.strip(" \t"))
            if read is not None:
                name = read[1].lower()
                name = _OTHER_NAMES.get(name, name)
                weight = 1.0 if read[2] is None else float(read[2])
                weights[name] = min(weight, weights.get(name, 1.0))
    return weights
