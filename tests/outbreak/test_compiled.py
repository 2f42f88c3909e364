"""Machine code on disk is thrown away when any source changes from which it was made."""

from __future__ import annotations

import re
from pathlib import Path

from ashcomb.outbreak import compiled


def test_the_stamp_follows_every_module_of_the_engine(tmp_path: Path, monkeypatch):
    for name in ("layout", "scene", "kernel_state", "kernel_colony", "compiled", "fast_reach"):
        (tmp_path / f"{name}.py").write_text(f"# {name}")
    monkeypatch.setattr(compiled, "__file__", str(tmp_path / "compiled.py"))
    try:
        stamps = []
        for name in ("", "kernel_state", "layout", "fast_reach"):
            if name:
                (tmp_path / f"{name}.py").write_text("# changed")
            compiled._stamp.cache_clear()
            stamps.append(
                (compiled.stamp("ashcomb.outbreak.kernel_colony"), compiled.stamp("ashcomb.outbreak.fast_reach"))
            )
    finally:
        compiled._stamp.cache_clear()
    assert len({kernel for kernel, _ in stamps}) == 3  # tracing is not its business
    assert stamps[3][1] != stamps[0][1]


def test_every_module_with_compiled_functions_has_a_part_in_a_stamp():
    here = Path(compiled.__file__).parent
    known = {path for name in (*compiled._KERNELS, *compiled._TRACING) for path in here.glob(f"{name}.py")}
    for path in here.glob("*.py"):
        assert path in known or not re.search(r"^@(compiled|lean|leaf|inlined)", path.read_text(), re.M), path.name


def test_functions_carry_the_stamp():
    from ashcomb.outbreak.kernel_colony import visit

    assert visit._cache._cache_file._source_stamp[-1] == compiled.stamp("ashcomb.outbreak.kernel_colony")
