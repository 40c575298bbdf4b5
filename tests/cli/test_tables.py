from chartkit.cli.tables import table


def test_columns_are_as_wide_as_their_widest_cell():
    rows = [["bar", "chord", "scale"], ["[A]"], ["1", "Bbmaj7", ""], ["12", "F7", "x"]]
    assert list(table(rows, numbers=1)) == [
        "  bar  chord   scale",
        "  [A]",
        "    1  Bbmaj7",
        "   12  F7      x",
    ]


def test_rows_of_one_cell_need_no_others():
    assert list(table([["none"]])) == ["  none"]
    assert list(table([])) == []
