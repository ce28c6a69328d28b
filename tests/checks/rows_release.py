"""Rows of step 6."""

from __future__ import annotations

from dataclasses import replace

from check_case import TODAY, Case, Edit, Row, both, calculating, setting, without
from rows_evidence import SERIES_HEAT, tested
from rows_requirements import confirmed, item

STEPS = ("1", "2", "3", "4", "5")


def proved(case: Case) -> None:
    """Only requirements that the demonstration project meets by calculation."""
    case.drop("evidence/")
    case.keep_requirements(["R-002", "R-018"])


def conceded(case: Case) -> None:
    case.documents["steps/6-release.toml"] = {"id": "step-6", "step": "6", "concession": [{
        "id": "D-001", "on_record": "R-018", "kind": "deviation before manufacture", "reason": "no overload in use",
        "limit": "200 parts", "until": "2027-03-31", "by": "S. Brandt", "on": "2026-11-21T08:00:00Z",
    }]}  # fmt: skip


def reviewed(case: Case) -> None:
    """Steps 1 to 5 released by author and reviewer."""
    case.signoffs = []
    for step in STEPS:
        case.sign(step, "PE", "M. Olsen", own=["R-001"] if step == "2" else [])
        case.sign(step, "RV", "J. Adeyemi")


def signed_by(step: str, person: str, own: tuple[str, ...] = ()) -> Edit:
    """Take the review of a step away and let somebody else do it."""

    def edit(case: Case) -> None:
        case.signoffs = []
        for number in STEPS:
            case.sign(number, "PE", "M. Olsen")
            case.sign(number, "RV", *((person, own) if number == step else ("J. Adeyemi",)))

    return edit


def signature_altered(case: Case) -> None:
    case.signoffs[3] = replace(case.signoffs[3], signature=bytes(64))


def again(step: str) -> Edit:
    """Author and reviewer sign a step again."""

    def edit(case: Case) -> None:
        case.sign(step, "PE", "M. Olsen")
        case.sign(step, "RV", "J. Adeyemi")

    return edit


def sampled(case: Case) -> None:
    """Two parts of the series tool, inspected, with a certificate of their steel and a report on capability."""
    tested(case)
    case.keep_requirements(["R-001"])
    for name in ("V-1", "V-2"):
        case[name]["origin"] = "series tool"
    case.documents["documents.toml"] = {"document": [
        {"id": "B-920", "title": f"certificate 3.1, heat {SERIES_HEAT}", "kind": "certificate", "file": "b" * 64},
        {"id": "B-921", "title": "Capability of the press-in force", "kind": "report", "file": "c" * 64},
    ]}  # fmt: skip


def evidence_citing(case: Case) -> None:
    case.documents["evidence/E-951.toml"] = item("E-951", "test", ["R-007"]) | {"standards": ["N-010"]}


def of_the_customer(case: Case) -> None:
    """A demand of the customer that is not met by calculation and conceded with the customer's acceptance."""
    proved(case)
    case["R-018"]["limit"]["min"] = 3.5
    case["R-018"]["source_kind"] = "customer"
    conceded(case)
    case["step-6"]["concession"][0]["document"] = "B-003"


def accepted(case: Case) -> None:
    """Somebody accepted every assumption."""
    for entry in case.documents["assumptions.toml"]["assumption"]:
        entry.setdefault("accepted_by", "J. Adeyemi")
    case.documents["steps/3-design.toml"] = {"id": "step-3", "step": "3", "note": [
        {"on_record": "C-011", "text": "why?", "by": "J. Adeyemi", "on": "2026-11-21T08:00:00Z", "answered": "so that"},
    ]}  # fmt: skip


