"""The app all sheets are built on: three appearances, keys from the table, no default of the toolkit."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any, ClassVar

from textual.app import App
from textual.binding import BindingType
from textual.filter import ANSIToTruecolor, LineFilter, Monochrome, NoColor
from textual.theme import Theme
from textual.widget import Widget

from screens import keys
from screens.few_colours import ByNumber, reduced
from screens.glyphs import plain_by_default
from screens.paint import Paint
from screens.palette import APPEARANCES, SLATE, Appearance
from screens.probe import draws_wide
from screens.widgets.house import HouseScreen

# Terminals of 8 or 16 colours of their own choice: nobody can promise a contrast there, so characters do it alone.
FEWEST = (None, "standard", "windows")
STYLES = Path(__file__).parent / "styles"


def variables(appearance: Appearance) -> dict[str, str]:
    """What style sheets may use: `$ground`, `$lifted`, `$focus-area`, `$rule`, `$ink`, `$quiet`."""
    return {
        "ground": appearance.ground, "lifted": appearance.lifted, "focus-area": appearance.focus,
        "rule": appearance.rule, "ink": appearance.ink, "quiet": appearance.quiet,
    }


def theme(appearance: Appearance) -> Theme:
    """The toolkit's theme of one appearance."""
    return Theme(
        name=appearance.name, primary=appearance.key, secondary=appearance.quiet, accent=appearance.key,
        warning=appearance.conceded, error=appearance.notmet, success=appearance.met, foreground=appearance.ink,
        background=appearance.ground, surface=appearance.ground, panel=appearance.lifted, dark=appearance.dark,
        text_alpha=1.0, variables=variables(appearance),
    )


class HouseApp(App[None], inherit_bindings=False):
    """Base of the application; widgets paint with `app.paint`.

    Terminals of 256 colours get the nearest colours that keep the contrast, those of 16 the look of NO_COLOR.

    A digit runs the action `sheet(n)`, F1 to F4 run `help`, `actions`, `messages`, `appearance`; ctrl+c and
    ctrl+q run `leave`. The app or its screens answer these.
    """

    CSS_PATH = [STYLES / "house.tcss", STYLES / "frame.tcss"]
    BINDINGS: ClassVar[list[BindingType]] = [*keys.house_bindings()]
    ENABLE_COMMAND_PALETTE = False
    hints = True
    ALLOW_SELECT = False
    HORIZONTAL_BREAKPOINTS = [(0, "-small"), (80, "-normal"), (120, "-margin")]
    VERTICAL_BREAKPOINTS = [(0, "-low"), (24, "-high")]

    def __init__(self, appearance: str = "slate", plain_glyphs: bool | None = None) -> None:
        super().__init__()
        self.animation_level = "none"
        colours = self.console.color_system
        self.no_color = self.no_color or colours in FEWEST
        few = colours == "256"
        self._looks = {name: reduced(entry) if few else entry for name, entry in APPEARANCES.items()}
        for entry in self._looks.values():
            self.register_theme(theme(entry))
        self._colouring: Sequence[LineFilter] = (NoColor(),) if self.no_color else (ByNumber(),) if few else ()
        self._ask_terminal = plain_glyphs is None
        plain = plain_by_default(os.environ) if plain_glyphs is None else plain_glyphs
        self.paint = Paint(self._looks[appearance], self.no_color, plain)
        self.theme = appearance
        for name in [name for name in self.available_themes if name not in APPEARANCES]:
            self.unregister_theme(name)

    def run(self, **options: Any) -> None:
        """Run in the terminal; where nobody chose, ask it first whether it needs plain glyphs."""
        if self._ask_terminal and not options.get("headless") and draws_wide(0, 1):
            self.set_plain_glyphs(True)
        return super().run(**options)

    def get_default_screen(self) -> HouseScreen:
        """The first screen."""
        return HouseScreen(id="_default")

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """Style sheets can be parsed whichever theme is on."""
        return variables(SLATE)

    def get_line_filters(self) -> Sequence[LineFilter]:
        """With NO_COLOR all colour is taken out, where the toolkit would leave greys; few colours go by number."""
        filters = super().get_line_filters()
        if not self._colouring:
            return filters
        others = (Monochrome, NoColor, ANSIToTruecolor)
        return [*(entry for entry in filters if not isinstance(entry, others)), *self._colouring]

    @property
    def plain_glyphs(self) -> bool:
        """Whether symbols of doubtful width are replaced by plain ones."""
        return self.paint.plain

    @property
    def appearance(self) -> str:
        """Name of the appearance in use: slate, paper or ink."""
        return self.paint.appearance.name

    def set_appearance(self, name: str) -> None:
        """Use one of the three appearances. Raises KeyError for another name."""
        self.paint = Paint(self._looks[name], self.no_color, self.paint.plain)
        self.theme = name
        self._repaint()

    def set_plain_glyphs(self, on: bool) -> None:
        """Switch plain glyphs on or off."""
        self.paint = Paint(self.paint.appearance, self.no_color, on)
        self._repaint()

    def _repaint(self) -> None:
        for screen in self.screen_stack:
            for widget in screen.walk_children(Widget, with_self=True):
                widget.refresh(layout=True)

    def action_leave(self) -> None:
        """Leave; the project's sheets ask first."""
        self.exit()

    def action_appearance(self) -> None:
        """The next appearance."""
        names = list(APPEARANCES)
        self.set_appearance(names[(names.index(self.appearance) + 1) % len(names)])
