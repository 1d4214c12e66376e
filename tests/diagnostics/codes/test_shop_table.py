"""The shop's own table: rows, and each fault by its line."""

import pytest

from diagnostics.codes.shop_table import read_table


@pytest.mark.parametrize(
    "text",
    [
        "P0171,lean\nU0100-00,no engine\n", "code;meaning\np0171;lean\nU0100:00;no engine\n",
        "P0171\tlean\n\nU010000\tno engine", '"P0171","lean"\r\n"U0100-00","no engine"\r\n',
    ],
)  # fmt: skip
def test_a_table_is_read_with_any_usual_separator(text):
    table = read_table(text)

    assert [(row.code, row.meaning) for row in table.rows] == [("P0171", "lean"), ("U0100-00", "no engine")]
    assert not table.faults


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ("P0171,lean\nP9171,x\n", 2, "'P9171' does not have the form of a trouble code"),
        ("P0171,\n", 1, "P0171 has no meaning"),
        ("P0171\n", 1, "P0171 has no meaning"),
        ("P0171,a\nU0100,b\np0171,c\n", 3, "P0171 stands in line 1 already"),
        (f"P0171,{'x' * 201}\n", 1, "has 201 characters; 200 are the most"),
    ],
)
def test_a_fault_names_its_line_and_what_to_do(text, line, said):
    (fault,) = read_table(text).faults

    assert fault.line == line
    assert said in fault.text
