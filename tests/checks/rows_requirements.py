"""Rows of step 2."""

from __future__ import annotations

import copy

from check_case import TODAY, Case, Edit, Row, both, setting, without

WAYS = ("test", "inspection", "demonstration", "analysis")


def planned(case: Case) -> None:
    """One planned item for each way of verification, in place of all evidence there is."""
    case.drop("evidence/")
    for number, way in enumerate(WAYS, start=901):
        wanted = [r["id"] for r in case.requirements() if way in r["verification"]]
        case.documents[f"evidence/E-{number}.toml"] = item(f"E-{number}", way, wanted)


def item(name: str, way: str, requirements: list[str]) -> dict:
    serves = [{"requirement": requirement, "value": "value"} for requirement in requirements]
    return {"id": name, "title": f"planned {way}", "way": way, "serves": serves}


def confirmed(case: Case) -> None:
    """All standards that requirements cite confirmed today, in force and with an edition."""
    cited = {name for requirement in case.requirements() for name in requirement.get("standards", [])}
    for standard in case.documents["standards.toml"]["standard"]:
        if standard["id"] in cited:
            standard.update(confirmed_by="J. Adeyemi", confirmed_on=TODAY.isoformat(), withdrawn=False)
            standard.setdefault("edition", "2009")


def clone(source: str, name: str, **changes: object) -> Edit:
    """An edit that adds a copy of a requirement with changed fields."""

    def edit(case: Case) -> None:
        entry = copy.deepcopy(case[source]) | {"id": name} | copy.deepcopy(changes)
        case.documents["requirements/2-stiffness.toml"]["requirement"].append(entry)

    return edit


def gone(name: str) -> Edit:
    """An edit that takes a requirement away."""

    def edit(case: Case) -> None:
        case.keep_requirements(r["id"] for r in case.requirements() if r["id"] != name)

    return edit


def unanswered(case: Case) -> None:
    note = {"on_record": "R-023", "text": "on three parts only?", "by": "J. Adeyemi", "on": "2026-05-07T08:00:00Z"}
    case.documents["steps/2-requirements.toml"] = {"id": "step-2", "step": "2", "note": [note]}


ONE_SHALL = "The joint shall have a mass of at most 1420 g."
RANGE_ABOVE = {"kind": "range", "min": 65.0, "max": 70.0}
OTHER_EDITION = {"id": "N-900", "number": "DIN EN 13913", "edition": "2026"}


def at_least(value: float) -> dict:
    return {"kind": "min", "min": value}


def one_planned(case: Case) -> None:
    """One requirement and one planned test of it."""
    case.drop("evidence/")
    case.keep_requirements(["R-007"])
    case.documents["evidence/E-901.toml"] = item("E-901", "test", ["R-007"])


def planned_again(case: Case) -> None:
    """The test planned anew after it was aborted."""
    case.documents["evidence/E-950.toml"] = case["E-901"] | {"id": "E-950", "state": "planned"}


