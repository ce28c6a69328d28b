"""The rows of all steps."""

from __future__ import annotations

import rows_cost
import rows_design
import rows_evidence
import rows_fit
import rows_idea
import rows_release
import rows_requirements
import rows_results

MODULES = (rows_idea, rows_requirements, rows_design, rows_fit, rows_evidence, rows_results, rows_cost, rows_release)
ROWS = [row for module in MODULES for row in module.ROWS]
