"""Random but buildable inputs for every method, seeded by the caller."""

from __future__ import annotations

from random import Random
from typing import Any


def design(random: Random, carrier: str = "", bored: bool | None = None) -> dict[str, Any]:
    """A joint whose dimensions fit together."""
    ball = random.uniform(24, 34)
    neck = ball * random.uniform(0.55, 0.68)
    outer = ball + random.uniform(3, 9)
    start = random.uniform(52, 62)
    length = random.uniform(140, 170)
    holes = random.uniform(106, 118)
    edge = random.uniform(1.1, 1.2) * ball
    hole = random.uniform(12, 16)
    half_width = outer * 0.62 + random.uniform(1, 6)
    kind = carrier or random.choice(["rings", "half_shells"])
    sizes = {"kind": kind, "outer_radius": outer + random.uniform(3, 7), "half_width": half_width}
    sizes |= {"gap": random.uniform(0, 3)} if kind == "rings" else {"parting_gap": random.uniform(0, 2)}
    has_bore = random.random() < 0.6 if bored is None else bored
    bores = [{"diameter": neck * random.uniform(0.5, 1.0), "start": -length / 2, "end": length / 2}] if has_bore else []
    return {
        "pin": {
            "length": length, "ball_radius": ball, "neck_radius": neck, "neck_fillet": random.uniform(1.0, 3.0),
            "ends": {"flat_thickness": neck * 1.4, "flat_start": edge + 2, "hole_diameter": min(hole, neck * 0.9),
                     "hole_distance": holes, "clamp_edge": edge},
            "bores": bores,
        },
        "layer": {"inner_radius": ball, "outer_radius": outer, "polar_start": start, "polar_end": 180 - start},
        "carrier": sizes,
        "rest": [{"name": "retaining ring", "mass": random.uniform(0.01, 0.06), "position": 20.0}],
    }  # fmt: skip


def densities(random: Random, mark: str = "") -> dict[str, Any]:
    """Densities of steel, rubber and a carrier."""
    return {
        f"{mark}pin_density": {"value": random.uniform(7700, 7900)},
        f"{mark}layer_density": {"value": random.uniform(1050, 1250)},
        f"{mark}carrier_density": {"value": random.uniform(2600, 7900)},
    }


def mass_joint(random: Random) -> dict[str, Any]:
    return {"design": design(random), **densities(random)}


def mass_saving(random: Random) -> dict[str, Any]:
    return mass_joint(random) | {"reference": design(random), **densities(random, "reference_")}


def bond_area(random: Random) -> dict[str, Any]:
    kind = random.choice(["rings", "half_shells"])
    forces = {"radial_force": random.uniform(1e3, 1e5), "axial_force": random.uniform(1e2, 1e4)}
    return {"design": design(random, kind), "reference": design(random, kind), **forces, "torque": 1e5}


def layer_stiffness(random: Random) -> dict[str, Any]:
    layer = design(random)["layer"]
    shear = random.uniform(0.5, 2.0)
    return layer | {
        "shear_modulus": {"value": shear, "low": 0.9 * shear, "high": 1.1 * shear},
        "bulk_modulus": {"value": random.uniform(1000, 2000)},
    }


def pin_bending(random: Random) -> dict[str, Any]:
    strength = random.uniform(600, 1000)
    return {
        "pin": design(random)["pin"],
        "force": random.uniform(5e4, 2e5),
        "support": random.choice(["simple_at_bolt_axis", "held_at_bolt_axis", "held_at_clamp_edge"]),
        "yield_strength": {"value": strength, "low": 0.95 * strength, "high": 1.05 * strength},
        "youngs_modulus": {"value": 210000.0},
        "poisson_ratio": {"value": 0.3},
    }


def band(random: Random, value: float, spread: float = 0.05) -> dict[str, float]:
    """A value with a band of about ± spread."""
    return {"value": value, "low": value * (1 - spread * random.random()), "high": value * (1 + spread * random.random())}


