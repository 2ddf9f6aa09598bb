"""What follows from an answer: the steps of an office, from a proposal to the revision in use.

Links hang on what was kept: a proposal that was only looked at answers 200, and is nowhere.
"""

from typing import Any, Final

_NAMED: Final = {"revision": "$response.body#/revision"}


def _link(
    operation: str, about: str, path: dict[str, str] | None = None, body: Any = None
) -> dict[str, Any]:
    told: dict[str, Any] = {"operationId": operation, "description": about}
    if path is not None:
        told["parameters"] = path
    return told if body is None else {**told, "requestBody": body}


LINKS: Final[dict[str, dict[str, dict[str, Any]]]] = {
    "propose": {
        "201": {
            "report": _link("report", "what an approver reads", _NAMED),
            "approve": _link(
                "approve",
                "another person approves what the report says",
                _NAMED,
                {"report": "$response.body#/report/digest", "note": "read and agreed"},
            ),
            "proposed": _link("revision", "the revision as it is kept", _NAMED),
        }
    },
    "approve": {
        "201": {
            "active": _link("active", "the activation that is to be replaced"),
            "approved": _link("revision", "the revision with its approvals", _NAMED),
        }
    },
    "active": {
        "200": {
            "activate": _link(
                "activate",
                "another revision answers from now on, if nobody was first",
                body={
                    "revision": "$response.body#/revision",
                    "note": "in use",
                    "expected_activation": "$response.body#/n",
                },
            )
        }
    },
    "activate": {
        "200": {
            "withdraw": _link(
                "withdraw",
                "nothing may rest on it any more",
                _NAMED,
                {"reason": "measured wrongly", "whole": True},
            ),
            "diff": _link(
                "diff",
                "what it changed",
                {"revision": "$response.body#/previous", "other": "$response.body#/revision"},
            ),
        }
    },
}
"""Links of an operation by the status of its answer and their name."""
