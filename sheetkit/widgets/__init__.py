"""Widgets for the notebooks: they hold controls and call functions of the floors below."""

from .bench import Bench
from .drawing import Drawing
from .pad import Pad
from .photo import Photo, open_photo
from .player import Player, SheetWidget
from .rectify import PhotoRefused
from .shapes import EditRefused, Shape

__all__ = ["Bench", "Drawing", "EditRefused", "Pad", "Photo", "PhotoRefused", "Player", "Shape", "SheetWidget", "open_photo"]
