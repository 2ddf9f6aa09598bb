"""What follows from an answer: the steps of an office, from a proposal to the revision in use.

Links hang on what was kept: a proposal that was only looked at answers 200, and is nowhere. They
name paths alone: generators refuse a link that fills in parts of a body.
"""

from typing import Any, Final

_NAMED: Final = {"revision": "$response.body#/revision"}


def _link(operation: str, about: str, path: dict[str, str]) -> dict[str, Any]:
    return {"operationId": operation, "description": about, "parameters": path}


LINKS: Final[dict[str, dict[str, dict[str, Any]]]] = {
    "propose": {
        "201": {
            "proposed": _link("revision", "the revision as it is kept", _NAMED),
            "report": _link("report", "what an approver reads", _NAMED),
            "approve": _link("approve", "another person approves the report", _NAMED),
        }
    },
    "approve": {
        "201": {
            "approved": _link("revision", "the revision with its approvals", _NAMED),
            "activate": _link("activate", "it answers from now on, if nobody was first", {}),
        }
    },
    "active": {"200": {"tables": _link("revision", "the revision that answers", _NAMED)}},
    "activate": {
        "200": {
            "withdraw": _link("withdraw", "nothing may rest on it any more", _NAMED),
            "diff": _link(
                "diff",
                "what it changed",
                {"revision": "$response.body#/previous", "other": "$response.body#/revision"},
            ),
        }
    },
}
"""Links of an operation by the status of its answer and their name."""
