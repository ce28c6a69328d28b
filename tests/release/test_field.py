"""The field of utilisation: its classes on paper, its places, and the pages of the calculations of the whole section."""

import copy
import re

import numpy as np
import pytest
from chapters_case import DEMO, body, built, demo_documents, facts_of, squeezed
from pdf_lines import paths_of
from pdf_words import overlaps, pieces_of

from dossier import units
from dossier.actions.run import run_calculations
from dossier.mechanics.section import model_regions
from dossier.methods.section_field import utilisation_field
from dossier.methods.section_in import section_shape
from dossier.methods.section_strength import SectionStrengthInput
from dossier.release.chapters.calculation import calculation
from dossier.release.chapters.field import NAMES, field_block
from dossier.release.contours import TriangleField
from dossier.release.field import CLASSES, LIMITS, FieldDrawing, FieldHalf, Mark
from dossier.release.flow import Wide
from dossier.release.outlines import Half, Region
from dossier.store.project import project_from_documents
from dossier.store.tomlfile import parse_document

MM = 72 / 25.4
RUNS = {"C-016": ("section.strength", "V2"), "C-015": ("layer.limits", "V2"), "C-013": ("section.stiffness", "V2"),
        "C-017": ("section.strength", "REF")}  # fmt: skip
LEVELS = (-np.inf, *LIMITS)


@pytest.fixture(scope="module")
def documents():
    """The demonstration project, its calculations of the whole section run again, that of the variant beside the reference."""
    found = demo_documents()
    found["calculations/C-016.toml"]["reference"] = "REF"
    project = project_from_documents(DEMO, copy.deepcopy(found))
    for name, chosen in RUNS.items():
        assert (project.get(name).method, project.get(name).design) == chosen
    for path, data in run_calculations(project, RUNS, "A. Tester").files.items():
        found[path] = parse_document(data, path)
    return found


@pytest.fixture(scope="module")
def printed(documents):
    return {name: printed_of(documents, name) for name in RUNS}


def printed_of(documents, name):
    return built(facts_of(DEMO, documents), chapters=lambda kit, facts: calculation(kit, facts, facts.project.get(name)))


def changed(documents, name, change):
    """The same records with the stored result of one calculation changed."""
    found = copy.deepcopy(documents)
    change(found[f"calculations/{name}.toml"]["result"])
    return found


def result_of(documents, name):
    return documents[f"calculations/{name}.toml"]["result"]


@pytest.fixture(scope="module", params=["C-016", "C-017"])
def solved(request, documents):
    given = SectionStrengthInput.model_validate(result_of(documents, request.param)["inputs"])
    return given, utilisation_field(given)


def test_the_classes_of_each_part_fill_its_outline(solved):
    given, field = solved
    outlines = model_regions(section_shape(given))
    for name, part in field.parts.items():
        drawn = TriangleField(part.points[:, ::-1], part.triangles, part.utilisation)
        above = [sum(outline.area for outline in drawn.above(level)) for level in LEVELS]
        classes = np.diff([-one for one in [*above, 0.0]])
        assert (classes >= -1e-9).all()
        loops = [np.array(loop) for loop in outlines[name].polyline(0.001)]
        whole = sum(abs(r @ np.roll(z, -1) - z @ np.roll(r, -1)) / 2 for r, z in (loop.T for loop in loops))
        assert classes.sum() == pytest.approx(whole, rel=3e-3)  # chords of the arcs


def test_the_mass_within_the_dashed_line_is_the_idle_mass(solved):
    given, field = solved
    part = field.parts["pin"]
    drawn = TriangleField(part.points[:, ::-1], part.triangles, part.utilisation)
    whole, used = (2 * np.pi * sum(o.moment for o in drawn.above(level)) for level in (-np.inf, field.idle_below))
    assert (whole - used) * 1e-9 * given.pin_density.value == pytest.approx(field.idle["idle_mass"], rel=0.02)


def bar_half(values=lambda z: z / 50, idle_below=0.1):
    """A bar of 100 mm by 10 mm radius, used in proportion to z, in 200 triangles."""
    z, r = (grid.ravel() for grid in np.meshgrid(np.linspace(-50, 50, 51), [0.0, 10.0]))
    a = np.arange(50)
    triangles = np.concatenate([np.stack([a, a + 1, a + 52], 1), np.stack([a, a + 52, a + 51], 1)])
    region = Region("A", [[(-60, 0), (-60, 10), (60, 10), (60, 0)]])
    marks = [Mark((49, 10), "0.98 highest"), Mark((30, 5), "0.60 second"), Mark((-20, 2), "left")]
    field = TriangleField(np.stack([z, r], 1), triangles, values(z))
    return FieldHalf(Half("bar", [region], ("a note",)), {"A": field}, marks, 50, 45, idle_below)


