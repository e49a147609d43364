"""CP-SAT is loaded when it is first used, not before."""

from __future__ import annotations

import subprocess
import sys

import pytest
from ortools.sat.python import cp_model

from rooflayout import cpsat

SLOW = ("ortools", "pandas", "scipy", "pvlib", "matplotlib")
BESIDE = """
import sys, threading
from rooflayout import cpsat
print(cpsat.NAME in sys.modules)
before = threading.enumerate()
cpsat.load_beside()
begun = [thread for thread in threading.enumerate() if thread not in before]
print(len(begun))
for thread in begun:
    thread.join()
print(cpsat.NAME in sys.modules)
cpsat.load_beside()
print(len([thread for thread in threading.enumerate() if thread not in before]))
"""
FRESH = f"import sys, rooflayout.planner; print([m for m in {SLOW} if m in sys.modules])"


def test_it_stands_in_for_the_module() -> None:
    assert cpsat.CpModel is cp_model.CpModel
    assert cpsat.OPTIMAL == cp_model.OPTIMAL


def test_what_it_has_not_it_has_not() -> None:
    with pytest.raises(AttributeError):
        _ = cpsat.no_such_thing


def test_a_planner_is_there_before_anything_that_takes_long_to_load() -> None:
    found = subprocess.run([sys.executable, "-c", FRESH], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "[]"


def test_begun_beside_it_is_there_in_a_while_and_is_not_begun_again() -> None:
    found = subprocess.run([sys.executable, "-c", BESIDE], capture_output=True, text=True, check=True)
    assert found.stdout.split() == ["False", "1", "True", "0"]
