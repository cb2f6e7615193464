"""Widgets for the notebooks: they hold controls and call functions of the floors below."""

from .bench import Bench
from .pages import Pages

__all__ = ["Bench", "Pages"]
