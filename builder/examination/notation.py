"""Formulas written out: for a terminal, for a browser and for paper."""

from __future__ import annotations

import ast
from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from html import escape

from .value import Value

RANK = {ast.Add: 1, ast.Sub: 1, ast.Mult: 2, ast.Div: 2, ast.Pow: 4}
"""How tightly operators bind."""
UNARY_RANK = 3


@dataclass(frozen=True)
class Term:
    """A symbol, or a number with its unit."""

    text: str
    is_number: bool

    @classmethod
    def symbol(cls, text: str) -> Term:
        """A symbol such as ``P_p,max``: letter, underscore, index."""
        return cls(text, is_number=False)

    @classmethod
    def number(cls, value: Value) -> Term:
        """A value's number with its unit."""
        return cls(value.plain, is_number=True)


class Notation(ABC):
    """How formulas are written; subclasses know one medium each."""

    equals = " = "

    @abstractmethod
    def term(self, term: Term) -> str:
        """A symbol or a number."""

    @abstractmethod
    def words(self, text: str) -> str:
        """Plain words in place of a formula."""

    @abstractmethod
    def fraction(self, above: str, below: str) -> str:
        """A division."""

    @abstractmethod
    def power(self, base: str, exponent: str) -> str:
        """A power."""

    @abstractmethod
    def root(self, inside: str) -> str:
        """A square root."""

    @abstractmethod
    def call(self, name: str, inside: str) -> str:
        """A named function such as the logarithm."""

    @abstractmethod
    def group(self, inside: str) -> str:
        """Brackets."""

    @abstractmethod
    def join(self, left: str, operator: str, right: str) -> str:
        """Two operands of a sum, difference or product."""

    @abstractmethod
    def constant(self, number: float) -> str:
        """A number of the formula itself."""

    splits_fractions = False

    def expression(self, node: ast.expr, terms: Mapping[str, Term]) -> str:
        """An expression, with terms for its names."""
        return self._write(node, terms, 0)

    def _write(self, node: ast.expr, terms: Mapping[str, Term], outside: int) -> str:
        if isinstance(node, ast.BinOp):
            return self._binary(node, terms, outside)
        if isinstance(node, ast.UnaryOp):
            inner = "\u2212" + self._write(node.operand, terms, UNARY_RANK)
            return self.group(inner) if outside >= UNARY_RANK else inner
        if isinstance(node, ast.Call):
            inside = ", ".join(self._write(part, terms, 0) for part in node.args)
            return self.call(node.func.attr if isinstance(node.func, ast.Attribute) else ast.unparse(node.func), inside)
        if isinstance(node, ast.Constant):
            return self.constant(float(node.value))  # type: ignore[arg-type]
        return self._name(ast.unparse(node), terms, outside)

    def _name(self, name: str, terms: Mapping[str, Term], outside: int) -> str:
        if name not in terms:
            return self.term(Term.symbol("π" if name == "pi" else name))
        term = terms[name]
        text = self.term(term)
        needs_group = (
            term.is_number
            and " " in term.text
            and (outside > RANK[ast.Mult] or (outside > 0 and term.text.startswith("\u2212")))
        )
        return self.group(text) if needs_group else text

    def _binary(self, node: ast.BinOp, terms: Mapping[str, Term], outside: int) -> str:
        rank = RANK[type(node.op)]
        if isinstance(node.op, ast.Pow):
            return self._power(node, terms)
        if isinstance(node.op, ast.Div) and self.splits_fractions:
            return self.fraction(self._write(node.left, terms, 0), self._write(node.right, terms, 0))
        operator = {ast.Add: "+", ast.Sub: "\u2212", ast.Mult: "×", ast.Div: "/"}[type(node.op)]
        left = self._write(node.left, terms, rank)
        tighter = rank + 1 if isinstance(node.op, ast.Sub | ast.Div) else rank
        text = self.join(left, operator, self._write(node.right, terms, tighter))
        return self.group(text) if rank < outside else text

    def _power(self, node: ast.BinOp, terms: Mapping[str, Term]) -> str:
        exponent = ast.unparse(node.right)
        if exponent == "0.5":
            return self.root(self._write(node.left, terms, 0))
        if exponent == "-0.5":
            return self.fraction("1", self.root(self._write(node.left, terms, 0)))
        return self.power(self._write(node.left, terms, RANK[ast.Pow]), self._write(node.right, terms, 0))


def _plain_number(number: float) -> str:
    """Rounded; very small and very large ones as decimal fractions rather than with an e."""
    text = f"{number:.4g}"
    return (f"{number:.10f}".rstrip("0") if "e-" in text else text).replace("-", "\u2212")


