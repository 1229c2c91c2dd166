"""Every rule of the catalogue, found by its file: there is no list to edit.

A module of `checks.rules` has one constant RULE. Two rules of one name are our own mistake and raise.
"""

from __future__ import annotations

import importlib
import pkgutil
from types import ModuleType

from templgen.checks import rules
from templgen.checks.rule import Rule
from templgen.errors import TemplgenError, near_names

__all__ = ["RULES", "find_rule", "gather", "manual_of"]


def _modules() -> dict[str, ModuleType]:
    names = sorted(found.name for found in pkgutil.iter_modules(rules.__path__))
    return {name: importlib.import_module(f"{rules.__name__}.{name}") for name in names}


def gather(modules: dict[str, ModuleType]) -> tuple[Rule, ...]:
    """Return the rules of some modules by name; ValueError for a double name or a module without a rule."""
    found: dict[str, Rule] = {}
    for module_name, module in modules.items():
        rule = getattr(module, "RULE", None)
        if not isinstance(rule, Rule):
            raise ValueError(f"checks/rules/{module_name}.py has no RULE")
        if rule.name in found:
            raise ValueError(f"two rules are called {rule.name}")
        found[rule.name] = rule
    return tuple(found[name] for name in sorted(found))


_MODULES = _modules()

RULES = gather(_MODULES)
"""All rules, sorted by name."""


def find_rule(name: str) -> Rule:
    """Return the rule of a name; TemplgenError with the nearest names for an unknown one."""
    by_name = {rule.name: rule for rule in RULES}
    if name in by_name:
        return by_name[name]
    near = near_names(name, by_name, most=3, likeness=0.4)
    hint = f"nearest: {', '.join(near)}" if near else f"there are: {', '.join(by_name)}"
    raise TemplgenError(f'no rule is called "{name}"; {hint}')


def manual_of(rule: Rule) -> str:
    """Return the docstring of the file that holds a rule: Rule, Why, Bad, Good, Source."""
    module = next(module for module in _MODULES.values() if module.RULE is rule)
    return module.__doc__ or ""
