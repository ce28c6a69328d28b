"""Modal questions: two ways out, and no irreversible one by a slip."""

import pytest

from screens.widgets.modal import Question
from screens.widgets.question import Asked, Needed
from tests.screens import look
from tests.screens.sample import SampleApp


def sign() -> Asked:
    """Signing needs a passphrase."""
    return Asked("Sign step 3 as released?", "You sign 28 records.", "sign", "not now",
                 [Needed("passphrase", "passphrase", secret=True)])


def concede() -> Asked:
    """A concession needs a reason, an end and a name."""
    def check_day(text: str) -> str:
        return "" if text[:2] == "20" else f"until = {text} is no date; give 2027-03-31"

    day = Needed("until", "until", check=check_day)
    return Asked("Concede R-031?", "It is 2.1, the limit 2.0.", "concede", "leave open",
                 [Needed("reason", "reason"), day, Needed("note", "note", needed=False)])


def freeze() -> Asked:
    """Freezing needs no text."""
    return Asked("Freeze revision B?", "After this B is never changed.", "freeze B", "not yet")


def ask(asked: Asked, presses: list[str], size: tuple[int, int] = (80, 24)):
    """Answer after the presses ("open" while none was given), and the screen's text then."""
    answers: list[object] = ["open"]
    shown: list[str] = []
    app = SampleApp()

    async def script(pilot) -> None:
        app.push_screen(Question(asked), answers.append)
        await pilot.pause()
        await pilot.press(*presses)
        await pilot.pause()
        shown.extend(look.text_of(app))

    look.drive(app, size, script)
    return answers[-1], shown


def test_signing() -> None:
    answer, shown = ask(sign(), ["a", "b", "1"])
    assert answer == "open"
    assert not any("ab1" in row for row in shown) and any("***" in row for row in shown)
    assert ask(sign(), ["a", "b", "1", "enter"])[0] == {"passphrase": "ab1"}


@pytest.mark.parametrize("presses", [
    ["enter"], ["enter", "enter", "enter"], ["space", "enter"], ["down", "enter"], ["tab", "enter", "enter"],
])
def test_enter_never_signs_without_the_passphrase(presses: list[str]) -> None:
    answer, shown = ask(sign(), presses)
    assert answer == "open"
    assert any("passphrase is needed" in row for row in shown)


@pytest.mark.parametrize("asked", [sign, concede, freeze])
def test_escape_leaves_everything_as_it_is(asked) -> None:
    assert ask(asked(), ["escape"])[0] is None
    assert ask(asked(), ["x", "escape"])[0] is None


def test_concession_needs_each_text() -> None:
    answer, shown = ask(concede(), ["o", "k", "enter"])
    assert answer == "open" and any("until is needed" in row for row in shown)
    answer, shown = ask(concede(), ["o", "k", "enter", "1", "enter"])
    assert answer == "open" and any("until = 1 is no date; give 2027-03-31" in row for row in shown)
    answer, _ = ask(concede(), ["o", "k", "enter", "2", "0", "2", "7", "enter"])
    assert answer == {"reason": "ok", "until": "2027", "note": ""}


def test_one_enter_does_not_freeze() -> None:
    assert ask(freeze(), ["enter"])[0] is None
    assert ask(freeze(), ["up", "enter"])[0] == {}
    _, shown = ask(freeze(), [])
    assert any(row.split("│")[1].startswith(" > not yet") for row in shown if "not yet" in row)
    reversible = Asked("Take in the edit?", "C-004 was edited outside.", "take in", "restore", irreversible=False)
    assert ask(reversible, ["enter"])[0] == {}


def test_title_is_a_question() -> None:
    with pytest.raises(ValueError, match="question mark"):
        Asked("Freeze revision B", "", "freeze", "not yet")


def test_long_explanation_is_paged_and_the_ways_out_stay() -> None:
    asked = Asked("Conflict: C-004 was changed on disk?", [f"line {number} of both" for number in range(90)], "take in",
                  "keep mine")
    _, shown = ask(asked, [])
    assert any("take in" in row for row in shown) and any("keep mine" in row for row in shown)
    assert any("lines below, page down" in row for row in shown)
    _, shown = ask(asked, ["pagedown"] * 20)
    assert any("line 89 of both" in row for row in shown)
    assert any("end of the text" in row for row in shown)


@pytest.mark.parametrize("size", [(120, 40), (80, 24), (50, 14), (30, 8), (12, 4)])
def test_question_in_any_size(size: tuple[int, int]) -> None:
    answer, shown = ask(concede(), ["r", "down", "2", "0", "enter"], size)
    assert answer == {"reason": "r", "until": "20", "note": ""}


def test_sheet_keys_rest_while_a_question_is_asked() -> None:
    app = SampleApp()

    async def script(pilot) -> None:
        app.push_screen(Question(freeze()))
        await pilot.pause()
        await pilot.press("3", "f4", "o")
        await pilot.pause()
        assert app.went == [] and app.appearance == "slate" and isinstance(app.screen, Question)

    look.drive(app, (80, 24), script)
