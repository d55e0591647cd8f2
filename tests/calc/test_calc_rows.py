"""The guard on sources works."""

import pytest
from calc_rows import Row, fault_of


@pytest.mark.parametrize("source", ["", "somewhere", "read: ", None])
def test_a_row_without_a_source_is_a_fault(source: str) -> None:
    row = Row("nameless", abs, {}, 0, 0, source)
    assert "nameless" in fault_of(row)


def test_a_row_with_a_source_is_none() -> None:
    assert fault_of(Row("fine", abs, {}, 0, 0, "read: FAA AC 43.13-1B, table 11-7")) == ""
