from pathlib import Path

import pytest

import sheetkit


@pytest.fixture
def data_folder() -> Path:
    """The demo jobs beside the package."""
    return Path(sheetkit.job.__file__).resolve().parents[1] / "data"
