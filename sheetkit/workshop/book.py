"""The job book: a folder of job files as one table, its log, and what the log teaches."""

from __future__ import annotations

import math
import os
import unicodedata
from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path

from ..base.errors import Fault, SheetkitError, unquoted
from ..base.files import alike
from ..base.showing import Column, Listing, Shown, counted
from ..base.tables import limit
from ..formulas.gas import content_l
from ..formulas.hours import STEPS
from ..formulas.settings import gas_group
from ..job.file import ENDING, is_job
from ..job.job import Job, load
from ..repair.estimate import Estimate, estimate
from . import log, many
from .heat_log import HeatLog, read_heat_log
from .log import Entry, Log
from .log_file import SetAside
from .own_factors import LEARNED, with_own

LOG_NAME = "log.csv"
FROM_PHONES = "phone_*.csv"
"""What bench pages on phones saved; put beside the jobs, it is read with the log."""
LONGEST_TITLE = 200
ABSURD = 20.0
"""A figure this many times the book's, or this many times less, is set aside (our own choice)."""
_WORDS = STEPS | {
    "wire_bought_g": "wire",
    "gas_real_l": "gas",
    "cutting_discs": "cutting discs",
    "flap_discs": "flap discs",
}


@dataclass(frozen=True, repr=False)
class Book(Shown):
    """A folder of job files with its log beside them; made new to see what changed."""

    folder: Path

    @classmethod
    def open(cls, folder: str | os.PathLike) -> Book:
        """Return the book in a folder; refuse what is no folder."""
        path = Path(folder)
        if not path.is_dir():
            raise SheetkitError(
                Fault(
                    "book", path.name, "must be a folder of job files", "make it, or check the name"
                )
            )
        return cls(path)

    def __repr__(self) -> str:
        return (
            f"<job book {unquoted(self.folder.name)}: {counted(len(self.files), 'job')}, "
            f"{counted(len(self._read.entries), 'entry', 'entries')} in its log, "
            f"{counted(len(self._read.set_aside), 'row')} set aside>"
        )

    @cached_property
    def files(self) -> tuple[Path, ...]:
        """The job files, by name; not what a drawing pad keeps beside them."""
        return tuple(sorted(path for path in self.folder.glob(ENDING) if is_job(path)))

    def file(self, name: str) -> Path | None:
        """Return the job file that the log calls `name`, however the system spells it.

        macOS takes letters with their accents apart; there and on Windows
        capitals don't count.  A phone knows no file: its `name` is the job's title.
        """
        for spelled in (_plain, _composed, alike):
            found = [path for path in self.files if spelled(path.name) == spelled(name)]
            if len(found) == 1:
                return found[0]
        titled = [path for path, title in self._titles.items() if title and title == _letters(name)]
        return titled[0] if len(titled) == 1 else None

    @cached_property
    def _titles(self) -> dict[Path, str]:
        found = {}
        for path in self.files:
            try:
                found[path] = _letters(load(path).title)
            except SheetkitError:
                continue
        return found

    def table(
        self,
        executor: Executor | None = None,
        *,
        progress: Callable[[int, int], None] | bool = False,
    ):
        """Return all jobs as one pandas DataFrame (see `many.estimate_many`)."""
        return many.estimate_many(self.files, executor, progress=progress)

    def listing(self, *, display: str = "mm") -> Listing:
        """Return a row a job: its joint, seam, hours, gas, wire and cost, or its fault."""
        return many.listing(self.table(), display)

    def add(self, entry: Entry) -> None:
        """Log what a job took (see `log.add`)."""
        log.add(self.folder / LOG_NAME, entry)

    @cached_property
    def _read(self) -> Log:
        """The log, then what phones saved beside it, the newest first: an entry counts once."""
        phones = sorted(
            self.folder.glob(FROM_PHONES), key=lambda path: path.stat().st_mtime, reverse=True
        )
        logs = [log.read_log(path) for path in (self.folder / LOG_NAME, *phones)]
        entries: dict[str, Entry] = {}
        for entry in (entry for one in logs for entry in one.entries):
            entries.setdefault(entry.entry, entry)
        return Log(tuple(entries.values()), tuple(row for one in logs for row in one.set_aside))

    @cached_property
    def _estimates(self) -> dict[str, Estimate]:
        """The estimates of the jobs the log names, as far as they can be worked out."""
        found = {}
        for name in {entry.job for entry in self._read.entries}:
            path = self.file(name)
            if path is not None:
                try:
                    found[name] = self.estimate(path)
                except SheetkitError:
                    continue
        return found

    @cached_property
    def _judged(self) -> tuple[list[dict[str, float]], tuple[SetAside, ...]]:
        """Of each entry, figure -> ratio to the book's value; and what was set aside beside the log's."""
        jobs, aside = [], []
        for entry in self._read.entries:
            if entry.job not in self._estimates:
                fault = Fault("job", f'"{entry.job}"', "must be a sound job file in the book's folder",
                              "put the file back, or mend it")  # fmt: skip
                aside.append(SetAside(0, f"entry {entry.entry}, {entry.date}", (fault,)))
                continue
            ratios, faults = judged(entry, self._estimates[entry.job])
            jobs.append(ratios)
            aside += [SetAside(0, f"entry {entry.entry}, {entry.date}", (one,)) for one in faults]
        return jobs, tuple(aside)

    @property
    def entries(self) -> tuple[Entry, ...]:
        """The log's sound entries whose jobs are in the book."""
        return tuple(entry for entry in self._read.entries if entry.job in self._estimates)

    def estimate(self, path: Path) -> Estimate:
        """Return the estimate of a job file by the book, worked out once for each version of it.

        Raises SheetkitError if it can't be read or worked out.
        """
        try:
            stat = path.stat()
        except OSError as error:
            why = f"can't be read ({error.strerror or error})"
            raise SheetkitError(Fault("job", path.name, why, "put the file back")) from None
        return _estimated(path, stat.st_mtime_ns, stat.st_size)

    def logged(self, path: Path) -> tuple[Entry, ...]:
        """Return the log's sound entries of one job, as they stand in it."""
        return tuple(entry for entry in self._read.entries if self.file(entry.job) == path)

    @property
    def set_aside(self) -> tuple[SetAside, ...]:
        """Every row or figure of the log that was not used, with its faults."""
        return self._read.set_aside + self._judged[1]

    @property
    def ratios(self) -> dict[str, list[float]]:
        """Figure -> what logged jobs took over the book's value."""
        return {name: [job[name] for job in self._judged[0] if name in job] for name in LEARNED}

    def own(self, result: Estimate) -> Estimate:
        """Return an estimate by your own factors, learnt from the log."""
        jobs = [{step: job[step] for step in STEPS if step in job} for job in self._judged[0]]
        return with_own(result, self.ratios, jobs)

    def factors(self, result: Estimate) -> Listing:
        """Return a row a step or consumable: the book's value beside your own for this job.

        "your factor" is your own over the book's; "logged" the mean of what jobs took over
        what the book said of them, and "jobs" how many these are.
        """
        mine = self.own(result)
        rows: list[tuple] = []
        for name in LEARNED:
            if name not in mine.values or not result.values.get(name, 0.0) > 0:
                continue
            book, own, seen = result.range(name), mine.range(name), self.ratios[name]
            # the log is against the book's value, what is shown against its likely
            usual = float(result.values[name]) / book.likely
            logged = usual * math.exp(sum(map(math.log, seen)) / len(seen)) if seen else None
            factor = own.likely / book.likely
            rows.append((_WORDS[name], book.unit, book, own, factor, logged, len(seen)))
        return Listing(
            ["what", "unit", Column("by the book", "", None), Column("your own", "", None),
             Column("your factor", "", 2), Column("logged", "", 2), "jobs"],
            rows,
        )  # fmt: skip

    @cached_property
    def heat(self) -> HeatLog:
        """What thermometer and ruler taught of the shop's heat and losses, from heat.csv."""
        return read_heat_log(self.folder)

    def set_aside_listing(self) -> Listing:
        """Return a row for each row or figure of the log that was not used, with its faults."""
        rows = [
            (aside.where, str(fault))
            for aside in (*self.set_aside, *self.heat.set_aside)
            for fault in aside.faults
        ]
        return Listing(["where", "why it is not used"], rows)


