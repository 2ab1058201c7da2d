"""Fixtures that several tests share."""

from __future__ import annotations

from pathlib import Path

import pytest

import kicad_data


@pytest.fixture
def kicad() -> Path:
    """The folder with KiCad's libraries; skips where there is none, fails in continuous integration."""
    return kicad_data.data_folder()