def fit_ring(random: Random) -> dict[str, Any]:
    found = design(random, "rings")
    carrier, inner = found["carrier"], found["layer"]["outer_radius"]
    outer = carrier["outer_radius"]
    aluminium = random.random() < 0.5
    modulus, expansion, strength = (70e3, 23e-6, 260.0) if aluminium else (210e3, 12e-6, 355.0)
    return {
        "carrier": carrier,
        "ring_inner_radius": inner,
        "ring_inside": random.choice(["spherical", "cylindrical"]),
        "eye_bore_radius": outer - random.uniform(0.05, 0.11),
        "eye_outer_radius": outer + random.uniform(10, 20),
        "eye_width": 2 * carrier["half_width"] + random.uniform(0, 10),
        "ring_tolerance": {"lower": 0.0, "upper": 0.02},
        "eye_tolerance": {"lower": -0.01, "upper": 0.01},
        "flattening": {"value": 0.01, "low": 0.006, "high": 0.014},
        "friction": {"value": 0.12, "low": 0.08, "high": 0.16},
        "ring_modulus": band(random, modulus), "ring_poisson": {"value": 0.3},
        "ring_expansion": band(random, expansion), "ring_yield": band(random, strength),
        "eye_modulus": band(random, 210e3), "eye_poisson": {"value": 0.3},
        "eye_expansion": band(random, 12e-6), "eye_yield": band(random, 355.0),
        "temperature_hot": random.uniform(60, 90), "temperature_cold": random.uniform(-40, -20),
        "temperature_hottest": random.uniform(90, 110),
        "prestress_pressure": random.choice([0.0, random.uniform(0.5, 4)]),
    }  # fmt: skip


def clamp_bolt(random: Random) -> dict[str, Any]:
    pin = design(random)["pin"]
    pin["ends"]["hole_diameter"] = 17.5
    diameter, pitch = random.choice([(16.0, 2.0), (16.0, 1.5), (14.0, 2.0)])
    return {
        "pin": pin,
        "pin_modulus": band(random, 210e3), "pin_expansion": band(random, 12e-6),
        "limit_pressure": band(random, 800.0),
        "bolt_diameter": diameter, "bolt_pitch": pitch, "bolt_yield": random.choice([640.0, 940.0]),
        "head_bearing_diameter": 22.5, "shank_length": random.uniform(0, 20),
        "bracket_thickness": random.uniform(15, 30), "bracket_modulus": band(random, 210e3),
        "bracket_expansion": band(random, 12e-6), "thread_friction": {"value": 0.12, "low": 0.10, "high": 0.14},
        "tightening_factor": random.uniform(1.4, 1.8), "settling": {"value": 0.008, "low": 0.006, "high": 0.011},
        "relaxation": random.uniform(0, 0.05), "interface_friction": {"value": 0.15, "low": 0.12, "high": 0.18},
        "transverse_force": random.uniform(2e3, 3e4), "axial_force": random.choice([0.0, random.uniform(1e3, 1e4)]),
        "temperature_hot": 70.0, "temperature_cold": -35.0,
    }  # fmt: skip


def cost_side(random: Random, basis: dict[str, Any], mass: float) -> dict[str, Any]:
    def line(name: str, **fields: Any) -> dict[str, Any]:
        return {"name": name, "group": "", "uncertainty": random.choice([0.0, 0.05, 0.1]), **fields}

    return {
        "basis": basis, "mass": mass,
        "material": [line("bar", gross_mass=random.uniform(1.5, 3), price=random.uniform(1, 2), chip_mass=0.4, chip_price=0.2),
                     line("rubber", gross_mass=0.1, price=random.uniform(2, 5), enters_at="moulding")],
        "bought": [line("rings", price=random.uniform(1, 3), count=2, enters_at="assembly")],
        "step": [line("turning", cycle_time=random.uniform(100, 300), machine_rate=70, labour_rate=40, operators=0.5,
                      setup_time=3600, lot=500, good_share=random.uniform(0.97, 1)),
                 line("moulding", cycle_time=60, machine_rate=60, labour_rate=40, operators=0.3,
                      good_share=random.uniform(0.94, 0.99), learning_rate=random.choice([1.0, 0.95])),
                 line("assembly", cycle_time=40, machine_rate=30, labour_rate=40, operators=1)],
        "one_off": [line("mould", kind="tool", amount=random.uniform(2e4, 5e4), per_piece=False, once=True),
                    line("tests", kind="test", amount=random.uniform(4e4, 9e4), per_piece=True, once=False)],
    }  # fmt: skip