ROWS = [
    Row("6.15", without("A-012", "accepted_by"), accepted,
        "A-012", "accepted_by", "", 'nobody accepted "Crossing of bore and bolt hole"; enter who does', accepted),
    Row("6.15", without("step-3", "note.0.answered"), accepted,
        "step-3", "note.0.answered", "", "the remark of J. Adeyemi on C-011 is not answered", accepted),
    Row("6.16", without("step-6", "concession.0.document"), setting("step-6", "concession.0.document", "B-003"),
        "D-001", "document", "", "is empty: D-001 concedes R-018, which the customer demands", of_the_customer),
    Row("6.16", setting("step-6", "concession.0.document", "B-404"), setting("R-018", "source_kind", "own"),
        "D-001", "document", "B-404", "is in no register", of_the_customer),
    Row("6.2", setting("R-018", "limit.min", 3.5), conceded,
        "R-018", "state", "not met, 2.832 in C-008", "demanded is ≥ 3.5; verify it or concede it", proved),
    Row("6.2", setting("R-018", "limit.min", 2.6), setting("R-018", "limit.min", 1.3),
        "R-018", "state", "undecided, 2.832 in C-008", "demanded is ≥ 2.6", proved),
    Row("6.2", setting("R-018", "verification", ["analysis", "test"]), setting("R-018", "verification", ["analysis"]),
        "R-018", "state", "open, 2.832 in C-008", "no test yet", proved, "open"),
    Row("6.2", setting("M-01", "yield_strength.value", 740.0), calculating(),
        "R-018", "state", "outdated, 2.832 in C-008", "verify it", proved, "outdated"),
    Row("6.4", signature_altered, reviewed,
        "S-004", "signature", "its signature does not match its bytes: one of the two was altered",
        "step 2 J. Adeyemi: restore it from the history", reviewed),
    Row("6.4", signed_by("2", "J. Adeyemi", ("R-021",)), reviewed,
        "S-004", "signature", "J. Adeyemi wrote R-021; RV may not sign own work", "withdraw it and sign", reviewed),
    Row("6.4", both(setting("project", "people.0.roles", ["PE", "RV"]), signed_by("3", "M. Olsen")), reviewed,
        "S-006", "person", "M. Olsen", "signed as PE too; another person must review", reviewed),
    Row("6.4", setting("R-001", "remark", "changed after the signature"), again("2"),
        "S-004", "state", "superseded by a change", "R-001 changed since; sign again", reviewed, "outdated"),
    Row("6.5", without("N-010", "confirmed_on"), setting("N-010", "confirmed_on", TODAY.isoformat()),
        "N-010", "confirmed_on", "", "compare the edition of ISO 7743", both(evidence_citing, confirmed,
        setting("R-007", "standards", []), setting("N-010", "confirmed_on", "2026-11-01"))),
    Row("6.5", setting("E-951", "procedure", "salt spray by ISO 99999"), setting("E-951", "procedure", "salt spray"),
        "E-951", "procedure", "ISO 99999", "add it to standards.toml", both(evidence_citing, confirmed)),
    Row("6.13", both(setting("V-1", "origin", "hand made"), setting("V-2", "origin", "hand made")),
        setting("V-1", "origin", "series tool"),
        "specimens", "origin", "", "enter the first parts, or concede the check", sampled),
    Row("6.13", setting("E-002", "state", "running"), setting("E-002", "state", "finished"),
        "R-001", "verification", "inspection", "was not inspected on a part of the series tool", sampled),
    Row("6.13", setting("V-2", "steel_heat", "H-9"), setting("B-920", "title", f"certificate, {SERIES_HEAT} and H-9"),
        "V-2", "steel_heat", "H-9", "stands in the title of no certificate", sampled),
    Row("6.13", without("V-2", "steel_heat"), setting("V-2", "steel_heat", SERIES_HEAT),
        "V-2", "steel_heat", "", "name the heat of the pin's steel", sampled),
    Row("6.13", setting("B-921", "title", "press-in force"), setting("B-921", "title", "capability of all three"),
        "documents", "title", "", 'holds no report with "capability" in its title', sampled),
    Row("6.13", without("B-920", "file"), setting("B-920", "file", "d" * 64),
        "B-920", "file", "", "import the file", sampled),
]  # fmt: skip
