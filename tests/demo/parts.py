"""Parts and test pieces of the invented demo: who is tested on what. A part that was torn or pushed out is not tested again."""

from __future__ import annotations

PROTOTYPE = ("P-200",)
COMPARED = ("P-201", "P-202", "P-203", "P-204", "P-205")
REFERENCE = ("P-101", "P-102", "P-103", "P-104", "P-105")
SERVICE = ("P-206",)
LIFE = ("P-211", "P-212", "P-213")
OVERLOAD = ("P-214", "P-215", "P-216")
CLAMP = ("P-217", "P-218", "P-219")
PUSHED_NEW = ("P-221", "P-222", "P-223", "P-224", "P-225")
STRIPPED = ("P-226", "P-227", "P-228", "P-229", "P-230")
OZONE = ("P-231", "P-232", "P-233")
SALT = ("P-234", "P-235", "P-236")
WATER = ("P-237", "P-238", "P-239")
PUSHED_HOT = ("P-241", "P-242", "P-243")
SOAKED_HOT = ("P-244", "P-245", "P-246")
SHORT_HOT = ("P-247", "P-248", "P-249")
PUSHED_COLD = ("P-251", "P-252", "P-253")
STIFF_COLD = ("P-254", "P-255", "P-256")
SOAKED_COLD = ("P-257", "P-258", "P-259")
OIL = ("P-261", "P-262", "P-263")
PUSHED_THROUGH = ("P-264", "P-265", "P-266")
SECOND_LOCK = ("P-271", "P-272", "P-273")
BARE_PINS = ("P-291", "P-292", "P-293", "P-294", "P-295", "P-296")
NEXT_COLD = ("P-281", "P-282", "P-283")
NEXT_SLIP = ("P-284", "P-285", "P-286")
NEXT_LIFE = ("P-287",)

PIECES_HARDNESS = ("P-301", "P-302", "P-303")
PIECES_TENSILE = ("P-311", "P-312", "P-313")
PIECES_SET = ("P-321", "P-322", "P-323")
PIECES_AGED = ("P-331", "P-332", "P-333")
PIECES_FERTILISER = ("P-341", "P-342", "P-343")
PIECES_OIL = ("P-351", "P-352", "P-353")

ALL_VARIANT = (
    *COMPARED, *SERVICE, *LIFE, *OVERLOAD, *CLAMP, *PUSHED_NEW, *STRIPPED, *OZONE, *SALT, *WATER, *PUSHED_HOT,
    *SOAKED_HOT, *SHORT_HOT, *PUSHED_COLD, *STIFF_COLD, *SOAKED_COLD, *OIL, *PUSHED_THROUGH, *SECOND_LOCK,
)  # fmt: skip
ALL_PIECES = (
    *PIECES_HARDNESS, *PIECES_TENSILE, *PIECES_SET, *PIECES_AGED, *PIECES_FERTILISER, *PIECES_OIL,
)  # fmt: skip
