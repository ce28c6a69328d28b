"""Lets the tests of this folder share the samples of rubber bodies."""

import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1])]