def cost_piece(random: Random) -> dict[str, Any]:
    basis = {"currency": "EUR", "price_date": "2026-10-01", "annual_volume": 12000.0, "plant": "works 1"}
    worth = sorted(random.uniform(0, 6) for _ in range(3))
    return {
        "cost": {
            "years": 8, "interest": 0.08,
            "rates": {"material_overhead": 0.05, "administration_sales": 0.1},
            "worth": dict(zip(("low", "mid", "high"), worth, strict=True)),
            "reference": cost_side(random, basis, 1.94), "variant": cost_side(random, basis, 1.39),
            "lever": [{"name": "steel", "line": "bar", "change": 0.2}, {"name": "pieces", "line": "volume", "change": -0.3}],
        }
    }  # fmt: skip


def co2_saving(random: Random) -> dict[str, Any]:
    fuel = {
        "kind": "fuel", "distance": band(random, 60_000), "fuel_rate": band(random, 0.43, 0.4),
        "emission": band(random, 3.2), "rolling_resistance": 0.006, "drive_efficiency": 0.38, "fuel_energy": 35.8,
    }  # fmt: skip
    share, emission = band(random, 0.3), band(random, 0.06)
    payload = {"kind": "payload", "distance": band(random, 6e4), "limited_share": share, "emission": emission}
    return {
        "footprint": {
            "functional_unit": "one joint over 15 years", "boundary": "manufacture and use",
            "line": [{"name": "steel", "reference_mass": 1.88, "variant_mass": 1.18, "factor": band(random, 2.0, 0.3)},
                     {"name": "aluminium", "reference_mass": 0.0, "variant_mass": 0.16, "factor": band(random, 9.0, 0.5)}],
            "use": random.choice([fuel, payload, {"kind": "none"}]),
        },
        "reference_mass": 1.94, "variant_mass": 1.39,
    }  # fmt: skip


def rubber_moduli(random: Random) -> dict[str, Any]:
    relation = random.choice(["lindley", "gent", "ruess"])
    scale = random.choice(["hardness", "shore_hardness"])
    given: dict[str, Any] = {"relation": relation, scale: random.uniform(47, 53), "tolerance": random.uniform(1, 5)}
    if random.random() < 0.5:
        given["bulk_modulus"] = band(random, random.uniform(1000, 2000))
    if random.random() < 0.5:
        given |= {"temperature_factor": band(random, 0.9), "dynamic_factor": band(random, 1.4), "relation_scatter": 0.1}
    return given


def rubber_fit(random: Random) -> dict[str, Any]:
    stiff, second = random.uniform(0.2, 0.8), random.uniform(0, 0.2)
    points = []
    for step in range(9):
        stretch = 1 + 0.2 * step
        exact = 2 * (stretch - stretch**-2) * (stiff + second / stretch)
        points.append([stretch, exact * random.uniform(0.97, 1.03)])
    law = random.choice(["neo_hookean", "mooney_rivlin", "yeoh"])
    return {"points": points, "law": law, "residuals": random.choice(["absolute", "relative"])}


def section(random: Random) -> dict[str, Any]:
    """A section of steel and aluminium or steel; sometimes the ball contour is a filler on a slim straight pin."""
    found = design(random)
    del found["rest"]
    shear = random.uniform(0.6, 1.6)
    given: dict[str, Any] = {
        "design": found,
        "pin_modulus": {"value": 210e3}, "pin_poisson": {"value": 0.3},
        "carrier_modulus": band(random, random.choice([70e3, 210e3])), "carrier_poisson": {"value": 0.31},
        "shear_modulus": band(random, shear), "bulk_modulus": {"value": random.uniform(1000, 2000)},
    }  # fmt: skip
    if random.random() < 0.3:
        found["pin"] |= {"straight_radius": found["pin"]["neck_radius"], "bores": []}
        found["core"] = {"kind": "ball_contour"}
        given |= {"core_modulus": band(random, 3000.0), "core_poisson": {"value": 0.38}}
    return given


def loads(random: Random) -> list[dict[str, Any]]:
    """A radial, an axial and a combined load case, and a programme."""
    block = {"radial": random.uniform(2e3, 9e3), "torsion": random.uniform(1, 5), "tilt": random.uniform(0, 3)}
    return [
        {"id": "L-1", "kind": "static", "radial": random.uniform(5e3, 2e4)},
        {"id": "L-2", "kind": "overload", "axial": random.uniform(1e3, 5e3), "tilt": random.uniform(1, 3)},
        {"id": "L-3", "kind": "programme", "blocks": [block, block | {"axial": 1e3}]},
    ]


