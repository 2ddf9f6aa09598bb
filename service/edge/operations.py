"""One operation of the contract, from its handler: what the types do not say stands in its `opt`.

- `scope`: who may ask; `query`, `path`: its parameters
- `asks`: Struct of its JSON body; `takes`: bodies of other kinds, each
  a media type and its Struct or a line on what it holds
- `answers`: Struct of a JSON answer that the handler makes itself, or answers of other kinds, each
  a media type and its Struct or a line on what it holds
- `form`: what else holds of its JSON body and no Struct can say, as keywords of JSON Schema
- `also`: other statuses than its own that come with the answer, each with a line
- `problems`: kinds of problem besides those that any handler of its form has
"""

import inspect
from collections.abc import Mapping
from http import HTTPStatus
from typing import Any, Final

from litestar import Response

from service.edge.coding import CODINGS
from service.edge.examples import answers_shown, problem_examples, questions_shown
from service.edge.links import LINKS
from service.edge.parameters import parameters
from service.edge.problems import MEDIA_TYPE, TITLES, ProblemDetails
from service.edge.question import Described, Question
from service.edge.schemas import schema_of

HEADERS: Final[dict[str, tuple[str, str]]] = {
    "Catalog-Revision": ("content address of the tables that answer", "^sha256:[0-9a-f]{64}$"),
    "Ringwright-Rules": ("version of the rules that answer", "^[0-9]+$"),
    "Content-Digest": (
        "digest of the body as it is sent (RFC 9530)",
        "^sha-256=:[A-Za-z0-9+/]{43}=:$",
    ),
    "X-Request-Id": ("id of this request in the log", "^[A-Za-z0-9._-]{1,64}$"),
    "Vary": ("what of a request its answer depends on besides", "^Accept-Encoding$"),
}
RATE_LIMITS: Final[dict[str, tuple[str, str]]] = {
    "RateLimit-Policy": (
        "requests (`q`) in so many seconds (`w`), of this key or address, where there is a limit",
        '^"(key|address)";q=[1-9][0-9]*;w=[1-9][0-9]*$',
    ),
    "RateLimit": (
        "requests that are left of it (`r`), and seconds until all are again (`t`)",
        '^"(key|address)";r=[0-9]+;t=[0-9]+$',
    ),
}
"""Headers of what is counted, where there is a limit."""
CODED: Final[dict[str, tuple[str, str]]] = {
    "Content-Encoding": ("coding of the body, where it has one", f"^({'|'.join(CODINGS)})$")
}
SCHEME: Final = "key"
_STATUS_HEADERS: Final[dict[str, tuple[str, str, str]]] = {
    "401": ("WWW-Authenticate", "how a key is given", '^Bearer realm="ringwright"$'),
    "429": ("Retry-After", "seconds after which to ask again", "^[1-9][0-9]*$"),
    "503": ("Retry-After", "seconds after which to ask again, where that helps", "^[1-9][0-9]*$"),
}
NOT_MODIFIED: Final = "NotModified"
_NOT_ALWAYS: Final = {"503"}
"""Statuses whose header some of their problems lack."""


def operation(handler: Described, method: str, path: str) -> dict[str, Any]:
    """One method of a path."""
    needs = handler.opt.get("scope")
    summary, _, description = (inspect.getdoc(handler.fn) or "").partition("\n")
    told: dict[str, Any] = {
        "operationId": handler.operation_id,
        "tags": list(handler.tags or ()),
        "summary": summary.strip().rstrip("."),
        "security": [] if needs == "open" else [{SCHEME: [needs]}],
        "responses": {str(handler.status_code): _answer(handler, method, "the answer")},
    }
    if needs == "read":
        told["security"].append({})  # it may be opened to everybody, by a setting
    if description.strip():
        told["description"] = " ".join(description.split())
    if given := parameters(handler, path):
        told["parameters"] = given
    if bodies := _bodies(handler):
        told["requestBody"] = bodies
    for status, about in handler.opt.get("also", {}).items():
        told["responses"][str(status)] = _answer(handler, method, about)
    told["responses"] |= _problems(handler, method, path)
    if method == "GET":
        told["responses"]["304"] = {"$ref": f"#/components/responses/{NOT_MODIFIED}"}
    for name, example in answers_shown(str(handler.operation_id)).items():
        content = told["responses"].get(str(example["status"]), {}).get("content", {})
        if "application/json" in content:
            summary = "; ".join(filter(None, (example["summary"], example.get("cut"))))
            shown = {"summary": summary, "value": example["answer"]}
            content["application/json"].setdefault("examples", {})[name] = shown
    for status, links in LINKS.get(str(handler.operation_id), {}).items():
        told["responses"][status]["links"] = links
    return told


def types_asked(handler: Described) -> list[Any]:
    """Types of the JSON bodies that this handler takes."""
    types = (handler.opt.get("asks"), *handler.opt.get("takes", {}).values())
    return [each for each in types if each is not None and not isinstance(each, str)]


def types_answered(handler: Described) -> list[Any]:
    """Types of its JSON answers."""
    types = (_answered(handler), *_answers(handler).values())
    return [each for each in types if each is not None and not isinstance(each, str)]