@lru_cache(maxsize=256)
def _estimated(path: Path, _written_ns: int, _size: int) -> Estimate:
    return estimate(load(path))


def judged(entry: Entry, result: Estimate) -> tuple[dict[str, float], list[Fault]]:
    """Return figure -> what an entry took over the book's value; and why some teach nothing."""
    figures, faults = _figures(entry, result.job)
    ratios = {}
    for name, took in figures.items():
        book = float(result.values.get(name, 0.0))
        if took <= 0 or book <= 0:
            why = "must be more than 0" if took <= 0 else "the book has none for this job"
            faults.append(Fault(name, f"{took:.3g}", why, "leave it empty, or correct it"))
        elif not 1 / ABSURD <= took / (likely := result.range(name).likely) <= ABSURD:
            faults.append(
                Fault(name, f"{took:.3g}, {took / likely:.3g} times the book's {likely:.3g}",
                      f"must be within {ABSURD:g} times of it", "check the unit and the job")
            )  # fmt: skip
        else:
            ratios[name] = took / book
    return ratios, faults


def _plain(name: str) -> str:
    return name


def _composed(name: str) -> str:
    return unicodedata.normalize("NFC", name)


def _letters(title: str) -> str:
    """Return what tells titles apart on whatever device they were written: letters and digits."""
    plain = " ".join(_composed(title).split())[:LONGEST_TITLE]
    return "".join(sign for sign in plain.casefold() if sign.isalnum())


