"""Who is who: the name of a key stands for a person, however it is spelt."""

import unicodedata


def person(name: str) -> str:
    """What is the same for every spelling of a name: only letters and digits count, not their case.

    >>> person("Anna Lind") == person("anna.lind ")
    True
    """
    plain = unicodedata.normalize("NFKC", name).casefold()
    return "".join(letter for letter in plain if letter.isalnum())


def alphabets(name: str) -> set[str]:
    """Alphabets of a name that hold letters which look alike.

    >>> sorted(alphabets("\N{CYRILLIC SMALL LETTER O}ffice"))
    ['CYRILLIC', 'LATIN']
    """
    words = {unicodedata.name(letter, "").partition(" ")[0] for letter in name if letter.isalpha()}
    return words & {"LATIN", "CYRILLIC", "GREEK", "ARMENIAN"}
