"""Widgets for the notebooks: they hold controls and call functions of the floors below."""

from ..lesson.tries import Judged
from ..sketch.drawing import Drawing
from ..sketch.photo import open_photo
from ..sketch.photo_scale import Photo
from ..sketch.rectify import PhotoRefused
from ..sketch.shape_kinds import EditRefused, Shape
from .bench import Bench
from .book.job_book import JobBook
from .classroom.class_page import ClassPage
from .classroom.coupon_log import CouponLog
from .classroom.pupil import Pupil
from .classroom.reveal import Reveal
from .live import Live
from .order import Order
from .pad.pad import Pad
from .planning import Planning
from .plans import Plans
from .player.lesson import Lesson
from .player.player import Player
from .player.sheet_widget import SheetWidget
from .player.which_next import WhichNext
from .print_pages import Pages
from .progress import JobProgress
from .question import Question
from .visit.visit import Visit

__all__ = [
    "Bench",
    "ClassPage",
    "CouponLog",
    "Drawing",
    "EditRefused",
    "JobBook",
    "JobProgress",
    "Judged",
    "Lesson",
    "Live",
    "Order",
    "Pad",
    "Pages",
    "Photo",
    "PhotoRefused",
    "Planning",
    "Plans",
    "Player",
    "Pupil",
    "Question",
    "Reveal",
    "Shape",
    "SheetWidget",
    "Visit",
    "WhichNext",
    "open_photo",
]
