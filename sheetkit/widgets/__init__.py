"""Widgets for the notebooks: they hold controls and call functions of the floors below."""

from .bench import Bench
from .progress import JobProgress

__all__ = ["Bench", "JobProgress"]
