"""What lies under the drawing: photos as the page shows them, and what is read off them.

A bent panel can have a photo of each flat besides one of the whole sheet: each is made true by
itself, laid where its flat begins on the unrolled drawing, and seen on its flat alone.
"""

from __future__ import annotations

import os
from collections.abc import Mapping

import anywidget
import numpy as np
import shapely
import traitlets

from ...base import units as unit_text
from ...base.errors import SheetkitError
from ...base.paper_sizes import PAPERS
from ...geometry.section import Section
from ...job.job import Job
from ...sketch import photo as photos
from ...sketch import photo_scale
from ...sketch.beside import MOST_FLATS
from ...sketch.grow import Colours
from ...sketch.photo import by_its_card
from ...sketch.store import undrawn
from . import messages

WIDE_MM = 5000.0
"""Flats are shown so far along their bends: farther than any photo of them."""


class PhotoUnder(anywidget.AnyWidget):
    """Photos under a drawing: pictures and places for the page, regions grown on the one in hand.

    photo_flats : of a bent panel each flat's number and ring, mm; empty for a flat one
    photo_flat : which of them the photo in hand shows, from 1; 0: the whole sheet
    flat_photos : the photos of the others, as the page shows them
    """

    photo_bytes = traitlets.Bytes().tag(sync=True)
    photo_place = traitlets.Dict().tag(sync=True)
    photo_flats: traitlets.List[dict] = traitlets.List().tag(sync=True)
    photo_flat = traitlets.Int(0).tag(sync=True)
    flat_photos: traitlets.List[dict] = traitlets.List().tag(sync=True)
    proposal = traitlets.Dict().tag(sync=True)

    _photos: dict[int, photo_scale.Photo]
    _starts: dict[int, tuple[float, float]]
    _colours: Colours | None = None

    @property
    def photo(self) -> photo_scale.Photo | None:
        """The photo in hand under the drawing."""
        return self._photos.get(self.photo_flat)

    def _read_photos(self, job_path: str | os.PathLike | None) -> None:
        """Take the photos kept beside a job, of the whole sheet and of flats."""
        found = {} if job_path is None else {
            flat: photos.kept(job_path, flat) for flat in range(MOST_FLATS + 1)
        }  # fmt: skip
        self._photos = {flat: photo for flat, photo in found.items() if photo}

    def _keep_photos(self, job_path: str | os.PathLike) -> None:
        for flat, photo in self._photos.items():
            photos.keep(photo, job_path, flat)

    def _laid(self, photo: photo_scale.Photo | None) -> photo_scale.Photo | None:
        """Return a photo where the one in hand lies; the first of a flat where that begins."""
        before = self.photo
        if photo is None or photo.at_mm != (0.0, 0.0) or self.photo_flat == 0:
            return photo
        return photo.laid_at(*(before.at_mm if before else self._starts[self.photo_flat]))

    def _take_photo(self, photo: photo_scale.Photo | None) -> None:
        """Have a photo in hand, or none."""
        self._photos.pop(self.photo_flat, None)
        if photo is not None:
            self._photos[self.photo_flat] = photo
        self._show_photo()

    def _follow_section(self, job: Job | None, data: Mapping) -> None:
        """Offer the flats of a bent panel for photos of their own, drawn on already or not."""
        try:
            section = (job or undrawn(data)).section
        except SheetkitError:
            section = None
        self._starts = {}
        flats = []
        for number in range(1, len(section.flats) + 1 if section else 1):
            if section is None or number > MOST_FLATS:
                break
            ring, start = _flat_ring(section, number)
            self._starts[number] = start
            flats.append({"number": number, "ring": ring})
        if flats != self.photo_flats:
            self.photo_flats = flats
            if self.photo_flat > len(flats):
                self.photo_flat = 0
            self._show_photo()

    def _choose_flat(self, number: object) -> None:
        """Take the photo of another flat, or of the whole sheet (0), in hand."""
        if isinstance(number, int) and (number == 0 or number in self._starts):
            self.photo_flat = number
            self._show_photo()

    def _placed(self, content: Mapping, units: str) -> photo_scale.Photo | None:
        """Return the photo in hand laid where the page says.

        Raises SheetkitError.
        """
        x, y = (
            unit_text.parse(content.get(key, ""), "length", field=f"photo {key}", bare=units)
            for key in ("x", "y")
        )
        return self.photo and self.photo.laid_at(x, y)

    def _show_photo(self, unscaled: photo_scale.Photo | None = None) -> None:
        """Show the photos; or another one in hand, while its scale is looked for."""
        photo = unscaled or self.photo
        with self.hold_sync():  # a picture is never seen at another one's place
            self.photo_bytes = photo.shown if photo else b""
            self.photo_place = messages.photo_place(photo, looking=unscaled is not None)
            self.flat_photos = [
                {"flat": flat, "bytes": other.shown, **messages.photo_place(other)}
                for flat, other in self._photos.items()
                if flat not in (0, self.photo_flat) and flat in self._starts
            ]
        self._colours, self.proposal = None, {}

    def _searched(self, photo: photo_scale.Photo | None) -> photo_scale.Photo | None:
        """Return a photo searched for cards; meanwhile it is seen as it is."""
        if photo is None:
            return None
        self._show_photo(photo)
        try:
            return by_its_card(photo)
        except Exception:
            self._show_photo()
            raise

    def _grow(self, content: Mapping) -> None:
        """Propose the region of like colour that the page asks for; nothing once it is left."""
        if self._colours is None and self.photo:
            self._colours = Colours(self.photo)
        self.proposal = messages.proposal(content, self._colours)

    def _send_cards(self, content: Mapping) -> None:
        """Send the measuring cards as a file to print."""
        from ...paper.card_page import cards_pdf  # loads the plotting library

        paper = str(content.get("paper"))
        paper = paper if paper in PAPERS else "a4"
        told = {"type": "cards", "name": f"measuring_cards_{paper}.pdf"}
        self.send(told, buffers=[cards_pdf(paper)])


def _flat_ring(section: Section, number: int) -> tuple[list, tuple[float, float]]:
    """Return the ring of a flat on the drawing, to the middles of its bends, and where it begins."""
    middles = [bend.middle_mm for bend in section.bends]
    low = middles[number - 2] if number > 1 else section.start_mm
    high = middles[number - 1] if number <= len(middles) else section.end_mm
    turn = np.radians(section.way_deg)
    along = np.array([np.cos(turn), np.sin(turn)])
    across = np.array([-along[1], along[0]])
    corners = [
        along * at + across * off
        for at, off in ((low, -WIDE_MM), (high, -WIDE_MM), (high, WIDE_MM), (low, WIDE_MM))
    ]
    ends = (along * low, along * high)
    x, y = np.minimum(*ends).tolist()
    return shapely.get_coordinates(shapely.Polygon(corners)).round(3).tolist(), (x, y)
