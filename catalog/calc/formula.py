"""What a formula says of itself: its name, its text and where it comes from."""

from msgspec import Struct


class Formula(Struct, frozen=True, kw_only=True, gc=False):
    """One formula as an answer shows it; `source` is an id in `catalog/tables/sources.csv`."""

    id: str
    name: str
    text: str
    source: str
