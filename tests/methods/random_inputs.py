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


GENERATORS = {
    "mass.joint": mass_joint,
    "mass.saving": mass_saving,
    "bond.area": bond_area,
    "layer.stiffness": layer_stiffness,
    "pin.bending": pin_bending,
}
