"""From findings to functions and to what may be said; scenarios, conditions of use and next tests join here."""

from coldpin.conclusion.functions import PLANS, FunctionPlan, judge_functions
from coldpin.conclusion.next_test import advise
from coldpin.conclusion.statement import conclude

__all__ = ["PLANS", "FunctionPlan", "advise", "conclude", "judge_functions"]
