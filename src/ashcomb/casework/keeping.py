"""Keeps a case safe: verify the chain, back up while in use, restore into a new folder."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from ashcomb.casework.case import STORE_FILE, Case
from ashcomb.kernel.errors import FaultError, UserError
from ashcomb.store.seal import Seal
from ashcomb.store.sqlite import Store
from ashcomb.store.verify import Verification, verify

_SEAL = re.compile(r"(?:\d+-)?[0-9a-fA-F]{8,64}")


@dataclass(frozen=True, slots=True)
class BackupReport:
    """A backup that was opened again and verified."""

    file: Path
    verification: Verification


def verify_case(case: Case, expected_seal: str = "") -> Verification:
    """Recomputes every seal; expected_seal is one on a paper; raises UserError if it is not written like one."""
    if expected_seal and not _SEAL.fullmatch(expected_seal.strip()):
        raise UserError(f"“{expected_seal}” is not written like a seal.", "Copy it from the paper: 3-5828e5567851.")
    return verify(case.store, expected_seal.strip())


def seals(case: Case) -> list[Seal]:
    """Every seal of the case, oldest first."""
    return case.store.seals()


def back_up(case: Case, target: Path) -> BackupReport:
    """Copies the store while it is in use and verifies the copy; raises FaultError if it is not whole."""
    if target.is_dir():
        target = target / f"{case.head.mark}-{case.now():%Y%m%d-%H%M%S}.db"
    case.store.backup(target)
    return BackupReport(target, _checked(target))


def restore(backup: Path, folder: Path) -> BackupReport:
    """Makes a case folder from a backup; raises UserError if the folder holds a case already."""
    target = folder / STORE_FILE
    if target.exists():
        raise UserError("There is a case in this folder already; a restore never overwrites one.",
                        "Name a new folder.", str(folder))  # fmt: skip
    _checked(backup)
    with Store.open(backup) as store:
        store.backup(target)
    return BackupReport(target, _checked(target))


def _checked(file: Path) -> Verification:
    with Store.open(file) as store:
        result = verify(store)
    if result.faults:
        raise FaultError(f"The copy does not verify: {result.faults[0]}.", "Use another backup.", str(file))
    return result
