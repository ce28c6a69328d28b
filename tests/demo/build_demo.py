"""Builds the demo projects in `projects/` from the records beside this file, through the product's own actions.

    python -m tests.demo.build_demo [NAME [TARGET]]

Without a name every demo is built. Persons, dates and numbers are invented. Each change is recorded by the person whose
work it is, on its day.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from pathlib import Path

from tests.demo import axle_link, four_point_link
from tests.demo.builder import Builder, Scene
from tests.demo.people import place_keys

PROJECTS = Path(__file__).parent.parent.parent / "projects"
SCENES = {scene.name: scene for scene in (axle_link.SCENE, four_point_link.SCENE)}


def build(scene: Scene, target: Path) -> Path:
    """Build a demo; returns its folder."""
    with tempfile.TemporaryDirectory() as keys:
        os.environ["DOSSIER_KEYS"] = keys
        public = place_keys(Path(keys), scene.roles)
        story = Builder(scene, target)
        story.begin()
        story.register_keys(public)
        scene.tell(story)
    shutil.rmtree(target / ".locks", ignore_errors=True)
    return target


def main(arguments: list[str]) -> None:
    """Build what the arguments name, or all."""
    names = arguments[:1] or list(SCENES)
    if unknown := [name for name in names if name not in SCENES]:
        raise SystemExit(f"{unknown[0]} is no demo; name one of {', '.join(SCENES)}, or none to build all")
    for name in names:
        print(build(SCENES[name], Path(arguments[1]) if len(arguments) > 1 else PROJECTS / name))


if __name__ == "__main__":
    main(sys.argv[1:])
