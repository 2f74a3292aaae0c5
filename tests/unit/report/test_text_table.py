from boostwright.report.text_table import TextColumn, render_table

SPEED = TextColumn(("engine", "speed"), "rpm", ("1500", "12000"))
TORQUE = TextColumn(("torque",), "Nm", ("190", "-"))
WORDS = TextColumn(("what", "binds"), "", ("spool", "boost target"), left=True)


def test_numbers_stand_right_and_words_left_under_heads_that_end_on_the_same_line() -> None:
    assert render_table([SPEED, TORQUE, WORDS], 80).splitlines() == [
        "engine          what",
        " speed  torque  binds",
        "   rpm      Nm",
        "------  ------  ------------",
        "  1500     190  spool",
        " 12000       -  boost target",
    ]


def test_a_narrow_screen_gets_blocks_that_repeat_the_first_column() -> None:
    blocks = render_table([SPEED, TORQUE, WORDS], 22).split("\n\n")
    assert len(blocks) == 2
    assert all(line.startswith("engine") for line in (blocks[0].splitlines()[0], blocks[1].splitlines()[0]))
    assert all(len(line) <= 22 for block in blocks for line in block.splitlines())
    assert "boost target" in blocks[1]
    assert "torque" not in blocks[1]


def test_one_column_beside_the_first_is_printed_however_narrow() -> None:
    assert render_table([SPEED, TORQUE, WORDS], 1).count("engine") == 2


def test_a_table_without_units_has_no_line_for_them() -> None:
    table = render_table([TextColumn(("a",), "", ("1",)), TextColumn(("b",), "", ("2",))], 80)
    assert table.splitlines() == ["a  b", "-  -", "1  2"]


def test_no_columns_no_text() -> None:
    assert render_table([], 80) == ""