def layer_limits(random: Random) -> dict[str, Any]:
    given = section(random) | {"loads": loads(random), "averaging": random.uniform(0.3, 0.8)}
    travel = "travel" if given["design"]["carrier"]["kind"] == "rings" else "closing"
    given[travel] = random.uniform(0.0, 1.5)
    if random.random() < 0.5:
        given |= {"outer_face": "friction", "friction": {"value": 0.4, "low": 0.3, "high": 0.5}}
    return given


def section_strength(random: Random) -> dict[str, Any]:
    return section(random) | {
        "loads": loads(random), "pin_yield": {"value": random.uniform(500, 900)}, "pin_density": {"value": 7850.0},
        "carrier_yield": band(random, 260.0), "core_yield": {"value": 60.0}, "idle_below": random.uniform(0.02, 0.2),
    }  # fmt: skip


def core_gap(random: Random) -> dict[str, Any]:
    pin = design(random, bored=True)["pin"]
    pin["bores"][0]["filled"] = True
    outside = random.random() < 0.4
    if outside:
        pin |= {"straight_radius": pin["neck_radius"], "bores": []}
    return {
        "pin": pin, "core": {"kind": "ball_contour" if outside else "bore_fill"},
        "cure_shrinkage": band(random, random.uniform(0.001, 0.01)), "filler_expansion": band(random, 60e-6),
        "pin_expansion": band(random, 12e-6), "filler_modulus": band(random, 3000.0),
        "cure_temperature": random.uniform(80, 180), "temperature": random.uniform(-40, 60),
    }  # fmt: skip


def assembled_layer(random: Random) -> dict[str, Any]:
    """A moulded layer with the operations of its assembly, pre-stress of a twentieth of the thickness at most."""
    found = design(random)
    layer, kind = found["layer"], found["carrier"]["kind"]
    thickness = layer["outer_radius"] - layer["inner_radius"]
    most = 0.05 * thickness
    closing = {"closing": random.uniform(0, most)}
    rings = {"travel": random.uniform(0.2, 1) * most, "gap": random.uniform(0.2, 0.4) * thickness}
    return layer | (rings if kind == "rings" else closing) | {
        "carrier": kind, "shear_modulus": {"value": random.uniform(0.5, 2.0)},
        "bulk_modulus": {"value": random.uniform(1000, 2000)},
    }  # fmt: skip


def layer_assembly(random: Random) -> dict[str, Any]:
    return assembled_layer(random) | {"averaging": random.uniform(0.4, 0.8)}


def layer_curve(random: Random) -> dict[str, Any]:
    """Up to a degree or to a fortieth of the thickness; the two directions that take the least time."""
    found = assembled_layer(random)
    direction = random.choice(["axial", "torsional"])
    reach = random.uniform(0.2, 1) if direction == "torsional" else (found["outer_radius"] - found["inner_radius"]) / 40
    low = random.choice([0.0, 0.2 * reach, -reach])
    series = {"clamp_stiffness": random.uniform(1e5, 1e6)} if direction == "axial" and random.random() < 0.5 else {}
    return found | series | {"direction": direction, "between": "travel", "low": low, "high": reach, "steps": 2}


def layer_load_case(random: Random) -> dict[str, Any]:
    """Small forces and angles, so that a step or two reach them; torsion, which takes longest, in one of four."""
    found = assembled_layer(random)
    clamp = {"clamp_radial": random.uniform(1e5, 1e6), "clamp_conical": random.uniform(1e7, 1e8)}
    turned = {"torsion": 0.1, "clamp_torsional": 1e8} if random.random() < 0.25 else {}
    return found | clamp | turned | {
        "radial_force": random.uniform(50, 300), "axial_force": random.uniform(10, 50), "tilt": random.uniform(0.05, 0.2),
    }  # fmt: skip


GENERATORS = {
    "core.gap": core_gap,
    "section.stiffness": section,
    "layer.limits": layer_limits,
    "section.strength": section_strength,
    "layer.assembly": layer_assembly,
    "layer.curve": layer_curve,
    "layer.load_case": layer_load_case,
    "rubber.moduli": rubber_moduli,
    "rubber.fit": rubber_fit,
    "cost.piece": cost_piece,
    "co2.saving": co2_saving,
    "fit.ring": fit_ring,
    "clamp.bolt": clamp_bolt,
    "mass.joint": mass_joint,
    "mass.saving": mass_saving,
    "bond.area": bond_area,
    "layer.stiffness": layer_stiffness,
    "pin.bending": pin_bending,
}
