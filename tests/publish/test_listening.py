"""What the tests here have refused is held against the service: one that differs is found out."""

import pytest
from msgspec import structs

from tests.publish.conftest import Shops, is_refused_over_http
from tests.publish.office import USUAL, edited_text, refused

FILES = edited_text("plates", lambda text: text.replace(",6.35,", ",wide,", 1))


def test_what_is_refused_in_other_words_or_not_at_all_is_found_out(shops: Shops) -> None:
    bad = refused(FILES)
    is_refused_over_http(shops(USUAL), FILES, USUAL, bad)
    other = [structs.replace(bad[0], message="another message"), *bad[1:]]
    for differs in (other, [], [*bad, bad[0]]):
        with pytest.raises(AssertionError):
            is_refused_over_http(shops(USUAL), FILES, USUAL, differs)
