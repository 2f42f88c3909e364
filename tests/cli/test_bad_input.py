"""Whatever is wrong ends in a clear sentence with what to do, the right exit status, nothing lost and no traceback."""

from __future__ import annotations

import errno
import json
import os
import resource
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import apsw
import pytest
from typer.testing import CliRunner, Result

from ashcomb.casework.demo_run import run_demo
from ashcomb.cli.main import app

RUN = CliRunner()
ASHCOMB = [sys.executable, "-c", "from ashcomb.cli.main import main; main()"]


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("bad") / "demo"
    run_demo(folder, 2031, lambda _case, _folder: [], progress=lambda _text: None)
    return folder


@pytest.fixture
def case(demo: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(demo, tmp_path / "case"))


def run(*words: object) -> Result:
    result = RUN.invoke(app, [str(word) for word in words])
    assert "Traceback" not in result.output
    return result


def head(case: Path) -> str:
    return json.loads(run("verify", case, "--json").stdout)["head"]


WRONG = {
    "unknown profile": (["profile", "CASE", "atlantis", "--reason", "x", "--by", "NV"], "no code profile “atlantis”"),
    "unknown profile to look at": (["night", "CASE", "--profile", "atlantis"], "no code profile “atlantis”"),
    "unknown apiary": (["night", "CASE", "--apiary", "A99"], "“A99” is not a known apiary"),
    "unknown hive": (["night", "CASE", "--hives", "A07-02,A07-999"], "A07-999 is not a known hive"),
    "unknown trace unit": (["trace", "CASE", "--unit", "A99"], "A99 is not a known place"),
    "trace that ends before it starts": (["trace", "CASE", "--to", "2029-01-01"], "lies before the day"),
    "unknown zone centre": (["zone", "CASE", "--centre", "A99"], "A99"),
    "negative radius": (["zone", "CASE", "--km", "-1"], "radius must be above 0"),
    "no day": (["night", "CASE", "--day", "31 June"], "“31 June” is not a day"),
    "no teams": (["night", "CASE", "--teams", "0"], "0 teams cannot work"),
    "no pit": (["pit", "CASE", "--length", "0", "--width", "1", "--depth", "1"], "no floor"),
    "no boxes": (["pack", "CASE", "--boxes", "many"], "“many” cannot be read"),
    "too heavy a box": (["pack", "CASE", "--boxes", "1x60"], "60"),
    "no box at all": (["pack", "CASE", "--boxes", "0x9"], "“0” is not a whole number"),
    "half a box": (["pack", "CASE", "--boxes", "2.5x9"], "“2.5” is not a whole number"),
    "no port": (["serve", "CASE", "--port", "99999"], "65535"),
    "nobody writes": (["record", "CASE", "hive", "mark=Z1", "apiary=A07"], "Nobody is named"),
    "unknown kind": (["record", "CASE", "unicorn", "mark=1", "--by", "NV"], "Nothing is recorded as “unicorn”"),
    "unknown field": (["record", "CASE", "hive", "colour=red", "--by", "NV"], "colour"),
    "no such hive": (["record", "CASE", "kill", "hive=Q1", "step=sealed", "--by", "NV"], "Q1 is not a known hive"),
    "move before its hive existed": (
        ["record", "CASE", "move", "source=A07", "target=A03", "what=hives", "hives=A07-02", "--happened", "1999-01-01",
         "--by", "NV"], "before A07"),
    "more arrived than left": (
        ["record", "CASE", "move", "source=A07", "target=A03", "what=hives", "count_out=2", "count_in=3", "--by", "NV"],
        "3 arrived but only 2 left"),
    "no file": (["import", "CASE", "nothing.xlsx", "--by", "NV"], "nothing.xlsx"),
    "unknown formula": (["calc", "alchemy"], "no formula “alchemy”"),
    "formula out of range": (["calc", "wood_heat_mj_kg", "moisture_share=2"], "outside the valid range"),
    "formula without number": (["calc", "wood_heat_mj_kg", "moisture_share=wet"], "= wet is not a number"),
    "hobby without apiary": (["hobby", "CASE", "--keeper", "FD"], "28 apiaries"),
    "hobby without anybody": (["hobby", "CASE"], "No keeper and no apiary is named"),
    "no hand-over file there": (["merge", "CASE", "nothing.json", "--by", "NV"], "There is no such file"),
    "unconfirmable": (["confirm", "CASE", "--officer", " ", "--office", "x", "--by", "NV"], "named person"),
    "settle nothing": (["settle", "CASE", "no-id", "--reason", "x", "--by", "NV"], "no open conflict"),
    "folder in use": (["demo", "CASE"], "not empty"),
    "case there already": (["new", "CASE", "--mark", "X", "--timezone", "Etc/UTC", "--profile", "nz", "--by", "NV"],
                           "a case in this folder already"),
    "unknown zone": (["new", "NEW", "--mark", "X", "--timezone", "Moon/Base", "--profile", "nz", "--by", "NV"],
                     "not a time zone"),
    "risk window from no date": (["new", "NEW", "--mark", "X", "--timezone", "Etc/UTC", "--profile", "nz", "--by", "NV",
                                  "--infectious-from", "yesterday"], "not a date"),
    "no case": (["status", "NEW"], "no case here"),
}  # fmt: skip