ROWS = [
    Row("2.3", both(setting("R-021", "decided_by", "mean"), setting("R-021", "criterion", "each part reaches the limit")),
        setting("R-021", "decided_by", "worst part"),
        "R-021", "decided_by", "mean", 'the criterion says "each"; set decided_by to worst part'),
    Row("2.3", setting("R-001", "limit.max", 1500.0), setting("R-001", "statement", ONE_SHALL.replace("1420 g", "1.5 kg")),
        "R-001", "statement", "", "says at most 1420 g, the limit is ≤ 1500 g; give both the same number"),
    Row("2.3", setting("R-020", "limit.max", 70.0), setting("R-020", "limit.max", 80.0),
        "R-020", "statement", "", "says 20 to 80 kN, the limit is 20 .. 70 kN"),
    Row("2.3", setting("R-021", "limit", {"kind": "max", "max": 22.0}), setting("R-021", "limit", at_least(22.0)),
        "R-021", "statement", "", "says at least, the limit is ≤ 22 kN"),
    Row("2.1", setting("R-001", "statement", "The mass is at most 1420 g."), setting("R-001", "statement", ONE_SHALL),
        "R-001", "statement", "", 'does not say "shall"; write who'),
    Row("2.1", setting("R-001", "statement", ONE_SHALL + " It shall be red."),
        setting("R-001", "statement", ONE_SHALL),
        "R-001", "statement", '2 times "shall"', "make one requirement of each"),
    Row("2.1", setting("R-002", "conditions", {}), setting("R-002", "conditions.text", "both calculated"),
        "R-002", "conditions", "", "say under which conditions"),
    Row("2.1", setting("R-002", "source", ""), setting("R-002", "source", "clause 4.1.2"),
        "R-002", "source", "", "fill it in"),
    Row("2.1", without("R-002", "owner"), setting("R-002", "owner", "M. Olsen"),
        "R-002", "owner", "", "fill it in"),
    Row("2.1", setting("R-002", "verification", []), setting("R-002", "verification", ["analysis"]),
        "R-002", "verification", "", "name analysis, test"),
    Row("2.1", setting("R-001", "criterion", ""), setting("R-001", "standards", ["N-054"]),
        "R-001", "criterion", "", "say how the value is evaluated"),
    Row("2.1", without("R-021", "sample_size"), setting("R-021", "sample_size", 5),
        "R-021", "sample_size", "", "say how many parts the test needs"),
    Row("2.2", setting("R-021", "unit", "mm"), setting("R-021", "unit", "N"),
        "R-021", "unit", "mm", "does not fit push_out_force; accepted are N, kN"),
    Row("2.2", setting("R-021", "quantity", "pull_force"), setting("R-021", "quantity", "force"),
        "R-021", "quantity", "pull_force", "is unknown; known are mass"),
    Row("2.3", setting("R-002", "limit.max", 50.0), setting("R-002", "limit", {"kind": "range", "min": 25.0, "max": 50.0}),
        "R-002", "limit.max", "50", "has no effect, as limit.kind is min; clear it, or choose the kind that holds it"),
    Row("2.3", setting("R-007", "limit.min", 70.0), setting("R-007", "limit.min", 47.6),
        "R-007", "", "", "limit.max = 64.4 must exceed limit.min = 70.0; enlarge"),
    Row("2.3", setting("R-007", "limit.nominal", 70.0), setting("R-007", "limit.nominal", 56.0),
        "R-007", "", "", "limit.nominal = 70.0 lies outside 47.6 .. 64.4; correct"),
    Row("2.3", clone("R-008", "R-007"),
        lambda case: case.documents["requirements/2-stiffness.toml"]["requirement"].pop(),
        "requirements/2-stiffness.toml", "", "", "id R-007 is used in requirements/2-stiffness.toml too; renumber"),
    Row("2.3", setting("R-007", "source", ""), setting("R-007", "source", "clause 4.2.1"),
        "R-007", "source", "", "name clause, law or own reason"),
    Row("2.3", setting("R-011a", "parent", "N-001"), setting("R-011a", "parent", "R-007"),
        "R-011a", "parent", "N-001", "names no requirement"),
    Row("2.3", setting("R-007", "parent", "R-011a"), without("R-007", "parent"),
        "R-007", "parent", "R-011a", "leads back to itself (R-007 → R-011a → R-007); cut the circle"),
    *(Row("2.4", setting("R-010", f"conditions.{name}", ""), setting("R-010", f"conditions.{name}", "as R-007"),
          "R-010", f"conditions.{name}", "", "state")
      for name in ("preload", "range", "cycle", "amplitude", "temperature", "rate")),
    Row("2.4", setting("R-013", "conditions.frequency", ""), setting("R-013", "conditions.frequency", "10 Hz"),
        "R-013", "conditions.rate", "", "state rate or frequency"),
    Row("2.4", lambda case: case.keep_requirements(["R-001"]), clone("R-001", "R-099", quantity="axial_stiffness",
        conditions=dict.fromkeys(("preload", "range", "cycle", "amplitude", "temperature", "rate"), "stated")),
        "requirements", "quantity", "", "add those of the joint's directions"),
    Row("2.5", setting("E-901", "serves", []), setting("E-901", "serves", item("", "test", ["R-007"])["serves"]),
        "E-901", "serves", "", "name the requirement", one_planned),
    Row("2.5", setting("R-007", "verification", ["test", "inspection"]), setting("R-007", "verification", ["test"]),
        "R-007", "verification", "inspection", "add an evidence item of way inspection", planned),
    Row("2.5", both(setting("E-901", "state", "aborted"), setting("E-901", "reason", "rig broke")), planned_again,
        "R-007", "verification", "test", "is planned nowhere", planned),
    Row("2.5", setting("E-901", "serves.0.requirement", "R-777"), without("E-901", "serves.0"),
        "E-901", "serves.requirement", "R-777", "names no requirement",
        both(planned, lambda case: case["E-901"]["serves"].insert(0, {"requirement": "R-007", "value": "radial"}))),
    Row("2.5", setting("E-902", "serves.0.requirement", "R-007"), setting("E-902", "serves.0.requirement", "R-001"),
        "E-902", "way", "inspection", "is no way of verification of R-007",
        both(planned, lambda case: case["E-902"]["serves"].insert(0, {"requirement": "R-001", "value": "mass"}))),
    Row("2.6", clone("R-007", "R-099", limit=RANGE_ABOVE), setting("R-099", "conditions.temperature", "−25 ± 2 °C"),
        "R-007", "limit", "47.6 .. 64.4 kN/mm", "excludes R-099 (65 .. 70 kN/mm) under the same conditions"),
    Row("2.6", clone("R-007", "R-099", limit=RANGE_ABOVE, conditions={"temperature": "23  ± 2 °C"}), gone("R-099"),
        "R-007", "limit", "47.6 .. 64.4 kN/mm", "say in conditions what tells them apart"),
    Row("2.6", setting("R-010", "limit", at_least(29.5)), setting("R-010", "limit", at_least(29.0)),
        "R-010", "limit", "≥ 29.5 N·m/°", "lies above R-009 (19.6 .. 29.4 N·m/°); in one layer the conical"),
    Row("2.6", setting("R-008", "limit", at_least(70.0)), setting("R-008", "limit", at_least(6.0)),
        "R-008", "limit", "≥ 70 kN/mm", "lies above R-007 (47.6 .. 64.4 kN/mm)"),
    Row("2.7", setting("R-001", "statement", "The joint shall have a sufficient mass."),
        setting("R-001", "statement", ONE_SHALL), "R-001", "statement", '"sufficient"', "replace it by a value"),
    Row("2.7", setting("R-016", "statement", "The joint shall turn by about 14°."),
        setting("R-016", "statement", "The joint shall turn by 14° about the pin axis."),
        "R-016", "statement", '"about"', "replace it by a value"),
    Row("2.7", setting("R-042a", "limit.criterion", "maintenance-free"), setting("R-042a", "limit.criterion", "no oil"),
        "R-042a", "limit.criterion", '"maintenance-free"', "cannot be verified"),
    Row("2.12", without("N-019", "edition"), setting("N-019", "edition", "2003"),
        "N-019", "edition", "", "give the edition of EN 13913", confirmed),
    Row("2.12", without("N-019", "confirmed_on"), setting("N-019", "confirmed_on", "2026-11-24"),
        "N-019", "confirmed_on", "", "compare the edition of EN 13913 with the publisher's", confirmed),
    Row("2.12", setting("N-019", "confirmed_by", ""), setting("N-019", "confirmed_by", "J. Adeyemi"),
        "N-019", "confirmed_by", "", "enter who did", confirmed),
    # Twelve months before 2026-11-25: the 25th still counts, the 24th does not.
    Row("2.12", setting("N-019", "confirmed_on", "2025-11-24"), setting("N-019", "confirmed_on", "2025-11-25"),
        "N-019", "confirmed_on", "2025-11-24", "is older than 12 months; confirm", confirmed),
    Row("2.12", setting("N-014", "withdrawn", True), setting("R-036", "standards", ["N-015"]),
        "N-014", "withdrawn", "true", "agree on the edition that replaces it",
        both(confirmed, setting("N-015", "confirmed_on", "2026-11-01"))),
    Row("2.12", setting("N-019", "replaced_by", "EN 13913:2026"), setting("N-019", "replaced_by", ""),
        "N-019", "replaced_by", "EN 13913:2026", "cite the new one", confirmed),
    Row("2.12", setting("R-007", "standards", ["N-999"]), setting("R-007", "standards", ["N-019"]),
        "R-007", "standards", "N-999", "add it to standards.toml", confirmed),
    Row("2.12", setting("R-007", "criterion", "secant, following DIN 53999-2"), setting("R-007", "criterion", "secant"),
        "R-007", "criterion", "DIN 53999-2", "is not in the register", confirmed),
    Row("2.12", lambda case: case.add("standards.toml", "standard", OTHER_EDITION), setting("N-900", "edition", "2003"),
        "N-019", "edition", "2003", "differs from N-900.edition = 2026, both EN 13913", confirmed),
    Row("2.13", without("R-021", "agreed"),
        setting("R-021", "agreed", {"by": "customer", "on": "2026-05-06", "document": "minutes"}),
        "R-021", "agreed", "", "enter who of the customer agreed"),
    Row("2.13", setting("R-021", "agreed.document", ""), setting("R-021", "agreed.document", "minutes AX-76/03"),
        "R-021", "agreed.document", "", "name the written answer"),
    Row("2.13", unanswered, setting("step-2", "note.0.answered", "yes, agreed in AX-76/03"),
        "step-2", "note", '"on three parts only?"', "of J. Adeyemi on R-023 is not answered"),
]  # fmt: skip
