"""What is said of a seam's pull: an index to compare ways by, and where the theory stops."""

from __future__ import annotations

from ..base import amounts
from ..base.showing import Listing, Range
from ..repair.pull import Pull, row, times

NO_ORDER = (
    "No order of the stitches changes this force: it follows from the heat put into each metre. "
    "Orders and waits are for the heat."
)
STOPS = (
    "An index to compare ways by, not a verdict: the flat sheet of the books, just as it begins to "
    "buckle. Not in it: dents that are there already, a crowned panel (stiffer), what the rest of "
    "the body holds beyond the edges said, how far a buckle goes, hammering between stitches. It "
    "doesn't say that a panel stays flat."
)
UNTRIED = (
    "No measured buckling of welded 0.8 to 2 mm sheet could be found to hold the index against; "
    "the printed constants are of thicker plate."
)
ASSUMED = {
    "panel.outline": "No outline is drawn: the sheet is taken to go on {beyond} beyond the cut, "
    "and to be held there.",
    "panel.edges": "What holds the panel's edges is not said: likely is welded to the body, the "
    "high end merely flanged. Set “Panel's edges” to narrow the range.",
}


def spoken(figure: Range) -> str:
    """Return a range in two figures, such as "5.4 (0.61 to 19)"."""
    likely, low, high = (f"{value:.2g}" for value in (figure.likely, figure.low, figure.high))
    return f"{likely} ({low} to {high})" if low != high else likely


def length(figure: Range, display: str, kind: str = "thickness") -> str:
    """Return a range of lengths in the units asked for, with its unit."""
    digits = (2 if kind == "thickness" else 0) + (display == "in")
    shown = [
        amounts.show(value, kind, units=display, digits=digits)
        for value in (figure.likely, figure.low, figure.high)
    ]
    likely, low, high = (text.rpartition(" ")[0] for text in shown)
    unit = shown[0].rpartition(" ")[2]
    return f"{likely} ({low} to {high}) {unit}" if low != high else f"{likely} {unit}"


def hammering(pull: Pull, display: str) -> str:
    """Return what hammering back asks for, and whether a dolly gets there."""
    reach = amounts.show(pull.strip_mm.likely / 2, "length", units=display)
    per = "mm a metre" if display == "mm" else "in a foot"
    share = 1.0 if display == "mm" else 12 / 1000
    stretch = pull.stretch_mm_per_m
    gained = spoken(Range(stretch.low * share, stretch.likely * share, stretch.high * share))
    words = f"the bead must gain {gained} {per}; the strip that pulls goes {reach} to each side"
    if pull.back_reached:
        return f"{words}. Hammer on dolly along the bead, and stop when the sheet lies down."
    return f"{words}. The back is closed: no dolly gets there, so the pull stays."


def pull_listing(pull: Pull, display: str = "mm") -> Listing:
    """Return the figures of a pull with what each rests on."""
    force = row("force", "per_heat_input")
    rows = [
        ("index: pull over the pull that buckles the flat sheet", spoken(pull.index),
         "derived; plate theory, printed constants"),
        ("pull along the seam", f"{spoken(pull.along_kn)} kN", force.origin),
        ("strip stretched to yield", length(pull.strip_mm, display, "length"), row("yield_strength").origin),
        *((f"draws together, by {form}", length(found, display), _origin(form))
          for form, found in pull.across_mm),
    ]  # fmt: skip
    if pull.gap_mm is not None and pull.gap_left_mm is not None:
        gap = amounts.show(pull.gap_mm, "thickness", units=display)
        left = length(pull.gap_left_mm, display)
        rows.append((f"left of a gap of {gap} after tacking", left, "derived from these forms"))
    rows.append(("hammering back", hammering(pull, display), row("hammered_width").origin))
    return Listing(["figure", "amount", "rests on"], rows)


def _origin(form: str) -> str:
    name = "across_by_section_and_gap" if "d" in form.split() else "across_by_section"
    if "alpha" in form:
        return row("expansion", "per_degree").origin
    return row(name, "share").origin


def assumed(pull: Pull, display: str = "mm") -> list[str]:
    """Return what the job left out of what the index rests on."""
    beyond = amounts.show(row("sheet_beyond_cut").value, "length", units=display)
    return [ASSUMED[name].format(beyond=beyond) for name in pull.assumed]


def against(pull: Pull, first: Pull) -> str:
    """Return how a way compares with the first design, such as "0.62 (0.55 to 0.7) times"."""
    by = times(pull, first)
    if max(abs(end - 1) for end in (by.low, by.likely, by.high)) < 0.02:
        return "about the same as the first design"
    which = "less" if by.high <= 1.0 else "more" if by.low >= 1.0 else "which pulls less is open"
    return f"{spoken(by)} times the first design: {which}"


def reasons(pull: Pull, first: Pull, display: str = "mm") -> list[str]:
    """Return what differs from the first design and moves the index, the strongest first."""
    here, there = pull.piece, first.piece

    def size(value: float, kind: str = "length") -> str:
        return amounts.show(value, kind, units=display)

    def heat(value: float) -> str:
        return amounts.show(value / 1000, "energy", units=display)

    seam, was = (sum(one.length for one in piece.seams) for piece in (here, there))
    changes = [
        (pull.heat_j_mm / first.heat_j_mm, "heat input {} instead of {}",
         heat(pull.heat_j_mm), heat(first.heat_j_mm)),
        ((there.thickness_mm / here.thickness_mm) ** 3, "sheet {} instead of {}",
         size(here.thickness_mm, "thickness"), size(there.thickness_mm, "thickness")),
        (pull.flat_mm / first.flat_mm, "the widest flat in a patch {} instead of {}",
         size(pull.flat_mm), size(first.flat_mm)),
        (seam / was, "seam {} instead of {}", size(seam), size(was)),
    ]  # fmt: skip
    moved = [one for one in changes if abs(one[0] - 1) > 0.02]
    moved.sort(key=lambda one: -abs(one[0] - 1))
    found = [words.format(new, old) for _, words, new, old in moved]
    if here.edges != there.edges:
        found.append(f"edges {here.edges} instead of {there.edges}")
    if len(here.stiff) != len(there.stiff):
        found.append(f"{len(here.stiff)} lines that stay straight instead of {len(there.stiff)}")
    if len(here.seams) != len(there.seams):
        found.append(f"{len(here.seams)} seams instead of {len(there.seams)}")
    return found


def pull_lines(pull: Pull, display: str = "mm") -> list[str]:
    """Return a pull in sentences, with what is assumed and where it stops."""
    lines = [
        f"Index {spoken(pull.index)}; along the seam {spoken(pull.along_kn)} kN.",
        f"Hammering back: {hammering(pull, display)}",
    ]
    if pull.gap_left_mm is not None and pull.gap_mm is not None:
        gap = amounts.show(pull.gap_mm, "thickness", units=display)
        lines.append(f"Gap: set {gap}; tacking leaves {length(pull.gap_left_mm, display)} of it.")
    return [*lines, *assumed(pull, display), NO_ORDER, STOPS, UNTRIED]
