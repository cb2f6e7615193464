"""The command line: estimate, sequence, sheets, check."""

from __future__ import annotations

import argparse
import dataclasses
import json
import os
import sys
from collections.abc import Sequence

from .base.errors import SheetkitError, plain
from .job.job import load
from .repair.estimate import estimate
from .repair.plan import plan
from .views.json_objects import estimate_object, sequence_object
from .views.lines import estimate_lines, sequence_lines


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m sheetkit",
        description="Plan a welded repair patch: cut line, patch, seam, wire, gas, order, cost.",
    )
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for name, help_text in (
        ("estimate", "patch, seam, wire, gas, hours, cost and cautions"),
        ("sequence", "the order of tacks and stitches, with waits"),
        ("sheets", "1:1 templates, work sheet, quote and tables, written into a folder"),
        ("check", "say whether the job file is sound"),
    ):
        command = commands.add_parser(name, help=help_text, description=help_text)
        command.add_argument("job", metavar="JOB", help="a job file, such as data/trunk_floor.json")
        command.add_argument("--json", action="store_true", help="print one JSON object")
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
                "--overwrite", action="store_true", help="replace files that are there already"
            )
    return parser


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; return 0, or 1 when the job is refused (argparse exits 2 on bad usage)."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a terminal that can't show a letter shows its code
            stream.reconfigure(errors="backslashreplace")
    try:
        return _run(_parser().parse_args(argv))
    except BrokenPipeError:  # the reader, such as a pager, has seen enough
        sys.stdout = open(os.devnull, "w")  # noqa: SIM115 (closed with the process)
        return 0


def _run(arguments: argparse.Namespace) -> int:
    try:
        job = load(arguments.job)
        display = arguments.units or job.drawn_in
        result = estimate(job)
        if arguments.command == "estimate" and arguments.explain is not None:
            told = result.explain(arguments.explain)
            output, lines = dataclasses.asdict(told), str(told).splitlines()
        elif arguments.command == "estimate":
            output, lines = (
                estimate_object(result, display=display),
                estimate_lines(result, display=display),
            )
        elif arguments.command == "sequence":
            order = plan(result)
            output, lines = (
                sequence_object(result, order),
                sequence_lines(result, order, display=display),
            )
        elif arguments.command == "sheets":
            from .paper.write import write_sheets  # the plotting modules load only here

            written = write_sheets(
                result,
                plan(result),
                arguments.out,
                paper=arguments.paper,
                display=display,
                front=arguments.front,
                overwrite=arguments.overwrite,
            )
            lines = [str(path) for path in written]
            output = {"files": lines}
        else:
            output = {"job": arguments.job, "sound": True, "patches": len(result.patches)}
            lines = [f"{plain(arguments.job)}: a sound job; cuts: {len(result.patches)}"]
    except SheetkitError as error:
        for fault in error.faults:
            print(fault, file=sys.stderr)
        return 1
    if arguments.json:
        print(json.dumps(output, ensure_ascii=False, allow_nan=False))
    else:
        print("\n".join(lines))
    sys.stdout.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main())
