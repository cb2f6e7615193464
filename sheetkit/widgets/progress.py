"""A progress bar for many jobs: `estimate_many(jobs, progress=JobProgress())`."""

from __future__ import annotations

import ipywidgets as ipw


class JobProgress(ipw.HBox):
    """A bar and its count; called with (done, total)."""

    def __init__(self):
        self.bar = ipw.IntProgress(value=0, min=0, max=1, layout=ipw.Layout(width="300px"))
        self.count = ipw.Label("no jobs yet")
        super().__init__([self.bar, self.count])

    def __call__(self, done: int, total: int) -> None:
        self.bar.max, self.bar.value = max(total, 1), done
        self.count.value = f"{done} of {total} jobs"

    def __repr__(self) -> str:
        return f"JobProgress({self.count.value!r})"
