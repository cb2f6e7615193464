"""The command line's commands: estimate, sequence, sheets, check, demo."""

from __future__ import annotations

import argparse
import dataclasses
import json
from collections.abc import Iterable, Sequence
from typing import Any

from .base import terminal
from .base.errors import SheetkitError, plain
from .base.folder import check_folder
from .job.job import load
from .repair.estimate import Estimate, estimate
from .repair.plan import plan
from .sequence.plan import SequencePlan
from .sequence.shop_heat import ShopHeat
from .views.json_objects import estimate_object, sequence_object
from .views.lines import estimate_lines, first_look_words, sequence_lines
from .views.place_words import hot_lines
from .views.shop_words import UNVALIDATED
from .workshop.demo import lay_out
from .workshop.heat_log import own_heat

Told = tuple[dict[str, Any], Iterable[str]]
"""What a command prints: as one JSON object, as lines."""


class _Parser(argparse.ArgumentParser):
    """A parser whose help is printed like any result: argparse itself says nothing of a full disk."""

    def print_help(self, file: Any = None) -> None:
        terminal.put(self.format_help().rstrip("\n"))


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="sheetkit",
        description="Plan a welded repair patch: cut line, patch, seam, wire, gas, order, cost.",
    )
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for name, help_text, run in (
        ("estimate", "patch, seam, wire, gas, hours, cost and cautions", _estimate),
        ("sequence", "the order of tacks and stitches, with waits", _sequence),
        (
            "sheets",
            "1:1 templates, work sheet, quote, tables and measuring cards, written into a folder",
            _sheets,
        ),
        ("check", "say whether the job file is sound", _check),
        ("demo", "demo jobs, a photo, a job book and notebooks, written into a folder", _demo),
    ):
        told = UNVALIDATED if name in ("sequence", "sheets") else None
        command = commands.add_parser(name, help=help_text, description=help_text, epilog=told)
        command.set_defaults(run=run)
        command.add_argument("--json", action="store_true", help="print one JSON object")
        if name in ("sheets", "demo"):
            command.add_argument(
                "--overwrite", action="store_true", help="replace files that are there already"
            )
        if name == "demo":
            command.add_argument("folder", metavar="DIR", help="folder to write into")
            continue
        command.add_argument("job", metavar="JOB", help="a job file, such as data/trunk_floor.json")
        command.add_argument(
            "--units",
            choices=("mm", "in"),
            default=None,
            help="units of the printed text (default: those of the drawing)",
        )
        if name == "estimate":
            command.add_argument(
                "--explain",
                metavar="FIGURE",
                help="print how one figure came about, in the unit its name ends in, such as wire_g",
            )
        if name in ("sequence", "sheets"):
            command.add_argument(
                "--own",
                metavar="LOG",
                default=None,
                help="plan with your own heat and losses, from a heat log or the folder it is in",
            )
        if name == "sheets":
            command.add_argument("--out", metavar="DIR", required=True, help="folder to write into")
            command.add_argument("--paper", choices=("a4", "letter"), default="a4")
            command.add_argument(
                "--front",
                choices=("left", "right", "top", "bottom"),
                default=None,
                help="where the vehicle's front lies in the drawing",
            )
            command.add_argument(
                "--grid",
                action="store_true",
                help="print the drawing's coordinates on the patterns every 50 mm (2 in)",
            )
            command.add_argument(
                "--date",
                metavar="YYYY-MM-DD",
                default=None,
                help="the day the offer is made (default: today); a reprint keeps the first day's",
            )
    return parser


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; return 0, or 1 when something is refused.  argparse exits 2 on bad usage."""
    try:
        terminal.prepare()
        arguments = _parser().parse_args(argv)
        output, lines = arguments.run(arguments)
        # letters beyond ASCII go out as \\u codes: the same text on every machine's encoding
        terminal.put(json.dumps(output, allow_nan=False) if arguments.json else "\n".join(lines))
    except SheetkitError as error:
        for fault in error.faults:
            terminal.complain(fault)
        return 1
    return 0


def _worked_out(arguments: argparse.Namespace) -> tuple[Estimate, str]:
    """Return the job's estimate, and the unit its text is printed in."""
    job = load(arguments.job)
    return estimate(job), arguments.units or job.drawn_in


def _own(arguments: argparse.Namespace) -> ShopHeat | None:
    """Return the shop's own heat and losses, where they are asked for."""
    return None if arguments.own is None else own_heat(arguments.own)


def _planned(result: Estimate, own: ShopHeat | None) -> SequencePlan:
    """Return the plan; a terminal is told how far it is."""
    progress = terminal.Progress()
    try:
        return plan(
            result,
            own=own,
            progress=progress,
            first_look=lambda look: progress.say(f"{first_look_words(look)}; the plan follows"),
        )
    finally:
        progress.clear()


def _estimate(arguments: argparse.Namespace) -> Told:
    result, display = _worked_out(arguments)
    if arguments.explain is not None:
        told = result.explain(arguments.explain)
        return dataclasses.asdict(told), str(told).splitlines()
    return estimate_object(result, display=display), estimate_lines(result, display=display)


def _sequence(arguments: argparse.Namespace) -> Told:
    result, display = _worked_out(arguments)
    order = _planned(result, _own(arguments))
    return sequence_object(result, order), sequence_lines(result, order, display=display)


def _sheets(arguments: argparse.Namespace) -> Told:
    from .paper.job_photos import photos_beside
    from .paper.quote import draft_words  # the plotting modules load only here
    from .paper.write import FILES, write_sheets

    result, display = _worked_out(arguments)
    if arguments.date is not None:
        result = estimate(result.job.changed(shop__date=arguments.date))
    photos = photos_beside(arguments.job)
    own = _own(arguments)
    check_folder(arguments.out, FILES, overwrite=arguments.overwrite)  # before the long work
    order = _planned(result, own)
    written = write_sheets(
        result,
        order,
        arguments.out,
        paper=arguments.paper,
        display=display,
        front=arguments.front,
        photos=photos,
        grid=arguments.grid,
        overwrite=arguments.overwrite,
    )
    for line in hot_lines(order, display=display):  # stdout holds the files' names alone
        terminal.complain(line)
    for line in photos.refused:
        terminal.complain(line)
    for line in draft_words(result):
        terminal.complain(f"quote: {line}")
    return _files(written)


def _check(arguments: argparse.Namespace) -> Told:
    result, _ = _worked_out(arguments)
    cuts = len(result.patches)
    return (
        {"job": arguments.job, "sound": True, "patches": cuts},
        [f"{plain(arguments.job)}: a sound job; cuts: {cuts}"],
    )


def _demo(arguments: argparse.Namespace) -> Told:
    return _files(lay_out(arguments.folder, overwrite=arguments.overwrite))


def _files(written: Iterable[object]) -> Told:
    names = [str(path) for path in written]
    return {"files": names}, [plain(name) for name in names]
