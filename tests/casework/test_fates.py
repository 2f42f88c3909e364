"""Fates, consignment, hold store and claim on a case in a store: what is entered stays held until its papers match."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import openpyxl
import pytest
from tests.papers import yard
from tests.stories.vale import PLACE, record
from typer.testing import CliRunner

from ashcomb.casework.case import Case
from ashcomb.casework.consigning import consignment, enter_consignment, loaded_pallets
from ashcomb.casework.fates import fate_report, fates, prepare_list
from ashcomb.casework.holding import claim, store_state, write_claim_sheet
from ashcomb.casework.pieces import certificates, loose_balance, mass_balance
from ashcomb.casework.sheets.catalogue import make_sheet
from ashcomb.casework.sheets.desk import Desk
from ashcomb.casework.sheets.form import Framed, Labels, Picture
from ashcomb.cli.main import app
from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import Span
from ashcomb.records.pieces import Tag
from ashcomb.records.places import Component
from ashcomb.records.storage import Price

DAY = Span.parse("2031-05-14")
LOOSE = {"place": "HH", "material": "wood", "use": "super", "pattern": "Langstroth 10 deep", "mark": "L-A"}


def loose() -> list:
    cheap = [record(Price, "2031-01-01", item=item, amount=1.0, currency="OVK") for item in ("gamma unit", "wrap")]
    return [
        record(Component, "2031-05-13", component="box", count=30, mass_kg=4.6, **LOOSE),
        record(Component, "2031-05-13", component="frame", count=270, mass_kg=0.7, **LOOSE), *cheap,
    ]  # fmt: skip


@pytest.fixture
def case(tmp_path: Path) -> Iterator[Case]:
    moment = datetime(2031, 5, 14, 12, tzinfo=PLACE)
    with yard.case_of(tmp_path / "case", yard.night_records(*yard.finds(), *loose()), moment) as made:
        yield made


def test_every_counted_piece_gets_a_fate(case: Case):
    found = fates(case)
    assert sum(line.count for line in found.lines) == mass_balance(case).missing + 300
    assert {line.method for line in found.lines if line.owner == "L-A"} == {"gamma"}
    assert found.gap <= 0.01
    text = " ".join(line for section in fate_report(found).sections for line in section.lines)
    assert "sterile" not in text.casefold()


def test_the_prepare_list_names_the_day_before_the_kill(case: Case):
    plan = prepare_list(case, fates(case, more=False), kill=datetime(2031, 5, 20).date())
    assert plan.by.isoformat() == "2031-05-19"
    assert all(line.method != "burn" for line in plan.lines)


def test_an_entered_consignment_waits_until_its_certificate_matches(case: Case):
    plan = consignment(case)
    assert plan.boxes == 30
    enter_consignment(case, plan)
    assert len(case.situation().rows(Tag)) == 30
    waiting = loose_balance(case)
    assert waiting is not None
    assert sum(line.pending for line in waiting.lines) == 300
    assert not waiting.closes
    units = len(plan.units)
    paper = {"consignment": plan.mark, "lot": "1", "units_received": units, "signed": "Plant", "run": "R1"}
    case.record("certificate", DAY, **paper, units_returned=units, min_dose_kgy=15.2, max_dose_kgy=21.0)
    assert certificates(case).lot("1").certified
    settled = loose_balance(case)
    assert settled is not None
    assert settled.closes
    with pytest.raises(UserError, match="entered already"):
        enter_consignment(case, plan)


def test_the_papers_of_an_entered_consignment_are_those_of_its_units(case: Case):
    plan = consignment(case)
    before = {block.svg for block in make_sheet(Desk(case), "consignment").blocks if isinstance(block, Picture)}
    enter_consignment(case, plan)
    sheet = make_sheet(Desk(case), "consignment")
    assert {block.svg for block in sheet.blocks if isinstance(block, Picture)} == before
    assert "NOT READY TO LEAVE" in {block.heading for block in sheet.blocks if isinstance(block, Framed)}
    (labels,) = [block for block in make_sheet(Desk(case), "labels").blocks if isinstance(block, Labels)]
    assert [label.mark for label in labels.labels] == [unit.mark for unit in plan.units]
    assert all(label.svg.startswith("<svg") for label in labels.labels)
    assert len(loaded_pallets(case.profile(), plan.mark, plan.units)) == plan.shipment.pallets


def test_the_store_and_the_claim_of_a_case(case: Case, tmp_path: Path):
    case.record("hold", DAY, hive="A07-01", component="frame", count=18, direction="in", store="HH")
    assert store_state(case).stores[0].pieces == 18
    case.record("burn", DAY, hive="A07-03", component="box", count=2)
    plan = claim(case)
    assert plan.total == 2 * 3000
    book = openpyxl.load_workbook(write_claim_sheet(plan, tmp_path / "claim.xlsx"))
    assert book.sheetnames == ["Destroyed", "Sum", "Evidence"]
    assert [cell.value for cell in book["Destroyed"][2]][:5] == ["box", 2, None, 30, "=B2*D2"]


@pytest.mark.parametrize("words", [["fate"], ["prepare"], ["consign"], ["claim"], ["stocktake"]])
def test_the_commands_answer_in_words_and_in_json(case: Case, words: list[str]):
    for more in ([], ["--json"]):
        result = CliRunner().invoke(app, [*words, str(case.folder), *more])
        assert result.exit_code == 0, result.output
        assert result.output.strip()


def test_labels_are_written(case: Case, tmp_path: Path):
    result = CliRunner().invoke(app, ["labels", str(case.folder), "--out", str(tmp_path)])
    assert result.exit_code == 0, result.output
    assert (tmp_path / "OV-31-01-labels-a4.pdf").read_bytes().startswith(b"%PDF")
