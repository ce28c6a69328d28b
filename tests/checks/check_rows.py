"""The rows of all steps."""

from __future__ import annotations

import rows_design
import rows_evidence
import rows_idea
import rows_release
import rows_requirements

ROWS = [*rows_idea.ROWS, *rows_requirements.ROWS, *rows_design.ROWS, *rows_evidence.ROWS, *rows_release.ROWS]
