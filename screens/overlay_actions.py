"""The app's answers to F1 to F4."""

from __future__ import annotations

from typing import Any

from screens.overlays import (
    PLAIN,
    ListOverlay,
    Overlay,
    appearance_list,
    appearance_told,
    command_list,
    commands_of,
    help_page,
    message_list,
)
from screens.widgets.frame import Frame, MessageLog
from screens.widgets.modal import Question


class OverlayActions:
    """Mixin of the app: pages over the screen that is shown."""

    def _close_overlays(self: Any) -> None:
        while isinstance(self.screen, Overlay):
            self.pop_screen()

    def _below(self: Any) -> tuple[Any, Frame] | None:
        """The screen the page is about and its frame; nothing while a question is asked."""
        self._close_overlays()
        if isinstance(self.screen, Question) or not hasattr(self.screen, "frame"):
            return None
        return self.screen, self.screen.frame

    def action_help(self: Any) -> None:
        """What the keys do here, and about the field under the cursor."""
        if found := self._below():
            below, frame = found
            page = help_page(below, getattr(below, "field_help", tuple), frame.answer)
            answer = "Read from the keys as they are bound now; below them the fields of the record at the cursor."
            self.push_screen(Overlay("F1 Help", "What do the keys do here?", answer, page, frame.messages, frame._block))

    def action_actions(self: Any) -> None:
        """Everything possible here, in words."""
        if found := self._below():
            below, frame = found
            commands = commands_of(below)
            if frame.strip.is_open:
                commands = [*_text_commands(frame), *commands]
            usable = sum(not command.reason for command in commands)
            answer = f"{usable} actions here; {len(commands) - usable} more say why not. Enter does the one at the cursor."

            def chosen(row: str) -> None:
                command = commands[int(row)]
                self.pop_screen()
                if command.reason:
                    frame.message(command.reason)
                elif callable(command.action):
                    command.action()
                else:
                    self.call_later(self.run_action, command.action, command.node)

            def full(row: str) -> str:
                return commands[int(row)].reason or f"{commands[int(row)].word}: {commands[int(row)].does}."

            listed = command_list(commands)
            question = "What can be done here?"
            self.push_screen(
                ListOverlay(chosen, full, "F2 Actions", question, answer, listed, frame.messages, frame._block)
            )

    def action_messages(self: Any) -> None:
        """All messages with their time."""
        if found := self._below():
            _, frame = found
            messages: MessageLog = frame.messages
            said = list(reversed(messages.said))

            def chosen(row: str) -> None:
                record = said[int(row)].record
                self.pop_screen()
                if record and self.session is not None:
                    self.go(record)
                else:
                    frame.refresh_message()

            def full(row: str) -> str:
                return said[int(row)].text

            number = f"{len(said)} message{'' if len(said) == 1 else 's'}"
            answer = f"{number} since the project was opened, newest first; Enter goes to the record."
            listed, question = message_list(messages), "What was said, and when?"
            self.push_screen(
                ListOverlay(chosen, full, "F3 Messages", question, answer, listed, messages, frame._block)
            )

    def action_appearance(self: Any) -> None:
        """Choose the appearance, and plain glyphs."""
        if found := self._below():
            _, frame = found

            def chosen(row: str) -> None:
                if row == PLAIN:
                    self.set_plain_glyphs(not self.plain_glyphs)
                else:
                    self.set_appearance(row)
                self.pop_screen()
                self.action_appearance()
                self.screen.main.go_to(row)

            listed = appearance_list(self.appearance, self.plain_glyphs)
            answer = "Every state is glyph and word as well; colour only repeats it."
            question = "How shall it look?"
            self.push_screen(
                ListOverlay(chosen, appearance_told, "F4 Appearance", question, answer, listed, frame.messages, frame._block)
            )


def _text_commands(frame: Frame) -> list:
    from screens.overlays import Command

    return [Command(key, word, "in the text being typed", "", deed, None) for key, word, deed in frame.strip.commands()]