@pytest.mark.parametrize(("words", "said"), WRONG.values(), ids=WRONG.keys())
def test_user_errors_are_sentences_with_status_2_and_change_nothing(
    case: Path, tmp_path: Path, words: list[str], said: str
) -> None:
    before = head(case)
    given = [str({"CASE": case, "NEW": tmp_path / "new"}.get(word, word)) for word in words]
    result = run(*given)
    assert result.exit_code == 2, result.output
    assert said in " ".join(result.output.split()), result.output
    assert "What to do:" in result.output or "Usage" in result.output
    assert head(case) == before
    as_json = run(*given, "--json")
    assert as_json.exit_code == 2
    assert "Usage" in as_json.output or set(json.loads(as_json.stdout)["error"]) == {"what", "where", "do"}


def test_a_kill_recorded_twice_is_named(case: Path) -> None:
    words = [
        "record",
        case,
        "kill",
        "hive=A07-02",
        "step=dead confirmed",
        "--happened",
        "2031-05-14T22:07",
        "--by",
        "NV",
    ]
    assert run(*words).exit_code == 0
    again = run(*words[:-4], "--happened", "2031-05-14T22:30", "--by", "OD")
    assert again.exit_code == 2
    assert "already recorded dead" in again.output


def test_half_a_handover_file_is_named_with_status_2(case: Path, tmp_path: Path) -> None:
    whole, half = tmp_path / "whole", tmp_path / "half"
    assert run("handover", case, whole).exit_code == 0
    text = whole.read_text("utf-8")
    half.write_text(text[: len(text) - 30], "utf-8")
    result = run("merge", case, half, "--by", "NV")
    assert result.exit_code == 2
    assert "cut off or damaged" in result.output
    assert "char" not in result.output
    assert run("merge", case, whole, "--by", "NV").exit_code == 0


