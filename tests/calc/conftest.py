"""A row without a source stops the whole suite: an expected value that nobody vouches for proves nothing."""

import pytest
from calc_rows import fault_of
from hypothesis import settings

# A busy machine is no fault of the code: no time limit for one example, all else as it was.
settings.register_profile("unhurried", parent=settings.default, deadline=None)
settings.load_profile("unhurried")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    faults = {
        fault_of(item.callspec.params["row"])
        for item in items
        if isinstance(item, pytest.Function)
        and hasattr(item, "callspec")
        and item.path.parent.name == "calc"
        and "row" in item.callspec.params
    } - {""}
    if faults:
        raise pytest.UsageError("\n".join(sorted(faults)))
