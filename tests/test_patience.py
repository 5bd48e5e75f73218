from tests.patience import within


def test_among_other_tests_a_promise_has_more_time_and_by_itself_none_more():
    assert within(300, strict=True) == 300
    assert within(300, strict=False) == 1500
