"""Widgets for the notebooks: they hold controls and call functions of the floors below."""

from .bench import Bench
from .drawing import Drawing
from .lesson import Judged, Lesson, Question
from .pad import Pad
from .pages import Pages
from .photo import Photo, open_photo
from .planning import Planning
from .player import Player, SheetWidget
from .progress import JobProgress
from .rectify import PhotoRefused
from .shapes import EditRefused, Shape

__all__ = [
    "Bench",
    "Drawing",
    "EditRefused",
    "JobProgress",
    "Judged",
    "Lesson",
    "Pad",
    "Pages",
    "Photo",
    "PhotoRefused",
    "Planning",
    "Player",
    "Question",
    "Shape",
    "SheetWidget",
    "open_photo",
]