def colour(text):
    return tuple(round(int(text[i : i + 2], 16) / 255, 3) for i in (1, 3, 5))


def test_each_class_begins_where_its_limit_lies(build):
    page = build(lambda kit: [Wide(kit, FieldDrawing(kit, bar_half(), bar_half()))]).reader.pages[0]
    fills = [path for path in paths_of(page) if path.paint == "fill"]
    middle = np.mean([path.box[::2] for path in fills if path.fill == colour(CLASSES[0])])
    for number, level in enumerate((*LIMITS[:-1],), 1):
        boxes = [path.box for path in fills if path.fill == colour(CLASSES[number])]
        assert len(boxes) == 2
        for x0, y0, x1, y1 in boxes:
            assert (x0 - middle, x1 - middle) == pytest.approx((50 * level * MM, 50 * MM), abs=0.05)
            assert y1 - y0 == pytest.approx(10 * MM, abs=0.05)
    assert [path for path in paths_of(page) if path.dash and path.weight == 0.6 and len(path.points) == 2]


def test_the_drawing_names_scale_limits_and_unit_and_nothing_overlaps(build):
    page = build(lambda kit: [Wide(kit, FieldDrawing(kit, bar_half(idle_below=0.15), bar_half()))]).reader.pages[0]
    texts = [piece.text for piece in pieces_of(page)]
    for words in ("share of yield strength", *(f"{limit:g}" for limit in LIMITS), "over 1", "section, scale 1:1 at 100 % print",
                  "0.10 and 0.15: idle below", "50 mm, to check the print", "a note"):  # fmt: skip
        assert words in texts
    assert texts.count("0.98 highest") == 2
    assert overlaps(pieces_of(page)) == []


def test_no_leader_meets_a_text(build):
    document = build(lambda kit: [Wide(kit, FieldDrawing(kit, bar_half()))])
    page = document.reader.pages[0]
    lines = [path for path in paths_of(page) if path.weight == 0.25 and len(path.points) == 2]
    leaders = [line for line in lines if abs(line.points[0][0] - line.points[1][0]) < 0.01]
    called = [piece for piece in pieces_of(page) if piece.text in ("0.98 highest", "0.60 second", "left")]
    assert len(called) == 3 and len(leaders) >= 3
    for piece in called:
        x0, y0, x1, y1 = piece.box
        for leader in leaders:
            low, high = sorted(point[1] for point in leader.points)
            assert not (x0 < leader.points[0][0] < x1 and low < y1 and high > y0)


def test_lightness_falls_from_class_to_class_so_that_grey_print_keeps_the_order():
    def lightness(text):
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour(text)]
        y = float(np.dot((0.2126, 0.7152, 0.0722), linear))
        return 116 * np.cbrt(y) - 16

    found = [lightness(one) for one in CLASSES]
    assert found == pytest.approx([98, 91, 82, 71, 59, 46, 33, 17], abs=0.6)


def test_the_field_stands_with_its_calculation_and_the_reference_above_it(printed, documents):
    text = body(printed["C-016"])
    value = {entry["name"]: entry["value"] for entry in result_of(documents, "C-016")["values"]}
    idle = units.show_quantity(value["idle_mass"], "kg", "g", 4)
    assert squeezed("reference J-7600, C-017") in text and squeezed("variant J-7610, C-016") in text
    assert squeezed(f"idle under all load cases, below 0.10: {idle} of the pin's steel") in text
    assert squeezed("highest of the pin, L-03") in text
    assert text.count(squeezed(f"highest of the {NAMES['ring']}")) == 2
    assert squeezed("Above the axis the reference, below it the variant.") in text
    assert text.index("Working") < text.index("Results") < text.index(squeezed("share of yield strength"))
    alone = body(printed["C-017"])
    assert squeezed("reference J-7600, C-017") in alone and "Abovetheaxis" not in alone


@pytest.mark.parametrize("name", RUNS)
def test_no_word_leaves_the_frame_or_covers_another(printed, name):
    page = printed[name].page
    for pieces in printed[name].pieces:
        assert overlaps(pieces) == []
        inside = [p for p in pieces if abs(p.angle) < 1 and page.frame_bottom - 1 < p.y < page.frame_top + 1]
        assert [p.text for p in inside if p.box[0] < page.left - 1 or p.box[2] > page.left + page.full + 4] == []


