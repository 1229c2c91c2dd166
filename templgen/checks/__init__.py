"""The rule catalogue: one rule is one file; a rule reads an assembly and returns findings."""

from __future__ import annotations

from templgen.checks.describe import catalogue_table, describe_rule
from templgen.checks.registry import RULES, find_rule
from templgen.checks.run import run_checks

__all__ = ["RULES", "catalogue_table", "describe_rule", "find_rule", "run_checks"]
