"""The sheets in the terminal."""

import dossier  # noqa: F401  sets the threads of linear algebra before numpy is loaded
