from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.web.demo_case import client_of, make_demo, make_empty


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_demo(tmp_path_factory.mktemp("demo"))


@pytest.fixture
def demo(demo_folder: Path) -> TestClient:
    """The demo, to be read only."""
    return client_of(demo_folder)


@pytest.fixture
def own_folder(demo_folder: Path, tmp_path: Path) -> Path:
    """A copy of the demo that a test may write to."""
    shutil.copytree(demo_folder, tmp_path / "case")
    return tmp_path / "case"


@pytest.fixture
def own(own_folder: Path) -> TestClient:
    return client_of(own_folder)


@pytest.fixture
def empty(tmp_path: Path) -> TestClient:
    return client_of(make_empty(tmp_path / "empty"))
