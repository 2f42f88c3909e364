"""The ground of the repository: routines, locks and a command line that starts quickly."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
LOCKS = sorted(path.name for path in ROOT.glob("requirements*.lock"))
ROUTINES = {"env", "front", "demo", "test", "check", "format", "lock", "bench", "verify", "docs", "clean"}


def pinned(lock: str) -> set[str]:
    return set(re.findall(r"^([a-z0-9-]+)==", (ROOT / lock).read_text("utf-8"), re.MULTILINE))


def named(requirements: list[str]) -> set[str]:
    return {re.split(r"[^A-Za-z0-9._-]", line)[0].lower().replace("_", "-").replace(".", "-") for line in requirements}


def test_every_routine_is_listed_by_bare_make():
    shown = subprocess.run(["make", "-C", str(ROOT)], capture_output=True, text=True, check=True).stdout
    listed = dict(re.findall(r"^\s+make (\w+)\s+(\S.*)$", shown, re.MULTILINE))
    phony = set(re.findall(r"^\.PHONY: (\w+)$", (ROOT / "Makefile").read_text("utf-8"), re.MULTILINE))
    assert phony - {"help"} >= ROUTINES
    assert phony == set(listed), "a routine without its line of help, or help without its routine"


def test_help_imports_nothing_heavy():
    heavy = {"numpy", "scipy", "fastapi", "typst", "openpyxl", "pyproj", "pandas"}
    program = (
        "import sys\n"
        "from ashcomb.cli.main import main\n"
        "sys.argv = ['ashcomb', '--help']\n"
        "try:\n    main()\nexcept SystemExit as end:\n    assert not end.code, end.code\n"
        "print('LOADED', *{name.split('.')[0] for name in sys.modules})\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.rsplit("LOADED", 1)[1].split())
    assert "typer" in loaded
    assert not loaded & heavy


def test_locks_name_no_address():
    files = [*LOCKS, "package-lock.json", ".npmrc", "pyproject.toml", "package.json"]
    assert len(LOCKS) >= 2
    assert [name for name in files if "://" in (ROOT / name).read_text("utf-8")] == []


@pytest.mark.parametrize("lock", LOCKS)
def test_every_pin_has_a_hash(lock: str):
    for pin in re.split(r"\n(?=\S)", (ROOT / lock).read_text("utf-8").strip()):
        assert re.search(r"--hash=sha256:[0-9a-f]{64}", pin), pin


def test_every_dependency_is_locked():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    wanted = named(project["project"]["dependencies"])
    assert wanted <= pinned("requirements.lock")
    assert wanted | named(project["dependency-groups"]["dev"]) <= pinned("requirements-dev.lock")


def test_the_development_lock_holds_the_users_versions():
    def pins(lock: str) -> set[str]:
        return set(re.findall(r"^[a-z0-9-]+==.*?(?= \\)", (ROOT / lock).read_text("utf-8"), re.MULTILINE))

    assert pins("requirements.lock") <= pins("requirements-dev.lock")


def test_every_browser_package_is_locked():
    wanted = json.loads((ROOT / "package.json").read_text("utf-8"))
    locked = json.loads((ROOT / "package-lock.json").read_text("utf-8"))["packages"]
    for name, version in (wanted["dependencies"] | wanted["devDependencies"]).items():
        assert locked[f"node_modules/{name}"]["version"] == version
        assert locked[f"node_modules/{name}"]["integrity"].startswith("sha512-")
