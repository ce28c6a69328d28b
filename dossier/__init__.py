"""Everything of the joint dossier that is not user interface."""

