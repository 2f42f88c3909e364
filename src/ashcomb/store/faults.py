"""What the database reports, said so that a person knows what to do; nothing is lost in any of these cases."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import apsw

from ashcomb.kernel.errors import AshcombError, FaultError, UserError


@contextmanager
def readable(path: Path) -> Iterator[None]:
    """Turns the database's errors into errors for people, naming the file."""
    try:
        yield
    except AshcombError:
        raise
    except (apsw.FullError, apsw.IOError) as error:
        raise FaultError("The disk is full or cannot be written; the last step was not recorded.",
                         "Free some space and repeat the step; everything recorded before is safe.",
                         str(path)) from error  # fmt: skip
    except (apsw.NotADBError, apsw.CorruptError) as error:
        raise FaultError("This file is damaged or is no case store.",
                         "Restore the newest backup with `ashcomb restore`, and keep the damaged file for study.",
                         str(path)) from error  # fmt: skip
    except (apsw.ReadOnlyError, apsw.CantOpenError, apsw.PermissionsError) as error:
        raise UserError("The case folder cannot be written.",
                        "Give yourself the right to write there, or copy the case to another folder.",
                        str(path)) from error  # fmt: skip
    except (apsw.BusyError, apsw.LockedError) as error:
        raise FaultError("Another program is writing to this case.", "Wait a moment and repeat.", str(path)) from error
    except apsw.ConstraintError as error:
        what = f"The store refused the step: {error}."
        raise FaultError(what, "Nothing was recorded; the record may be there already.", str(path)) from error
