"""What the lesson's board says of an order, a guess, and an order beside the planner's."""

from __future__ import annotations

from collections.abc import Callable

from ...lesson.board import Board
from ...lesson.next_place import Heat, Moment
from ...lesson.tries import Judged
from ...views.words import minutes

ASKED = "Which of the places left stays coolest for the next 20 seconds? Click it."
WHY_NOT = {
    Heat.HOT_NOW: "It is too hot there already.",
    Heat.ON_ITS_WAY: "It is cool there now, but heat from nearby is on its way.",
    Heat.COOL: "That would do, but there is a cooler place.",
}
Degrees = Callable[[float], str]
"""Gives deg C in the units shown."""


def on_order(mine: Judged, before: Judged | None) -> list[str]:
    """Say how an order did beside the best before it, and ask what would better it."""
    total_s, longest = mine.plan.total_s, mine.longest
    words = [f"{minutes(total_s)}, of it {minutes(mine.waiting_s)} waiting."]
    if before is not None:
        gain_s = before.plan.total_s - total_s
        words.append(
            f"Your best so far, by {minutes(gain_s)}." if gain_s > 0.5
            else "As quick as your best." if gain_s > -0.5
            else f"Your best is {minutes(before.plan.total_s)}."
        )  # fmt: skip
    if not longest.mistake:
        return [*words, "You hardly wait at all."]
    where = (
        "all the places left are warm from the stitches round them" if longest.near is None
        else f"it lies beside turn {longest.near + 1}, which had ended "
        f"{max(longest.ago_s, 0):.0f} s before you got there"
    )  # fmt: skip
    return [
        *words,
        f"You wait longest, {minutes(longest.wait_s)}, before turn {longest.turn + 1}: {where}. "
        "Which place would have been cooler then?",
    ]


def beside_the_planner(board: Board, mine: Judged) -> str:
    """Say how an order does beside the planner's, without promising what no order can do."""
    own, round_s = mine.plan.total_s, board.once_round().plan.total_s
    best = board.judged(board.planner).plan.total_s
    if own <= best * 1.001:
        return "As quick as the planner's, or quicker."
    if own <= best * 1.25:
        return "Close to the planner's."
    if own < round_s * 0.98:
        return f"{round_s / own:.1f} times as quick as once round; the planner saves more."
    return "No quicker than once round: each stitch waits for the one beside it."


def on_guess(moment: Moment, stitch: int, degrees: Degrees) -> tuple[str, str]:
    """Return whether a guess is "right" or "wrong", and say what it is worth."""
    place = moment.place(stitch)
    warm = degrees(place.ahead_c)
    if stitch in moment.coolest:
        return "right", f"Yes: no more than {warm} there. Taken as turn {len(moment.done) + 1}."
    why = WHY_NOT[moment.heat(stitch)]
    return "wrong", f"No: it gets {warm} there. {why} Click another."


def told(moment: Moment, degrees: Degrees) -> str:
    """Tell which place stays coolest."""
    warm = degrees(moment.places[0].ahead_c)
    return f"The ringed place stays coolest: no more than {warm} within the next 20 seconds."
