"""What happened in the second demo, the four-point link: half shells, radial pre-stress, a project that has just begun."""

from __future__ import annotations

from dossier.actions.answer import add_remark
from dossier.actions.run import run_calculations
from tests.demo.builder import Builder, Scene, without
from tests.demo.documents_four_point_link import PAPERS
from tests.demo.people import FOUR_POINT_LINK

PROJECT_ENGINEER, LABORATORY = "E. Marek", "H. Tanaka"
RUN = ("C-001", "C-002", "C-003", "C-004", "C-005", "C-006")
ANSWERS = {
    "1.5": "eye 84, hole distance 140, bolt hole 21, thickness 32 and the parting plane listed and agreed, minutes B-004",
    "1.6": "no complaint in 120 000 joints since 2021; the field service looked through its list on 2026-11-03",
    "1.7": "loss of axle guidance: severity 10; the retaining ring holds a joint that has lost its pre-stress",
    "1.8": "order of magnitude agreed with purchasing",
    "1.9": "asked for on 2026-10-21, answer of the rights department 2026-11-04: nothing found that stands against it",
    "2.11": "part of the axle's approval, no approval of its own in the region of sale",
}
EVIDENCE = (
    {
        "id": "E-001", "title": "Radial static stiffness, reference part and V1", "way": "test", "quantity": "radial",
        "unit": "kN/mm", "state": "planned", "variant": "V1", "reference": "REF", "planned_variant": 5, "planned_reference": 5,
        "procedure": "pressed into the eye; at 0°, 45° and 90° to the closing of the half shells; 3 cycles at ±16.5 kN, then "
        "evaluated between ±15 kN", "standards": ["N-001", "N-003"], "serves": [{"requirement": "R-006", "value": "variant"}],
    },
    {
        "id": "E-002", "title": "Press-in force", "way": "test", "quantity": "single", "unit": "kN", "state": "planned",
        "variant": "V1", "planned_variant": 5, "procedure": "50 mm/min, parting gap measured at both faces afterwards",
        "serves": [{"requirement": "R-013", "value": "variant"}],
    },
)  # fmt: skip


def tell(story: Builder) -> None:
    """What happened, in order."""
    tell_idea(story)
    tell_requirements(story)
    tell_design(story)


def tell_idea(story: Builder) -> None:
    """Weighed, compared, chosen; the reviewer's signature is missing."""
    story.register_documents("2026-10-20")
    story.take(PROJECT_ENGINEER, "materials with bands and sources", ["materials.toml"])
    story.take(PROJECT_ENGINEER, "design of the reference part", ["designs/REF.toml"])
    story.register_documents("2026-10-29")
    idea = story.source("concepts.toml")
    weighed = {name: value for name, value in idea.items() if name != "concept" and not name.startswith("worth")}
    story.put(PROJECT_ENGINEER, "idea: problem and weighed baseline", "concepts.toml", weighed)
    story.on("2026-11-05")
    still_open = without(idea, "concept", "fate", "reason", "stop_if", "design")
    story.put(PROJECT_ENGINEER, "three concepts", "concepts.toml", still_open)
    story.register_documents("2026-11-09")
    story.register_documents("2026-11-12")
    story.take(PROJECT_ENGINEER, "V1: the reference part with one bore", ["designs/V1.toml"])
    story.take(PROJECT_ENGINEER, "V1 chosen", ["concepts.toml"])
    story.answer("1")
    story.sign_if_ready("1", PROJECT_ENGINEER)


def tell_requirements(story: Builder) -> None:
    """Collected, the first ones agreed; sources, conditions and verifications are missing here and there."""
    story.on("2026-11-13")
    story.take(PROJECT_ENGINEER, "standards cited, two confirmed", ["standards.toml"])
    story.take(PROJECT_ENGINEER, "load cases L-01 to L-04", ["loads.toml"])
    for path in story.sources("requirements/*.toml"):
        chapter = path.rpartition("/")[2].removesuffix(".toml")[2:].replace("-", " ")
        first = without(story.source(path), "requirement", "agreed", "remark")
        story.put(PROJECT_ENGINEER, f"requirements: {chapter}", path, first)
    story.register_documents("2026-11-19")
    story.take(PROJECT_ENGINEER, "first demands agreed with the customer, minutes B-006", story.sources("requirements/*.toml"))
    story.take_assumptions("2026-11-19", "assumptions A-001 and A-002")
    story.answer("2", only="2.11")
    words = "asked the customer for the programme of blocks on 2026-11-19: no test of life can be planned before it is here"
    story.record(add_remark(story.opened.project, "R-015", words, LABORATORY, "2", story.time))


def tell_design(story: Builder) -> None:
    """A first look by calculation; bolts and layer of the variant wait."""
    story.on("2026-11-20")
    story.take(PROJECT_ENGINEER, "calculations planned", story.sources("calculations/*.toml"))
    story.record(run_calculations(story.opened.project, RUN, PROJECT_ENGINEER, story.time))
    story.on("2026-11-23")
    for item in EVIDENCE:
        story.put(LABORATORY, f"{item['id']} {item['title']}: planned", f"evidence/{item['id']}.toml", item)


SCENE = Scene("four-point-link", "2026-10-19", FOUR_POINT_LINK, ANSWERS, PAPERS, tell)
