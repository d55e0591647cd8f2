"""CSV: RFC 4180 as Python's own reader and the rules of the text see it, and no cell that is computed."""

from __future__ import annotations

import csv
import io

import pytest

from lugbook.render.csv_cells import FORMULA, csv_file, csv_text, plain_cell


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1", "@SUM(A1)", "\tx", "\rx", "\n=x", "  =1+1", "=HYPERLINK(\"x\")", "＝1", "＋1"]
)  # fmt: skip
def test_a_text_that_looks_like_a_formula_gets_an_apostrophe(text: str) -> None:
    """Source: OWASP, 'CSV Injection' (recalled)."""
    assert plain_cell(text) == "'" + text


@pytest.mark.parametrize("value", ["fuse", "5 mm - 10 mm", "a=b", "", "'x", "4–6", 0, -3])
def test_other_cells_stay(value: str | int) -> None:
    assert plain_cell(value) == value


def test_quotes_commas_and_line_ends_follow_rfc_4180() -> None:
    """Source: RFC 4180, section 2, rules 1, 5, 6 and 7."""
    made = csv_text([{"a": 'say "no"', "b": "x,y"}, {"a": "two\nlines", "b": 7}])
    assert made == 'a,b\r\n"say ""no""","x,y"\r\n"two\nlines",7\r\n'


def test_a_file_has_a_mark_and_a_head_without_rows_and_refuses_an_unknown_column() -> None:
    assert csv_file([], ("a", "b")) == b"\xef\xbb\xbfa,b\r\n"
    assert csv_text([]) == ""
    with pytest.raises(ValueError, match="c"):
        csv_file([{"a": 1, "c": 2}], ("a", "b"))


def test_every_first_character_comes_back_from_a_reader_behind_its_apostrophe() -> None:
    rows = [{"a": f"{first}1"} for first in FORMULA]
    back = list(csv.DictReader(io.StringIO(csv_file(rows, ("a",)).decode("utf-8-sig"), newline="")))
    assert [row["a"] for row in back] == [f"'{row['a']}" for row in rows]
