"""Fixtures that several tests share."""

from __future__ import annotations

import gc
from pathlib import Path

import pytest
from hypothesis import settings

import kicad_data


@pytest.fixture
def kicad() -> Path:
    """The folder with KiCad's libraries; skips where there is none, fails in continuous integration."""
    return kicad_data.data_folder()


# A slow machine must not fail a law, and a run must be the same as the last one: no deadline, no fresh seed.
settings.register_profile("steady", deadline=None, derandomize=True)
settings.load_profile("steady")


def pytest_collection_finish() -> None:
    """What is there before the first test stays to the end: the collector need not look through it again and again."""
    gc.collect()
    gc.freeze()
