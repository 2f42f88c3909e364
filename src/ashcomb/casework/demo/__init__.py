"""The demo outbreak of invented Orrow Vale: no real place, firm, person or outbreak."""

from ashcomb.casework.demo.faults import Planted
from ashcomb.casework.demo.files import CASE, FIRM_APIARIES, FIRM_HIVES, DemoFiles, write_demo, write_faulty_demo

__all__ = ["CASE", "FIRM_APIARIES", "FIRM_HIVES", "DemoFiles", "Planted", "write_demo", "write_faulty_demo"]
