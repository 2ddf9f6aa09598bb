"""Items of a pick put together as if nothing stood once for a whole batch."""

from typing import Any

import msgspec

from catalog.answers.shapes import ToolingPickAnswer


def whole_items(told: dict[str, Any]) -> list[dict[str, Any]]:
    """Items of an answer in full detail, each with its own working and all findings."""
    return [
        {
            **item,
            "findings": [*item["findings"], *told["findings"]],
            "working": told["workings"][item["working"]] if "working" in item else [],
        }
        for item in told["items"]
    ]


def whole_item(answer: ToolingPickAnswer) -> dict[str, Any]:
    """The only item of an answer."""
    (item,) = whole_items(msgspec.json.decode(msgspec.json.encode(answer)))
    return item
