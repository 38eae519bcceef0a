"""Single mutations of a module's source, and a run of tests with one of them in force."""

import ast
import importlib.abc
import importlib.util
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from importlib.machinery import ModuleSpec, SourceFileLoader
from types import CodeType

import pytest

_COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
_COMPUTED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.BitOr: ast.BitAnd, ast.BitAnd: ast.BitOr,
}  # fmt: skip
_CALLED = {"min": "max", "max": "min", "any": "all", "all": "any"}


@dataclass(frozen=True, slots=True)
class Mutant:
    """One change of one expression."""

    number: int  # among the mutants of its module
    line: int
    told: str  # what it changes into what
    text: str  # of its line, without its indentation
    lines: range  # of the statement it stands in; of a compound one its head


def mutants(source: str) -> list[Mutant]:
    """All single mutations of a source, in the order of its expressions."""
    tree, texts = ast.parse(source), source.splitlines()
    heads = sorted(_heads(tree), key=len)
    return [
        Mutant(
            number=number,
            line=line,
            told=told,
            text=texts[line - 1].strip(),
            lines=next((head for head in heads if line in head), range(line, line + 1)),
        )
        for number, (line, told, _) in enumerate(_sites(tree))
    ]


def _heads(tree: ast.Module) -> Iterator[range]:
    """The lines of each statement, of a compound one those before its body."""
    for node in ast.walk(tree):
        if isinstance(node, ast.stmt):
            body = getattr(node, "body", None)
            last = max(node.lineno, body[0].lineno - 1) if body else node.end_lineno or node.lineno
            yield range(node.lineno, last + 1)


def mutated(source: str, number: int) -> ast.Module:
    """The source with the mutation of that number."""
    tree = ast.parse(source)
    for at, (_, _, change) in enumerate(_sites(tree)):
        if at == number:
            change()
            break
    return ast.fix_missing_locations(tree)


def _sites(tree: ast.Module) -> Iterator[tuple[int, str, Callable[[], object]]]:
    """(line, what changes into what, what makes the change) of every place, types and docstrings left out."""
    for node in _expressions(tree):
        line = getattr(node, "lineno", 0)
        if isinstance(node, ast.Compare):
            for at, old in enumerate(node.ops):
                if new := _COMPARED.get(type(old)):
                    yield line, f"{_name(old)} into {new.__name__}", _set(node.ops, at, new())
        elif isinstance(node, ast.BinOp | ast.AugAssign):
            if new_op := _COMPUTED.get(type(node.op)):
                yield line, f"{_name(node.op)} into {new_op.__name__}", _put(node, "op", new_op())
        elif isinstance(node, ast.BoolOp):
            other = ast.Or() if isinstance(node.op, ast.And) else ast.And()
            yield line, f"{_name(node.op)} into {_name(other)}", _put(node, "op", other)
        elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
            yield line, "not left out", _put(node, "op", ast.UAdd(), wrap=True)
        elif isinstance(node, ast.Constant):
            yield from _of_constant(node, line)
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in _CALLED:
            new_name = _CALLED[node.func.id]
            yield line, f"{node.func.id} into {new_name}", _put(node.func, "id", new_name)


def _of_constant(node: ast.Constant, line: int) -> Iterator[tuple[int, str, Callable[[], object]]]:
    if isinstance(node.value, bool):
        yield line, f"{node.value} into {not node.value}", _put(node, "value", not node.value)
    elif isinstance(node.value, int | float):
        yield line, f"{node.value} into {node.value + 1}", _put(node, "value", node.value + 1)


def _expressions(tree: ast.AST) -> Iterator[ast.AST]:
    """All nodes but annotations and docstrings, in their order; what a module sets at its top is a convention or a
    width, which no test is to hold."""
    for name, value in ast.iter_fields(tree):
        if isinstance(tree, ast.Assign | ast.AnnAssign) and name == "value" and tree.col_offset == 0:
            continue
        if name in ("annotation", "returns", "decorator_list"):
            continue
        for node in value if isinstance(value, list) else [value]:
            if isinstance(node, ast.AST):
                yield node
                yield from _expressions(node)


def _name(node: ast.AST) -> str:
    return type(node).__name__


def _set(items: list[ast.cmpop], at: int, value: ast.cmpop) -> Callable[[], object]:
    return lambda: items.__setitem__(at, value)


def _put(node: ast.AST, name: str, value: object, *, wrap: bool = False) -> Callable[[], object]:
    def change() -> None:
        setattr(node, name, value)
        if wrap and isinstance(node, ast.UnaryOp):  # `not x` becomes `bool(x)`
            node.op = ast.Not()
            node.operand = ast.UnaryOp(op=ast.Not(), operand=node.operand)

    return change


class _Loader(SourceFileLoader):
    """Loads a module with one mutation."""

    def __init__(self, name: str, path: str, number: int) -> None:
        super().__init__(name, path)
        self._number = number

    def get_code(self, fullname: str) -> CodeType:
        source = self.get_data(self.path).decode("utf-8")
        return compile(mutated(source, self._number), self.path, "exec")


class _Finder(importlib.abc.MetaPathFinder):
    """Finds the one module that is mutated."""

    def __init__(self, name: str, number: int) -> None:
        self._name, self._number, self._busy = name, number, False

    def find_spec(self, fullname: str, *_: object) -> ModuleSpec | None:
        if fullname != self._name or self._busy:
            return None
        self._busy = True
        found = importlib.util.find_spec(fullname)
        self._busy = False
        if found is None or found.origin is None:
            return None
        loader = _Loader(fullname, found.origin, self._number)
        return importlib.util.spec_from_file_location(fullname, found.origin, loader=loader)


class _Only:
    """Leaves of the collected tests those of these ids, in their order; pytest's own way takes seconds for a hundred."""

    def __init__(self, ids: Sequence[str]) -> None:
        self._places = {name: at for at, name in enumerate(ids)}

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = sorted(
            (item for item in items if item.nodeid in self._places),
            key=lambda item: self._places[item.nodeid],
        )


def run_tests(module: str, number: int, ids: Sequence[str]) -> None:
    """Ends this process with pytest's status of these tests, with that mutation of the module in force; -1 is none."""
    sys.meta_path.insert(0, _Finder(module, number))
    with open(os.devnull, "w") as nowhere:
        os.dup2(nowhere.fileno(), 1)
        os.dup2(nowhere.fileno(), 2)
    files = sorted({name.split("::")[0] for name in ids})
    plain = ["-x", "-q", "-p", "no:xdist", "-W", "ignore::pytest.PytestAssertRewriteWarning"]
    os._exit(int(pytest.main([*plain, *files], plugins=[_Only(ids)])))
