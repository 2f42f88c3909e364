"""What was looked at and tested: inspections, samples and results."""

from __future__ import annotations

from dataclasses import dataclass

from ashcomb.records.columns import Record, Type, col, kind

SIGNS = ("none seen", "suspect", "clinical")


@kind("inspection", "Inspections", also=("looks", "checks"), happened_also=("inspected on", "when", "day"))
@dataclass(frozen=True, slots=True, kw_only=True)
class Inspection(Record):
    """One look into one hive: how much of the brood was seen, and what was seen."""

    hive: str = col(
        Type.MARK,
        "Hive",
        "Which hive",
        required=True,
        refers=("hive",),
        also=("hive number", "hive no", "number", "no"),
    )
    signs: str = col(
        Type.CHOICE, "Signs", "What was seen", required=True, options=SIGNS, also=("result", "finding", "findings")
    )
    brood_frames: int | None = col(
        Type.WHOLE,
        "Brood frames",
        "Brood frames present",
        low=0,
        high=60,
        also=("frames present", "brood frames present"),
    )
    frames_seen: int | None = col(
        Type.WHOLE, "Frames seen", "Brood frames looked at", low=0, high=60, also=("seen", "brood frames seen")
    )
    frames_shaken: int | None = col(
        Type.WHOLE, "Frames shaken", "Of these, bees shaken off first", low=0, high=60, also=("shaken",)
    )
    cells: int | None = col(Type.WHOLE, "Cells", "Diseased cells counted", low=0, also=("diseased cells", "cells seen"))
    ropy: bool | None = col(
        Type.FLAG, "Ropy", "Ropiness test drew a thread", also=("ropiness", "ropy thread", "stick test")
    )
    light: str = col(Type.TEXT, "Light", "Daylight, torch", also=("weather",))
    inspector: str = col(Type.TEXT, "Inspector", "Who looked", also=("by", "inspected by", "name"))
    note: str = col(Type.TEXT, "Note", "Anything else", also=("notes", "remarks", "comment"))

    def faults(self) -> list[tuple[str, str, str]]:
        """Frames shaken ≤ frames seen ≤ brood frames present."""
        found = []
        if self.frames_seen is not None and self.brood_frames is not None and self.frames_seen > self.brood_frames:
            found.append(("frames_seen", f"{self.frames_seen} frames seen of only {self.brood_frames} present.",
                          "Check both counts."))  # fmt: skip
        if self.frames_shaken is not None and self.frames_seen is not None and self.frames_shaken > self.frames_seen:
            found.append(("frames_shaken", f"{self.frames_shaken} frames shaken of only {self.frames_seen} seen.",
                          "Check both counts."))  # fmt: skip
        return found


@kind("sample", "Samples", happened="Taken on", happened_also=("date", "sampled on"), key="mark")
@dataclass(frozen=True, slots=True, kw_only=True)
class Sample(Record):
    """Material taken for a test, from one hive or pooled from several."""

    mark: str = col(Type.MARK, "Sample", "Sample number", required=True, also=("sample no", "sample id"))
    hives: tuple[str, ...] = col(
        Type.MARKS, "Hives", "Hives in the pool", required=True, refers=("hive",), also=("hive", "hive numbers")
    )
    material: str = col(Type.TEXT, "Material", "Larva, adult bees, honey, debris", required=True)
    taken_by: str = col(Type.TEXT, "Taken by", "Who took it")
    sealed: str = col(Type.TEXT, "Seal", "Seal number or tape")


@kind("result", "Results", also=("lab results", "laboratory"), happened="Reported on", happened_also=("date",))
@dataclass(frozen=True, slots=True, kw_only=True)
class LabResult(Record):
    """What a test of a sample said, by what method."""

    sample: str = col(Type.MARK, "Sample", "Which sample", required=True, refers=("sample",), also=("sample no",))
    laboratory: str = col(Type.TEXT, "Laboratory", "Who tested", also=("lab",))
    method: str = col(Type.TEXT, "Method", "Culture, PCR, lateral flow, ropiness", required=True, also=("test",))
    outcome: str = col(
        Type.CHOICE,
        "Outcome",
        "What it said",
        required=True,
        options=("positive", "not detected", "unclear"),
        also=("result",),
    )
    document: str = col(Type.TEXT, "Document", "Report number", also=("report", "report no"))
