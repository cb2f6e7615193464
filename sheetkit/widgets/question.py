"""A question with answers to choose from, judged at once."""

from __future__ import annotations

from html import escape

import ipywidgets as ipw
import traitlets


class Question(ipw.VBox):
    """A question with radio buttons; the answer is checked as soon as one is chosen.

    Parameters
    ----------
    text : what is asked
    answers : answer -> what to say about it
    right : the right answer, one of `answers`
    """

    chosen = traitlets.Unicode("")

    def __init__(self, text: str, answers: dict[str, str], *, right: str):
        if right not in answers:
            raise KeyError(right)
        self.text, self.answers, self.right = text, dict(answers), right
        self.buttons = ipw.RadioButtons(
            options=list(answers), value=None, layout=ipw.Layout(width="auto")
        )
        self.feedback = ipw.HTML()
        self.buttons.observe(self._answered, "value")
        super().__init__([ipw.HTML(f"<b>{escape(text)}</b>"), self.buttons, self.feedback])
        self.add_class("sk-touch")

    def __repr__(self) -> str:
        return f"Question({self.text!r})"

    def _answered(self, change) -> None:
        self.chosen = change["new"] or ""
        if not self.chosen:
            self.feedback.value = ""
            return
        mark = "✓ Right." if self.chosen == self.right else "✗ Not so."
        self.feedback.value = (
            f'<div role="status"><b>{mark}</b> {escape(self.answers[self.chosen])}</div>'
        )
