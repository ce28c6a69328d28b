"""Reading and evaluating measured files: plain numbers in, plain numbers out."""

from dossier.evidence.errors import Cancelled, RefusedFile
from dossier.evidence.one_file import evaluate_file

__all__ = ["Cancelled", "RefusedFile", "evaluate_file"]