def test_a_half_written_store_is_a_fault_with_a_way_back(case: Path, tmp_path: Path) -> None:
    assert run("backup", case, tmp_path / "safe.db").exit_code == 0
    data = (case / "case.db").read_bytes()
    (case / "case.db").write_bytes(data[: len(data) // 2])
    for command in ("status", "verify"):
        result = run(command, case)
        assert result.exit_code == 1, result.output
        assert "damaged" in result.output or "not" in result.output
    assert run("restore", tmp_path / "safe.db", tmp_path / "again").exit_code == 0
    assert run("verify", tmp_path / "again").exit_code == 0


def test_a_store_of_a_newer_version_is_left_alone(case: Path) -> None:
    db = apsw.Connection(str(case / "case.db"))
    db.pragma("user_version", 99)
    db.close()
    result = run("status", case)
    assert result.exit_code == 2
    assert "newer version" in result.output


@pytest.fixture
def tiny_disk(tmp_path: Path) -> Iterator[Path]:
    disk = tmp_path / "disk"
    disk.mkdir()
    made = (
        os.geteuid() == 0
        and not subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=4m", "tmpfs", str(disk)], capture_output=True, check=False
        ).returncode
    )
    yield disk
    if made:
        subprocess.run(["umount", "-l", str(disk)], check=False)


def test_a_full_disk_loses_nothing(case: Path, tiny_disk: Path) -> None:
    if not os.path.ismount(tiny_disk):
        _limit_file_size(case)
        return
    inside = tiny_disk / "case"
    shutil.copytree(case, inside, ignore=shutil.ignore_patterns("spreadsheets"))
    before = head(inside)
    _fill(tiny_disk / "filler")
    result = run("record", inside, "hive", "mark=Z1", "apiary=A07", "--by", "NV")
    assert result.exit_code == 1, result.output
    assert "disk is full" in result.output or "reports" in result.output
    (tiny_disk / "filler").unlink()
    assert head(inside) == before
    assert run("record", inside, "hive", "mark=Z1", "apiary=A07", "--by", "NV").exit_code == 0


def _fill(file: Path) -> None:
    with open(file, "wb", buffering=0) as filler:
        try:
            while filler.write(b"x" * 4096):
                pass
        except OSError as error:
            assert error.errno == errno.ENOSPC  # noqa: PT017 – the loop ends when the disk is full, and only then


def _limit_file_size(case: Path) -> None:
    size = (case / "case.db").stat().st_size

    def limit() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))

    words = ["record", str(case), "hive", "mark=Z1", "apiary=A07", "--by", "NV"]
    done = subprocess.run([*ASHCOMB, *words], preexec_fn=limit, capture_output=True, text=True, check=False)
    assert done.returncode == 1, done.stderr
    assert "Traceback" not in done.stderr
    assert run("verify", case).exit_code == 0


def test_a_read_only_folder_can_be_read_but_not_written(case: Path, tmp_path: Path) -> None:
    if os.geteuid() == 0:
        disk = tmp_path / "fixed"
        disk.mkdir()
        if subprocess.run(["mount", "--bind", str(case), str(disk)], capture_output=True, check=False).returncode:
            pytest.fail("root without the right to mount: run this test as another user")
        subprocess.run(["mount", "-o", "remount,ro,bind", str(disk)], check=True)
        try:
            _read_only(disk)
        finally:
            subprocess.run(["umount", "-l", str(disk)], check=False)
    else:
        for path in (case / "case.db", case):
            path.chmod(path.stat().st_mode & ~0o222)
        _read_only(case)
        case.chmod(0o755)


def _read_only(folder: Path) -> None:
    done = subprocess.run([*ASHCOMB, "status", str(folder)], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    words = ["record", str(folder), "hive", "mark=Z1", "apiary=A07", "--by", "NV"]
    done = subprocess.run([*ASHCOMB, *words], capture_output=True, text=True, check=False)
    assert done.returncode == 2, done.stderr
    assert "cannot be written" in " ".join(done.stderr.split())
    assert "Traceback" not in done.stderr


def test_a_fault_of_the_program_is_a_sentence_too(case: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("planted")

    monkeypatch.setattr("ashcomb.casework.status.status_report", broken)
    result = run("status", case)
    assert result.exit_code == 1
    assert "The program has a fault (ZeroDivisionError: planted)" in result.output
    kept = Path(result.output.split("send in ")[1].strip().rstrip(".").replace("\n", ""))
    assert "planted" in kept.read_text()
    kept.unlink()