def test_the_marked_place_is_the_one_that_is_stored(documents):
    facts = facts_of(DEMO, documents)
    value = {entry["name"]: entry["value"] for entry in result_of(documents, "C-016")["values"]}

    def story(kit, facts):
        return field_block(kit, facts, facts.project.get("C-016"))

    page = built(facts, chapters=story).reader.pages[0]
    circles = [path.box for path in paths_of(page) if path.paint == "both" and abs(path.box[2] - path.box[0] - 3) < 0.05]
    axis = next(path for path in paths_of(page) if len(path.dash) == 4).points
    middle, height = (axis[0][0] + axis[1][0]) / 2, axis[0][1]
    places = [((x0 + x1) / 2 - middle, height - (y0 + y1) / 2) for x0, y0, x1, y1 in circles]
    wanted = value["pin_stress_z"] * MM, value["pin_stress_r"] * MM
    assert any(place == pytest.approx(wanted, abs=0.1) for place in places)


def test_an_input_of_another_version_is_told_instead_of_a_field(documents):
    old = changed(documents, "C-017", lambda result: result["inputs"].pop("pin_density"))
    text = body(printed_of(old, "C-017"))
    assert squeezed("The field of C-017 cannot be drawn: its stored input does not fit section.strength") in text
    assert squeezed("The working cannot be shown: its stored input does not fit section.strength") in text
    assert "pin_density" in text and squeezed("calculate C-017 again") in text
    assert squeezed("share of yield strength") not in text


def test_a_field_that_no_longer_gives_the_stored_stress_is_not_drawn(documents):
    def other(result):
        next(one for one in result["values"] if one["name"] == "pin_stress")["value"] *= 1.05

    text = body(printed_of(changed(documents, "C-016", other), "C-016"))
    told = "The field of C-016 is not drawn: from the stored input the greatest stress of the pin now comes out as"
    assert squeezed(told) in text
    assert squeezed("share of yield strength") not in text


def test_a_named_reference_without_a_calculation_is_told(documents):
    alone = copy.deepcopy(documents)
    del alone["calculations/C-017.toml"]["result"]
    text = body(printed_of(alone, "C-016"))
    assert squeezed("No field of REF beside it: there is no calculated section.strength of it.") in text
    assert squeezed("variant J-7610, C-016") in text


def test_beyond_its_validity_the_layer_is_told_by_its_load_factor_and_not_by_a_strain(printed, documents):
    text, result = body(printed["C-015"]), result_of(documents, "C-015")
    assert result["validity"] == "outside"
    assert text.count("✗outside") == len(result["validity_notes"])  # every value is of what lies within
    for note in (*result["validity_notes"], *result["warnings"]):
        assert squeezed(note) in text
    assert squeezed("L-03 outside validity: a cavity begins at 0.1") in text
    shares = [float(found) for found in re.findall(r"principalstrainoftheload(\d+)%", text)]
    assert shares and max(shares) <= 50
    assert squeezed("load cases 7 entries") in text
    assert "{record" not in text


def test_a_value_that_no_load_case_leaves_within_validity_is_marked_outside(documents):
    overload = copy.deepcopy(documents)
    overload["calculations/C-015.toml"]["inputs"] = {"loads": {"record": "L-03"}}
    path, data = next(iter(run_calculations(project_from_documents(DEMO, overload), ["C-015"], "A. Tester").files.items()))
    overload[path] = parse_document(data, path)
    names = {one["name"] for one in result_of(overload, "C-015")["values"]}
    assert names == {"load_factor", "tension_limit", "strain_factor", "needed_travel"}
    # Tension, two pressures, shear, share in tension and strain, beside the one note.
    assert body(printed_of(overload, "C-015")).count("✗outside") == 7


def test_a_method_without_its_own_limits_marks_each_value_outside(documents):
    struck = changed(documents, "C-013", lambda result: result.update(validity="outside", validity_notes=["too large a strain"]))
    assert body(printed_of(struck, "C-013")).count("✗outside") == len(result_of(documents, "C-013")["values"]) + 1


def test_the_stiffness_prints_tolerances_as_deviations_and_names_what_is_hardly_felt(printed, documents):
    text, value = body(printed["C-013"]), result_of(documents, "C-013")["inputs"]["inner_tolerance"]
    assert squeezed(f"deviations of the layer's inner radius mm −{-value['lower']:g} .. +{value['upper']:g}") in text
    assert "below0.05each:" in text
    assert not re.search(r"[−+]0\.0[;\s]*[−+]0\.0", text)


@pytest.mark.parametrize("name", RUNS)
def test_what_the_model_leaves_out_is_printed_with_the_results(printed, name):
    from dossier.methods.registry import method_of

    text = body(printed[name])
    for words in (*method_of(RUNS[name][0]).basis.left_out, *method_of(RUNS[name][0]).basis.valid_for):
        assert squeezed(words) in text


def test_the_drawing_is_small(documents):
    """Two halves with the page, its furniture and the fonts it uses."""
    drawn = built(facts_of(DEMO, documents), chapters=lambda kit, facts: field_block(kit, facts, facts.project.get("C-016")))
    assert len(drawn.data) < 50_000
