"""The demo of Orrow Vale as an imported case, made once for all stories that run from the spreadsheets."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from ashcomb.casework.case import Case
from ashcomb.casework.demo_run import run_demo


def no_papers(_case: Case, _folder: Path) -> Sequence[Path]:
    return ()


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("vale") / "demo"
    run_demo(folder, 2031, no_papers, progress=lambda _text: None)
    return folder
