"""The range checks that every calculation uses. NaN and infinity are outside every range: refused too."""

from collections.abc import Collection, Sequence


def within(name: str, value: float, unit: str, low: float, high: float) -> None:
    """Refuse a value outside the closed range from low to high."""
    if not low <= value <= high:
        raise ValueError(f"{name} [{unit}] must be from {low:g} to {high:g}, not {value!r}")


def each_within(name: str, values: Sequence[float], unit: str, low: float, high: float) -> None:
    """Refuse an empty sequence, and one with a member outside the closed range."""
    some(name, values)
    for index, value in enumerate(values):
        within(f"{name}[{index}]", value, unit, low, high)


def some(name: str, values: Collection[object]) -> None:
    """Refuse an empty collection."""
    if not values:
        raise ValueError(f"{name} must hold at least one value")


def paired(
    name: str, values: Sequence[float], other_name: str, others: Sequence[float]
) -> list[tuple[float, float]]:
    """Refuse two sequences of unequal length; give back their members in pairs."""
    if len(values) != len(others):
        raise ValueError(f"{name} and {other_name} must be equally long, not {len(values)} and {len(others)}")
    return list(zip(values, others, strict=True))


def whole(name: str, value: int, low: int, high: int) -> None:
    """Refuse what is not a whole number from low to high."""
    if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
        raise ValueError(f"{name} must be a whole number from {low} to {high}, not {value!r}")


def one_of(name: str, value: object, options: Collection[object]) -> None:
    """Refuse what is not among the options."""
    if value not in options:
        raise ValueError(f"{name} must be one of {', '.join(map(str, options))}; not {value!r}")