def _figures(entry: Entry, job: Job) -> tuple[dict[str, float], list[Fault]]:
    """Return what an entry says of the chain's figures, and why a gauge says nothing of the gas."""
    found = {name: entry.measured[name] for name in STEPS if name in entry.measured}
    for name, figure in (("wire_g", "wire_bought_g"), ("cutting_discs",) * 2, ("flap_discs",) * 2):
        if name in entry.measured:
            found[figure] = entry.measured[name]
    gas, faults = _gas_by_gauge(entry, job)
    return found | gas, faults


def _gas_by_gauge(entry: Entry, job: Job) -> tuple[dict[str, float], list[Fault]]:
    """Return the gas a job took by its two readings of the gauge, litres; or why they can't tell."""
    read = {end: entry.measured.get(f"pressure_{end}_bar") for end in ("before", "after")}
    known = {end: pressure for end, pressure in read.items() if pressure is not None}
    if not known:
        return {}, []
    shown = " and ".join(f"{pressure:g} bar {end}" for end, pressure in known.items())
    group = gas_group(job.weld.process, job.weld.gas)
    if group not in ("I1", "M20", "M21"):
        what = "no gas is used" if group == "none" else "CO2 is liquid, its gauge tells nothing"
        return {}, [Fault("pressure_after_bar", shown, what, "weigh the bottle instead")]
    if len(known) < 2:
        return {}, [Fault("pressure_after_bar", shown, "must be read before and after", "log both")]
    least = limit("gauge_least_drop").value
    if known["before"] - known["after"] < least:
        return {}, [
            Fault("pressure_after_bar", shown, f"must be {least:g} bar or more below the first reading",
                  "a gauge can't tell so little: log several jobs' gas as one, or weigh the bottle")
        ]  # fmt: skip
    volume = job.shop.cylinder.water_volume
    before, after = (
        content_l(volume, min(pressure, 298.0), entry.measured.get(f"bottle_{end}_c", 15.0), gas=group)
        for end, pressure in known.items()
    )  # fmt: skip
    return {"gas_real_l": before - after}, []
