"""Where the records of each kind lie in a project's folder, by patterns; loads no model, so that a folder opens fast."""

PLACES: dict[str, str] = {
    "project": "project.toml",
    "idea": "concepts.toml",
    "requirement": "requirements/*.toml",
    "load case": "loads.toml",
    "material": "materials.toml",
    "assumption": "assumptions.toml",
    "standard": "standards.toml",
    "design": "designs/*.toml",
    "calculation": "calculations/*.toml",
    "specimen": "specimens.toml",
    "equipment": "equipment.toml",
    "reading scheme": "reading_schemes.toml",
    "evidence": "evidence/*.toml",
    "document": "documents.toml",
    "caution": "cautions.toml",
    "cost": "cost.toml",
    "step": "steps/*.toml",
}
