from made_up_prediction import made_up_prediction

from boostwright.report.sweep import flag_groups, limit_labels, speed_ranges, unsolved_groups


def test_neighbouring_points_are_joined() -> None:
    prediction = made_up_prediction()
    assert speed_ranges(prediction, (0, 1, 2, 5, 20)) == "1500 to 2000, 2750, 6500 rpm"


def test_flags_are_gathered_by_code_limits_first() -> None:
    groups = flag_groups(made_up_prediction())
    assert [(group.code, group.points) for group in groups] == [
        ("limit-torque-cap", (15, 16)),
        ("outside-map-low-speed", (0, 1, 2)),
    ]


def test_points_without_steady_state_are_gathered_by_reason() -> None:
    (group,) = unsolved_groups(made_up_prediction(unsolved=(18, 19, 20)))
    assert (group.reason, group.points) == ("runs-away", (18, 19, 20))


def test_nothing_binds_where_there_is_no_steady_state() -> None:
    labels = limit_labels(made_up_prediction())
    assert labels[0] == "spool"
    assert labels[10] == "boost target"
    assert labels[20] == "no steady state"