class Terminal(Notation):
    """Plain text."""

    def term(self, term: Term) -> str:
        """Symbols keep their underscore."""
        return term.text

    def words(self, text: str) -> str:
        """In brackets."""
        return f"({text})"

    def fraction(self, above: str, below: str) -> str:
        """With a slash."""
        return f"{above} / {below}"

    def power(self, base: str, exponent: str) -> str:
        """With a superscript two, or a caret."""
        return f"{base}²" if exponent == "2" else f"{base}^{exponent}"

    def root(self, inside: str) -> str:
        """With the sign."""
        return f"√({inside})" if " " in inside else f"√{inside}"

    def call(self, name: str, inside: str) -> str:
        """As it is said."""
        return f"|{inside}|" if name == "abs" else f"{SPOKEN[name]}({inside})"

    def group(self, inside: str) -> str:
        """Round brackets."""
        return f"({inside})"

    def join(self, left: str, operator: str, right: str) -> str:
        """With spaces."""
        return f"{left} {operator} {right}"

    def constant(self, number: float) -> str:
        """Rounded."""
        return _plain_number(number)


SPOKEN = {
    "log": "ln", "log10": "log", "exp": "exp", "maximum": "max", "max": "max", "minimum": "min", "min": "min",
    "sin": "sin", "cos": "cos", "tan": "tan", "arctan": "arctan", "_arccos": "arccos", "abs": "abs",
}  # fmt: skip
"""Functions that a formula may call and still be shown, with the name that a reader knows."""
OPERATORS = {"×": r"\times ", "\u2212": "-", "+": "+", "/": "/"}


class Latex(Notation):
    """The usual notation of typesetting, from which MathML is made."""

    splits_fractions = True

    def term(self, term: Term) -> str:
        """Numbers upright with a thin space, symbols slanted with upright index."""
        if term.is_number:
            number, _, unit = term.text.partition(" ")
            shown = unit.replace("%", r"\%").replace("µ", r"\mu ").replace("Ω", r"\Omega ").replace("°", r"^{\circ}")
            upright = rf"\,\mathrm{{{shown}}}" if unit else ""
            return number.replace("\u2212", "-") + upright
        stem, _, index = term.text.partition("_")
        greek = {"η": r"\eta ", "π": r"\pi ", "δ": r"\delta ", "ω": r"\omega "}.get(stem, stem)
        return rf"{greek}_{{\mathrm{{{index}}}}}" if index else greek

    def words(self, text: str) -> str:
        """As text."""
        return rf"\text{{{text}}}"

    def fraction(self, above: str, below: str) -> str:
        """One above the other."""
        return rf"\frac{{{above}}}{{{below}}}"

    def power(self, base: str, exponent: str) -> str:
        """Raised."""
        return f"{base}^{{{exponent}}}"

    def root(self, inside: str) -> str:
        """Under the sign."""
        return rf"\sqrt{{{inside}}}"

    def call(self, name: str, inside: str) -> str:
        """Upright name."""
        return rf"\left|{inside}\right|" if name == "abs" else rf"\{SPOKEN[name]}\left({inside}\right)"

    def group(self, inside: str) -> str:
        """Brackets that grow."""
        return rf"\left({inside}\right)"

    def join(self, left: str, operator: str, right: str) -> str:
        """With the operator's own spacing."""
        return f"{left} {OPERATORS[operator]} {right}".replace("\u2212", "-")

    def constant(self, number: float) -> str:
        """Rounded."""
        return _plain_number(number).replace("\u2212", "-")


class Paper(Notation):
    """The notation of the typesetter that makes the papers."""

    splits_fractions = True

    def term(self, term: Term) -> str:
        """Everything quoted, so that no letter is taken for a command."""
        if term.is_number:
            return f'"{term.text}"'
        stem, _, index = term.text.partition("_")
        return f'{_italic(stem)}_"{index}"' if index else _italic(stem)

    def words(self, text: str) -> str:
        """As text."""
        return f'"{text}"'

    def fraction(self, above: str, below: str) -> str:
        """One above the other."""
        return f"frac({above}, {below})"

    def power(self, base: str, exponent: str) -> str:
        """Raised."""
        return f"{base}^({exponent})"

    def root(self, inside: str) -> str:
        """Under the sign."""
        return f"sqrt({inside})"

    def call(self, name: str, inside: str) -> str:
        """Upright name."""
        return f"{SPOKEN[name]}({inside})"

    def group(self, inside: str) -> str:
        """Brackets that grow."""
        return f"({inside})"

    def join(self, left: str, operator: str, right: str) -> str:
        """With the operator's own spacing."""
        return f"{left} {OPERATORS[operator].strip() if operator != '×' else 'times'} {right}".replace("\u2212", "-")

    def constant(self, number: float) -> str:
        """Rounded."""
        return _plain_number(number).replace("\u2212", "-")


def _italic(stem: str) -> str:
    return stem if len(stem) == 1 else f'italic("{stem}")'


@cache
def mathml(latex: str) -> str:
    """A formula for the browser, with its notation as alternative text.

    Args:
        latex: as Latex writes it.
    """
    from latex2mathml.converter import convert

    made = str(convert(latex, display="block"))
    return made.replace("<math ", f'<math alttext="{escape(latex, quote=True)}" ', 1)
