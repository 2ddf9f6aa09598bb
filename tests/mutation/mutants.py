"""The faults: every place of the source where one operator, number or line may be another."""

import ast
import copy
from collections import Counter
from collections.abc import Iterable, Iterator
from hashlib import blake2b
from pathlib import Path
from typing import Final, NamedTuple

HERE: Final = Path(__file__).parent
ROOT: Final = HERE.parents[1]
ROOMS: Final = {
    "formulas": ("catalog/formulas",),
    "bench": ("catalog/setup", "catalog/rules"),
    "answers": ("catalog/answers",),
    "publishing": ("catalog/publishing",),
}
"""Folders of each room; one that is not there has no faults."""
SEED: Final = 10
UNITS: Final = {"mm", "mpa", "kn", "bar", "c", "pa", "percent", "mm2", "mm3", "deg", "cm3"}
_SWAPPED: Final[dict[type[ast.AST], tuple[type[ast.AST], ...]]] = {
    ast.Lt: (ast.LtE, ast.Gt),
    ast.LtE: (ast.Lt, ast.GtE),
    ast.Gt: (ast.GtE, ast.Lt),
    ast.GtE: (ast.Gt, ast.LtE),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
    ast.Add: (ast.Sub,),
    ast.Sub: (ast.Add,),
    ast.Mult: (ast.Div,),
    ast.Div: (ast.Mult,),
    ast.And: (ast.Or,),
    ast.Or: (ast.And,),
}
_TEXTS: Final = (ast.JoinedStr, ast.Tuple, ast.List)


class Mutant(NamedTuple):
    """One fault: where, what stands there and what instead; `span` is in bytes of the file."""

    room: str
    file: str
    line: int
    function: str
    before: str
    after: str
    span: tuple[int, int]
    put: str
    again: int = 0

    @property
    def name(self) -> str:
        """Fault by its function and its texts, and which of these, whatever else changes."""
        again = f" ({self.again + 1})" if self.again else ""
        return f"{self.file} {self.function}{again}: {self.before} -> {self.after}"

    def source(self) -> bytes:
        """The file with the fault in it."""
        told = (ROOT / self.file).read_bytes()
        start, end = self.span
        return told[:start] + self.put.encode() + told[end:]


def mutants() -> list[Mutant]:
    """Every fault, in an order drawn by `SEED` that another line of the source does not change."""
    found = [
        mutant
        for room, folders in ROOMS.items()
        for folder in folders
        for file in sorted((ROOT / folder).rglob("*.py"))
        for mutant in mutants_of(file.relative_to(ROOT).as_posix(), file.read_bytes(), room)
    ]
    return sorted(found, key=_rank)


def equivalents() -> dict[str, str]:
    """Names of faults that change nothing, each with why."""
    lines = (HERE / "equivalents.txt").read_text(encoding="utf-8").splitlines()
    pairs = (line.split("\t", 1) for line in lines if not line.startswith("#"))
    return dict(pairs)


def _rank(mutant: Mutant) -> bytes:
    # Not by its file: folders are moved.
    told = f"{SEED} {mutant.function} {mutant.again}: {mutant.before} -> {mutant.after}"
    return blake2b(told.encode()).digest()


def mutants_of(file: str, source: bytes, room: str) -> Iterator[Mutant]:
    """Faults of one file, in the order of its lines."""
    starts = [0]
    for line in source.splitlines(keepends=True):
        starts.append(starts[-1] + len(line))
    met: Counter[tuple[str, str, str]] = Counter()
    for node, function in _places(ast.parse(source), ""):
        start = starts[node.lineno - 1] + node.col_offset
        end = starts[(node.end_lineno or 0) - 1] + (node.end_col_offset or 0)
        before = " ".join(source[start:end].decode().split())
        for other in _otherwise(node):
            after = ast.unparse(ast.fix_missing_locations(other))
            put = f"({after})" if isinstance(other, ast.expr) else after
            told = (function, before, after)
            yield Mutant(room, file, node.lineno, *told, (start, end), put, met[told])
            met[told] += 1


def _places(node: ast.AST, function: str) -> Iterator[tuple[ast.expr | ast.stmt, str]]:
    """Parts of the source that run, with the function that they are of."""
    if isinstance(node, (ast.FunctionDef, ast.ClassDef)):
        function = f"{function}.{node.name}".lstrip(".")
    if isinstance(node, (ast.expr, ast.stmt)):
        yield node, function
    for part in _running(node):
        yield from _places(part, function)


def _running(node: ast.AST) -> Iterable[ast.AST]:
    """Parts of a node but its types, decorators and texts."""
    match node:
        case ast.JoinedStr() | ast.Raise() | ast.Import() | ast.ImportFrom():
            return ()
        case ast.FunctionDef():
            return (*(d for d in node.args.kw_defaults if d), *node.args.defaults, *node.body)
        case ast.ClassDef():
            return node.body
        case ast.AnnAssign():
            return () if node.value is None else (node.value,)
        case ast.Assign(targets=[ast.Name(id="__all__")]):
            return ()
        case ast.Assign(value=ast.Subscript() | ast.BinOp(op=ast.BitOr())):
            return ()  # a name of a type
        case ast.Assign(targets=[ast.Tuple()], value=ast.Tuple(elts=parts)):
            return parts  # one left out would end the program at once
        case ast.Call(func=ast.Name(id="about" | "cast" | "Meta")):
            return ()
        case _:
            return ast.iter_child_nodes(node)


