"""Who is who: the name of a key stands for a person, however it is spelt."""

import unicodedata


def person(name: str) -> str:
    """What is the same for every spelling of a name: case, width and spaces do not count.

    >>> person("Anna  Lind") == person(" anna lind")
    True
    """
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())
