"""Worked examples as data: how they are read from YAML and worked out with our own formulas."""

import inspect
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

import yaml

from builder import discover
from builder.physics import supplies
from builder.physics.units import unit_of
from builder.quantity import NUMBER, parse

HOME = Path(__file__).parent
KINDS_PUBLISHED = {"published", "published_from_memory", "published_inputs_own_result"}
KINDS_OWN = {"constructed", "simulated", "computed"}
KEYS = {
    "id", "example", "source", "locator", "kind", "function", "inputs", "result", "dimension", "times", "plus", "over",
    "pick", "tolerance", "note", "correct", "explanation",
}  # fmt: skip


@dataclass(frozen=True)
class Case:
    """One printed result: of which function, from which source, and how close it must come."""

    file: str
    row: dict[str, Any]

    def __str__(self):
        return self.row["id"]

    @property
    def function(self):
        module, name = self.row["function"].split(".")
        return getattr(import_module(f"builder.physics.{module}"), name)

    @property
    def dimension(self):
        if "dimension" in self.row:
            return self.row["dimension"]
        return unit_of(annotations(self.function)["return"]).dimension

    def worked_out(self):
        """The printed quantity, by our formula."""
        hints = annotations(self.function)
        found = self.function(**{name: number(text, hints[name]) for name, text in self.row["inputs"].items()})
        for index in self.row.get("pick", ()):
            found = found[index]
        if "over" in self.row:
            return self.row["over"] / float(found)
        return float(found) * self.row.get("times", 1) + self.row.get("plus", 0)

    def printed(self, key="result"):
        """The number as printed, in SI."""
        return parse(self.row[key], self.dimension).value

    def allowed(self, key="result"):
        """Half of the last printed digit, unless the case says otherwise."""
        stated = self.row.get("tolerance", {})
        if "share" in stated:
            return stated["share"] * abs(self.printed(key))
        return stated.get("absolute") or half_of_last_digit(self.row[key], self.dimension)


def annotations(function):
    """Annotations of a function of physics, with those that only the type checker imports."""
    from builder.physics import units

    function = inspect.unwrap(
        function, stop=lambda found: inspect.isfunction(found) and hasattr(found, "__signature__")
    )
    return inspect.get_annotations(function, eval_str=True, globals={**vars(units), **function.__globals__})


def number(text, annotation):
    """An input: SI as it stands, text with a unit, or an entry of the table of secondary factors."""
    if isinstance(text, dict):
        return supplies.SECONDARY_FACTOR[text["table"]]
    unit = unit_of(annotation)
    return parse(text, unit.dimension).value if isinstance(text, str) and unit else float(text)


def half_of_last_digit(text, dimension):
    """Half a unit of the last digit of a printed quantity, in SI."""
    match = NUMBER.match(text)
    decimals = len(match.group().partition(".")[2])
    step = parse(f"{10**-decimals:.{decimals}f}{text[match.end() :]}", dimension).value
    return step / 2 * (1 + 1e-9)


def cases(folder):
    """Every case of a folder, in the order of its files."""
    files = sorted((HOME / folder).glob("*.yaml"))
    return [Case(path.name, row) for path in files for row in yaml.safe_load(path.read_text(encoding="utf-8"))]


def formulas():
    """Every public function of builder.physics, by module and name."""
    found = {}
    for module in discover.modules("builder.physics"):
        short = module.__name__.rsplit(".", 1)[-1]
        if short == "units":
            continue
        for name, item in vars(module).items():
            if inspect.isfunction(item) and item.__module__ == module.__name__ and not name.startswith("_"):
                found[f"{short}.{name}"] = item
    return found


def source_line(function):
    """Text behind "Source:" in a docstring; empty where there is none."""
    lines = (inspect.getdoc(function) or "").splitlines()
    return next((line.removeprefix("Source:").strip() for line in lines if line.startswith("Source:")), "")