def _otherwise(node: ast.expr | ast.stmt) -> Iterator[ast.expr | ast.stmt]:
    """What may stand in place of a part."""
    yield from _other_expression(node)
    yield from _less(node)
    match node:
        case ast.Expr(value=ast.Yield() | ast.YieldFrom()):
            yield ast.Pass()
        case ast.If(body=[ast.Return() | ast.Continue()], orelse=[]):
            yield ast.Pass()
        case ast.Return(value=ast.expr() as value) if not _is(value, None):
            yield ast.Return(ast.Constant(None))
        case _:
            pass


def _other_expression(node: ast.AST) -> Iterator[ast.expr]:
    match node:
        case ast.Compare():
            for n, op in enumerate(node.ops):
                for other in _SWAPPED[type(op)]:
                    yield _with(node, "ops", [*node.ops[:n], other(), *node.ops[n + 1 :]])
        case ast.BinOp(left=left, right=right) if type(node.op) in _SWAPPED:
            if not isinstance(left, _TEXTS) and not isinstance(right, _TEXTS):
                for other in _SWAPPED[type(node.op)]:
                    yield _with(node, "op", other())
        case ast.BoolOp():
            yield from (_with(node, "op", other()) for other in _SWAPPED[type(node.op)])
        case ast.UnaryOp(op=ast.Not() | ast.USub()):
            yield node.operand
        case ast.IfExp():
            yield ast.IfExp(node.test, node.orelse, node.body)
        case _:
            yield from _other_value(node)


def _other_value(node: ast.AST) -> Iterator[ast.expr]:
    match node:
        case ast.Constant(value=bool() as value):
            yield ast.Constant(not value)
        case ast.Constant(value=int() as value):
            yield ast.Constant(value + 1)
        case ast.Constant(value=float() as value):
            yield ast.Constant(value * 1.01 or 0.01)
        case ast.Call(func=ast.Name(id="min" | "max" as name)):
            other_name = "max" if name == "min" else "min"
            yield _with(node, "func", ast.Name(other_name))
        case ast.Call():
            yield from _swapped(node)
        case _:
            pass


def _swapped(call: ast.Call) -> Iterator[ast.expr]:
    """Two arguments of the same unit in each other's place."""
    for n, (one, other) in enumerate(zip(call.args, call.args[1:], strict=False)):
        if _unit(one) and _unit(one) == _unit(other):
            yield _with(call, "args", [*call.args[:n], other, one, *call.args[n + 2 :]])
    for n, (first, second) in enumerate(zip(call.keywords, call.keywords[1:], strict=False)):
        unit = _unit_of(first.arg or "")
        if unit and unit == _unit_of(second.arg or "") and not _same(first.value, second.value):
            pair = [ast.keyword(first.arg, second.value), ast.keyword(second.arg, first.value)]
            yield _with(call, "keywords", [*call.keywords[:n], *pair, *call.keywords[n + 2 :]])


def _less(node: ast.AST) -> Iterator[ast.expr]:
    """A list with each of its parts left out, a comprehension without its condition."""
    match node:
        case ast.Tuple(elts=parts, ctx=ast.Load()) | ast.List(elts=parts) | ast.Set(elts=parts):
            if not any(isinstance(part, ast.Slice) for part in parts):
                for n in range(len(parts)):
                    yield _with(node, "elts", [*parts[:n], *parts[n + 1 :]])
        case ast.Dict():
            for n in range(len(node.keys)):
                less = _with(node, "keys", [*node.keys[:n], *node.keys[n + 1 :]])
                yield _with(less, "values", [*node.values[:n], *node.values[n + 1 :]])
        case ast.GeneratorExp() | ast.ListComp() | ast.SetComp() | ast.DictComp():
            first, *more = node.generators
            if first.ifs:
                bare = ast.comprehension(first.target, first.iter, [], first.is_async)
                yield _with(node, "generators", [bare, *more])
        case _:
            pass


def _with(node: ast.expr, field: str, value: object) -> ast.expr:
    other = copy.copy(node)
    setattr(other, field, value)
    return other


def _is(node: ast.expr, value: object) -> bool:
    return isinstance(node, ast.Constant) and node.value is value


def _same(one: ast.expr, other: ast.expr) -> bool:
    return ast.dump(one) == ast.dump(other)


def _unit(node: ast.expr) -> str:
    match node:
        case ast.Name(id=name) | ast.Attribute(attr=name):
            return _unit_of(name)
        case _:
            return ""


def _unit_of(name: str) -> str:
    unit = name.rpartition("_")[2]
    return unit if unit in UNITS else ""
