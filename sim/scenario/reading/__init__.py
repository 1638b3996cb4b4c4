"""Scenario files: :func:`load` and :func:`parse` give a checked Scenario or every problem at once."""

from __future__ import annotations

from .limits import LIMITS
from .problems import Problem, ScenarioError
from .whole import check, load, parse

__all__ = ["LIMITS", "Problem", "ScenarioError", "check", "load", "parse"]
