"""The arithmetic shown: read from the syntax of the very function that was computed."""

from __future__ import annotations

import ast
import inspect
import textwrap
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from builder.reference.tables import word

from .notation import SPOKEN, Notation, Term
from .value import Origin, Value


@dataclass(frozen=True)
class Working:
    """One step from inputs to a result.

    Args:
        value: that was computed.
        steps: assignments of the formula and its result, as name and expression; empty where it is not a plain formula.
    """

    value: Value
    steps: tuple[tuple[str, ast.expr], ...]

    def formula(self, notation: Notation) -> str:
        """The formula in symbols."""
        return self._written(notation, self._symbols())

    def filled_in(self, notation: Notation) -> str:
        """The formula with the numbers put in, and the result."""
        numbers = {name: Term.number(value) for name, value in self.value.inputs}
        result = Term.number(self.value)
        return f"{self._written(notation, numbers)}{notation.equals}{notation.term(result)}"

    def _symbols(self) -> dict[str, Term]:
        return {name: Term.symbol(self._symbol_of(name)) for name, _value in self.value.inputs}

    def _symbol_of(self, parameter: str) -> str:
        formula = self.value.formula
        entry = word(formula.value_of(parameter) if formula else parameter)
        return entry.symbol if entry else parameter

    def _written(self, notation: Notation, terms: Mapping[str, Term]) -> str:
        entry = word(self.value.name)
        left = notation.term(Term.symbol(entry.symbol if entry else self.value.name))
        inner = dict(self.steps[:-1])
        expression = _Inlined(inner).visit(_copy(self.steps[-1][1])) if self.steps else None
        right = notation.expression(expression, terms) if expression else notation.words("see the source")
        return f"{left}{notation.equals}{right}"


def working(value: Value) -> Working | None:
    """How a value was computed; None where it was not.

    Args:
        value: any.
    """
    if value.origin is not Origin.COMPUTED or value.formula is None:
        return None
    plain = () if value.formula.part else steps_of(value.formula.function)
    return Working(value, plain)


def chain(value: Value) -> list[Value]:
    """Every value on the way to this one, inputs before what is made of them, each once."""
    found: dict[tuple[str, str], Value] = {}
    for _name, part in value.inputs:
        for item in chain(part):
            found.setdefault((item.thing, item.name), item)
    found[value.thing, value.name] = value
    return list(found.values())


@cache
def steps_of(function: Callable[..., Any]) -> tuple[tuple[str, ast.expr], ...]:
    """Assignments and result of a plain formula; nothing for a function with branches or loops."""
    tree = ast.parse(textwrap.dedent(inspect.getsource(function))).body[0]
    steps: list[tuple[str, ast.expr]] = []
    for statement in getattr(tree, "body", []):
        if isinstance(statement, ast.Expr):
            continue
        target = statement.targets[0] if isinstance(statement, ast.Assign) else getattr(statement, "target", None)
        if isinstance(target, ast.Name) and isinstance(statement, ast.Assign | ast.AnnAssign) and statement.value:
            steps.append((target.id, statement.value))
        elif isinstance(statement, ast.Return) and statement.value is not None:
            steps.append(("return", _constants(statement.value, function)))
        else:
            return ()
    shown = all(_can_be_shown(expression) for _name, expression in steps)
    return tuple((name, _constants(expression, function)) for name, expression in steps) if shown else ()


PLAIN = (ast.BinOp, ast.UnaryOp, ast.Constant, ast.Name, ast.operator, ast.unaryop, ast.expr_context)


def _can_be_shown(expression: ast.expr) -> bool:
    """Whether an expression is arithmetic with known functions, and nothing that a reader would not know."""
    called = [node for node in ast.walk(expression) if isinstance(node, ast.Call)]
    names = [node.func.attr if isinstance(node.func, ast.Attribute) else ast.unparse(node.func) for node in called]
    of_calls = {inner for node in called for inner in ast.walk(node.func)}
    others = [node for node in ast.walk(expression) if node not in of_calls and not isinstance(node, ast.Call)]
    return all(name in SPOKEN for name in names) and all(isinstance(node, PLAIN) for node in others)


def _constants(expression: ast.expr, function: Callable[..., Any]) -> ast.expr:
    """Named constants of the module stand in formulas as their numbers."""
    names = {node.id for node in ast.walk(expression) if isinstance(node, ast.Name)}
    module = inspect.getmodule(function)
    numbers = {name: getattr(module, name) for name in names if isinstance(getattr(module, name, None), float | int)}
    known = {name: ast.Constant(number) for name, number in numbers.items() if name != "pi"}
    changed: ast.expr = _Inlined(known).visit(_copy(expression))
    return changed


def _copy(expression: ast.expr) -> ast.expr:
    return ast.parse(ast.unparse(expression), mode="eval").body


class _Inlined(ast.NodeTransformer):
    """Replace names by what was assigned to them."""

    def __init__(self, known: Mapping[str, ast.expr]) -> None:
        self.known = known

    def visit_Name(self, node: ast.Name) -> ast.expr:
        """Follow a name as far as it is known."""
        found = self.known.get(node.id)
        return self.visit(_copy(found)) if found is not None else node
