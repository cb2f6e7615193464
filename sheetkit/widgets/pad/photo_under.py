"""What lies under the drawing: the photo as the page shows it, and what is read off it."""

from __future__ import annotations

from collections.abc import Mapping

import anywidget
import traitlets

from ...base.paper_sizes import PAPERS
from ...sketch import photo_scale
from ...sketch.grow import Colours
from ...sketch.photo import by_its_card
from . import messages


class PhotoUnder(anywidget.AnyWidget):
    """A photo under a drawing: its picture and place for the page, regions grown on it."""

    photo_bytes = traitlets.Bytes().tag(sync=True)
    photo_place = traitlets.Dict().tag(sync=True)
    proposal = traitlets.Dict().tag(sync=True)

    _photo: photo_scale.Photo | None = None
    _colours: Colours | None = None

    @property
    def photo(self) -> photo_scale.Photo | None:
        """The photo under the drawing."""
        return self._photo

    def _show_photo(self, unscaled: photo_scale.Photo | None = None) -> None:
        """Show the photo; or another one, while its scale is looked for."""
        photo = unscaled or self._photo
        with self.hold_sync():  # a picture is never seen at another one's place
            self.photo_bytes = photo.shown if photo else b""
            self.photo_place = messages.photo_place(photo, looking=unscaled is not None)
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
        if self._colours is None and self._photo:
            self._colours = Colours(self._photo)
        self.proposal = messages.proposal(content, self._colours)

    def _send_cards(self, content: Mapping) -> None:
        """Send the measuring cards as a file to print."""
        from ...paper.card_page import cards_pdf  # loads the plotting library

        paper = str(content.get("paper"))
        paper = paper if paper in PAPERS else "a4"
        told = {"type": "cards", "name": f"measuring_cards_{paper}.pdf"}
        self.send(told, buffers=[cards_pdf(paper)])
