"""Records made from whole columns are those that the class itself makes."""

import pytest

from auditor.intake.records.from_columns import from_columns
from auditor.job.model import CellRef, Controller, Device

PLACE = CellRef("Devices", 2, 1)


def test_same_as_one_by_one() -> None:
    made = from_columns(Device, 2, tag=["K1", "K2"], power_w=[1.0, None], where=[PLACE, PLACE])
    assert made == [Device(tag="K1", power_w=1.0, where=PLACE), Device(tag="K2", where=PLACE)]
    with pytest.raises(AttributeError):
        made[0].tag = "K3"  # type: ignore[misc]


def test_a_field_without_default_needs_a_column() -> None:
    with pytest.raises(TypeError, match="Device needs a column for tag"):
        from_columns(Device, 1, where=[PLACE])


def test_a_column_must_be_a_field() -> None:
    with pytest.raises(TypeError, match="no field of Controller: colour"):
        from_columns(Controller, 1, name=["C1"], colour=["red"])
