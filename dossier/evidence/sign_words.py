"""Plain words for each sign: what is seen, what it usually means, how to confirm it."""

from __future__ import annotations

TITLES = {
    "slip": "slip",
    "crack": "crack or debonding",
    "preload_loss": "loss of pre-stress",
    "bottoming": "end stop reached",
    "metal_break": "metal break",
    "fixture_slip": "play or slip of the fixture",
}
MEANINGS = {
    "slip": "travel goes on without load and the curve stays shifted: the ring slips in the eye or the rubber on the ball",
    "crack": "the part became softer on one side or from cycle to cycle: a crack or an opening bond, heat can look alike",
    "preload_loss": "beyond the same load in both directions the slope falls, without shift at zero: a gap opens because "
                    "the pre-stress of the unloaded side is used up",
    "bottoming": "the slope rises sharply near the end: ring or pin touches a stop, or the rubber is full",
    "metal_break": "the load drops at once and does not come back: a metal part cracked or a ring burst",
    "fixture_slip": "the curve is pinched around zero load: clearance or bolt slip in the fixture, not in the joint",
}  # fmt: skip
CONFIRMATIONS = {
    "slip": "look for witness marks, push out afterwards, repeat with marked parts",
    "crack": "let rest, repeat at 23 °C and read the temperature log; strip, ultrasonic or dye",
    "preload_loss": "load symmetrically, compare the pre-stress with a new part",
    "bottoming": "compare travel or angle with the free travel of the drawing, look for edge contact",
    "metal_break": "stop the test; magnetic particle inspection of pin and rings",
    "fixture_slip": "repeat as blank test with a steel dummy, retighten the fixture",
}
KINDS = tuple(TITLES)
