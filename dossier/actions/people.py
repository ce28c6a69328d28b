"""People of a project: add one, register a public key."""

from __future__ import annotations

import copy

from dossier.actions.edit import replace_record
from dossier.actions.refusal import Refusal
from dossier.store.change import Change
from dossier.store.keys import public_key_of
from dossier.store.project import Project


def register_key(project: Project, person: str, public_key: str) -> Change:
    """Put a person's public key into project.toml. Raises Refusal when another key stands there already."""
    key = public_key_of(public_key)
    project.get("project")
    raw = copy.deepcopy(project.raw["project"])
    entry = next((known for known in raw.get("people", []) if known["name"] == person), None)
    if entry is None:
        raise Refusal(f"{person} is not among the project's people; `dossier person` adds somebody")
    if entry.get("public_key") not in (None, "", key.hexadecimal):
        raise Refusal(f"{person} has another key already; sign-offs made with it would no longer verify")
    entry["public_key"] = key.hexadecimal
    return replace_record(project, "project", raw, f"public key of {person} registered", person)


def add_person(project: Project, name: str, roles: list[str], author: str) -> Change:
    """Add a person, or roles to one who is there. Raises Refusal."""
    project.get("project")
    raw = copy.deepcopy(project.raw["project"])
    roles = list(dict.fromkeys(roles))
    people = raw.setdefault("people", [])
    entry = next((known for known in people if known["name"] == name), None)
    if entry is None:
        people.append({"name": name, "roles": roles})
    elif set(roles) <= set(entry["roles"]):
        raise Refusal(f"{name} is {', '.join(entry['roles'])} already; nothing to change")
    else:
        entry["roles"] = list(dict.fromkeys((*entry["roles"], *roles)))
    return replace_record(project, "project", raw, f"{name} added as {', '.join(roles)}", author)