def shared_responses() -> dict[str, Any]:
    """Answers that many operations have: one for each status of a problem, and "not modified"."""
    problems = {
        _problem_name(status): {
            "description": _titles([t for s, t in TITLES.values() if s == status]),
            "headers": _header_refs(()) | _status_headers(str(status.value)),
            "content": {
                MEDIA_TYPE: {"schema": schema_of(ProblemDetails)} | problem_examples(status)
            },
        }
        # 405 is not of an operation: it is what a path answers that has none of this method.
        for status in sorted({s for s, _ in TITLES.values()} - {HTTPStatus.METHOD_NOT_ALLOWED})
    }
    unchanged = {
        "description": "the body is as the caller has it",
        "headers": _header_refs(("ETag",), bodied=False),
    }
    return {NOT_MODIFIED: unchanged, **problems}


def header(about: str, pattern: str) -> dict[str, Any]:
    """Header that is always there."""
    return {
        "description": about,
        "required": True,
        "schema": {"type": "string", "pattern": pattern},
    }


def _bodies(handler: Described) -> dict[str, Any]:
    content: dict[str, Any] = {}
    asked = handler.opt.get("asks")
    if asked is not None:
        content["application/json"] = {"schema": schema_of(asked) | handler.opt.get("form", {})}
        if examples := questions_shown(str(handler.operation_id)):
            content["application/json"]["examples"] = examples
    takes: Mapping[str, Any] = handler.opt.get("takes", {})
    content |= _contents(takes)
    told = {"required": True, "content": content}
    if lines := _lines(takes):
        told["description"] = lines
    return told if content else {}


def _answer(handler: Described, method: str, about: str) -> dict[str, Any]:
    content: dict[str, Any] = {}
    answered = _answered(handler)
    if answered is not None:
        content["application/json"] = {"schema": schema_of(answered)}
    answers = _answers(handler)
    told: dict[str, Any] = {
        "description": "; ".join(filter(None, (about, _lines(answers)))),
        "headers": _header_refs(
            ("ETag",) if method == "GET" else (), counted=handler.opt.get("throttled", True)
        ),
    }
    if content := content | _contents(answers):
        told["content"] = content
    return told


def _contents(kinds: Mapping[str, Any]) -> dict[str, Any]:
    text, binary = {"type": "string"}, {"type": "string", "format": "binary"}
    return {
        media: {
            "schema": schema_of(kind)
            if not isinstance(kind, str)
            else (text if media.startswith("text/") else binary)
        }
        for media, kind in kinds.items()
    }


def _lines(kinds: Mapping[str, Any]) -> str:
    told = (f"{media}: {about}" for media, about in kinds.items() if isinstance(about, str))
    return "; ".join(told)


def _problems(handler: Described, method: str, path: str) -> dict[str, Any]:
    """Responses of a method that are problems, by status; one status may have several reasons."""
    reasons: dict[HTTPStatus, list[str]] = {}
    for kind in dict.fromkeys((*_kinds(handler, method, path), *handler.opt.get("problems", ()))):
        status, title = TITLES[kind]
        reasons.setdefault(status, []).append(title)
    return {
        str(status.value): {
            "$ref": f"#/components/responses/{_problem_name(status)}",
            "description": _titles(titles),
        }
        for status, titles in sorted(reasons.items())
    }


def _problem_name(status: HTTPStatus) -> str:
    # The phrase of a status is not the same in every Python.
    return f"Problem{status.value}"


def _titles(titles: list[str]) -> str:
    return ", or ".join(titles)


def _kinds(handler: Described, method: str, path: str) -> tuple[str, ...]:
    """Problems that any handler of this form has."""
    takes = handler.opt.get("takes", {})
    kinds: tuple[str, ...] = ("query",)
    if method == "GET":
        kinds += ("changed",)
    if handler.opt.get("asks") is not None:
        kinds = ("not-json", *kinds)
    if handler.opt.get("asks") is not None or takes:
        kinds += ("too-slow", "too-large", "media-type", "not-our-form")
    if "{" in path:
        kinds += ("not-found",)
    if handler.opt.get("scope") != "open":
        kinds += ("no-key", "bad-key", "not-allowed")
    if handler.opt.get("throttled", True):
        kinds += ("too-many",)
    return (*kinds, "internal")


def _answers(handler: Described) -> Mapping[str, Any]:
    answers: Any = handler.opt.get("answers", {})
    return answers if isinstance(answers, Mapping) else {"application/json": answers}


def _answered(handler: Described) -> Any:
    """Type that is answered as JSON; None where the handler makes its own response."""
    field = handler.parsed_return_field
    own = isinstance(handler, Question) or field.is_subclass_of(Response)
    return None if own else field.annotation


def _status_headers(status: str) -> dict[str, Any]:
    if status not in _STATUS_HEADERS:
        return {}
    name, about, pattern = _STATUS_HEADERS[status]
    return {name: header(about, pattern) | {"required": status not in _NOT_ALWAYS}}


def _header_refs(
    more: tuple[str, ...], *, counted: bool = True, bodied: bool = True
) -> dict[str, Any]:
    names = (*HEADERS, *(RATE_LIMITS if counted else ()), *(CODED if bodied else ()), *more)
    return {name: {"$ref": f"#/components/headers/{name}"} for name in names}
