from boostwright.report.prose import assumptions, counted, paragraph, sentence


def test_a_paragraph_keeps_to_the_width_and_hangs() -> None:
    text = paragraph("word " * 30, 50)
    lines = text.splitlines()
    assert max(len(line) for line in lines) <= 50
    assert lines[0].startswith("  word")
    assert all(line.startswith("    word") for line in lines[1:])


def test_a_value_never_parts_from_its_unit() -> None:
    entries = [(f"section.key_{number}", f"{number} kPa absolute", "own estimate") for number in range(9)]
    (text,) = assumptions(entries, 60)
    assert len(text.splitlines()) > 3
    for number in range(9):
        assert f"section.key_{number} = {number} kPa absolute" in text


def test_assumptions_are_gathered_by_status() -> None:
    texts = assumptions([("a.b", "1", "from memory"), ("a.c", "2", ""), ("a.d", "3", "from memory")], 80)
    assert texts == ["  from memory: a.b = 1, a.d = 3", "  no status: a.c = 2"]


def test_one_is_singular() -> None:
    assert [counted(number, "fault") for number in (0, 1, 2)] == ["0 faults", "1 fault", "2 faults"]


def test_a_sentence_begins_and_ends_like_one() -> None:
    assert sentence(" runs away above 3 260 rpm ") == "Runs away above 3 260 rpm."
    assert sentence("Is it so?") == "Is it so?"
    assert sentence("") == ""
