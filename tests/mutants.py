"""Mutants: a module with one comparison, constant, boolean or sign changed.

As a pytest plugin (`-p tests.mutants`) it lets the run import the mutant that `DRAWBAR_MUTANT` names
(`shopapi.labor.rules.rounding:3`).
"""

import ast
import copy
import importlib.abc
import importlib.util
import os
import sys
from collections.abc import Iterator, Sequence
from importlib.machinery import ModuleSpec
from pathlib import Path
from types import CodeType, ModuleType
from typing import Any, NamedTuple

ROOT = Path(__file__).resolve().parents[1]
CHOSEN = "DRAWBAR_MUTANT"
# They say how a class or a call guards itself; what they guard against does not happen.
GUARDS = {"frozen", "strict", "slots", "kw_only"}
SWAPPED: dict[type[ast.AST], type[Any]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.And: ast.Or,
    ast.Or: ast.And,
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.FloorDiv,
    ast.FloorDiv: ast.Mult,
}


class Mutant(NamedTuple):
    """`line` of the source, and that line's statement before and after."""

    module: str
    nth: int
    line: int
    before: str
    after: str

    def __str__(self) -> str:
        return f"{self.module}:{self.line}  {self.before}  ->  {self.after}"


def path_of(module: str) -> Path:
    return ROOT.joinpath(*module.split(".")).with_suffix(".py")


def mutants_of(module: str) -> list[Mutant]:
    """Every mutant of a module, in the order of its source."""
    tree = ast.parse(path_of(module).read_text(encoding="utf-8"))
    found = []
    for index, node in enumerate(_sites(tree)):
        changed = copy.deepcopy(node)
        _change(changed)
        found.append(Mutant(module, index, node.lineno, _short(node), _short(changed)))
    return found


def code_of(module: str, index: int) -> CodeType:
    """The compiled mutant of a module."""
    path = path_of(module)
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for nth, node in enumerate(_sites(tree)):
        if nth == index:
            _change(node)
    return compile(ast.fix_missing_locations(tree), str(path), "exec", dont_inherit=True)


def _sites(tree: ast.AST) -> Iterator[Any]:
    """The nodes that can be changed; not those of annotations, which say nothing at run time or are schemas."""
    for field, value in ast.iter_fields(tree):
        if field in ("annotation", "returns"):
            continue
        for node in value if isinstance(value, list) else [value]:
            if isinstance(node, ast.AST) and getattr(node, "arg", None) not in GUARDS:
                if _is_site(node):
                    yield node
                yield from _sites(node)


def _is_site(node: ast.AST) -> bool:
    if isinstance(node, ast.Compare):
        return type(node.ops[0]) in SWAPPED
    if isinstance(node, ast.BoolOp | ast.BinOp):
        return type(node.op) in SWAPPED
    if isinstance(node, ast.UnaryOp):
        return isinstance(node.op, ast.Not)
    return isinstance(node, ast.Constant) and isinstance(node.value, bool | int)


def _change(node: Any) -> None:
    if isinstance(node, ast.Compare):
        node.ops[0] = SWAPPED[type(node.ops[0])]()
    elif isinstance(node, ast.BoolOp | ast.BinOp):
        node.op = SWAPPED[type(node.op)]()
    elif isinstance(node, ast.UnaryOp):
        # `not x` is taken for `x`.
        node.op, node.operand = ast.Not(), ast.UnaryOp(ast.Not(), node.operand)
    elif isinstance(node.value, bool):
        node.value = not node.value
    else:
        node.value += 1


def _short(node: ast.AST) -> str:
    text = ast.unparse(node)
    return text if len(text) <= 70 else f"{text[:67]}..."


class MutantFinder(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Imports the mutant in place of its module."""

    def __init__(self, module: str, index: int) -> None:
        self.module, self.index = module, index

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        if fullname != self.module:
            return None
        return importlib.util.spec_from_file_location(fullname, path_of(fullname), loader=self)

    def exec_module(self, module: ModuleType) -> None:
        exec(code_of(self.module, self.index), module.__dict__)  # noqa: S102 - our own source, one node changed


def install(module: str, index: int) -> None:
    """Let this process import a mutant; its module must not have been imported before."""
    assert module not in sys.modules, f"{module} is imported already"
    sys.meta_path.insert(0, MutantFinder(module, index))


if chosen := os.environ.get(CHOSEN):
    name, _, number = chosen.partition(":")
    install(name, int(number))
