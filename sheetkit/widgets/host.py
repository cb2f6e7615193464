"""What serves the page: a notebook with cells, or Voila, which shows no code."""

from __future__ import annotations

import os
from collections.abc import Mapping


def without_code(environment: Mapping[str, str] = os.environ) -> bool:
    """Say whether this kernel serves a page without code.

    Voila tells each of its kernels so in the environment, those it keeps warm too.
    """
    software = environment.get("SERVER_SOFTWARE", "").lower()
    return software.startswith("voila/") or "VOILA_BASE_URL" in environment


def again(environment: Mapping[str, str] = os.environ) -> str:
    """Return what to do when the kernel no longer answers, such as "run the cell again"."""
    return "reload the page" if without_code(environment) else "run the cell again"
