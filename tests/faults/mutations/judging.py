"""Rules of the server about what was received: what counts at once, and what somebody looks at first."""

from tests.faults.mutations.mutation import OF_PHONE, OF_SYNC, OWN, SYNC, Mutation

JUDGING = (
    Mutation(
        "what comes late is kept, not refused",
        f"{SYNC}/bringers.py",
        "    late = now >= _until(day, time_zone)",
        "    late = now >= _until(day, time_zone)\n"
        "    if late:\n"
        "        from meets.pit.keys.access import NotLetIn\n\n"
        "        raise NotLetIn('late', revoked=False)",
        f"{OF_SYNC}/test_http.py::test_a_key_whose_time_is_over_lets_entries_wait",
        quick=True,
    ),
    Mutation(
        "what comes late is looked at before it counts",
        f"{SYNC}/judging.py",
        "    if source.late:",
        "    if False:",
        f"{OF_SYNC}/test_http.py::test_a_key_whose_time_is_over_lets_entries_wait",
        quick=True,
    ),
    Mutation(
        "a phone that is locked out is not let in",
        f"{SYNC}/bringers.py",
        " AND d.revoked_at IS NULL AND k.revoked_at IS NULL",
        "",
        f"{OF_SYNC}/test_http.py::test_a_phone_that_was_locked_out_is_told",
    ),
    Mutation(
        "the file of a phone that is locked out is looked at before it counts",
        f"{SYNC}/judging.py",
        "    if source.revoked:",
        "    if False:",
        "tests/meets/desk/phones/test_waiting.py::"
        "test_the_file_of_a_phone_that_is_locked_out_is_looked_at_before_it_counts",
        quick=True,
    ),
    Mutation(
        "a role writes only its own kinds of rows",
        f"{SYNC}/judging.py",
        "if role not in source.roles or kind not in WRITES.get(role, ()):",
        "if role not in source.roles:",
        f"{OF_SYNC}/test_push.py::test_poison_waits_and_blocks_nothing[not for this role]",
        quick=True,
    ),
    Mutation(
        "a phone writes only in the roles of its key",
        f"{SYNC}/judging.py",
        "if role not in source.roles or kind not in WRITES.get(role, ()):",
        "if kind not in WRITES.get(role, ()):",
        f"{OF_SYNC}/test_push.py::test_poison_waits_and_blocks_nothing[not this role]",
    ),
    Mutation(
        "a phone writes only for what its key covers",
        f"{SYNC}/judging.py",
        "    if source.event_id not in (None, ground.event.pk) or source.session_id not in (None, *ground.sessions):",
        "    if False:",
        f"{OF_SYNC}/test_push.py::test_poison_waits_and_blocks_nothing[another event]",
    ),
    Mutation(
        "what comes for a closed event is looked at before it counts",
        f"{SYNC}/judging.py",
        "    if ground.closed:",
        "    if False:",
        f"{OF_SYNC}/test_push.py::test_a_closed_event_keeps_what_comes_later",
    ),
    Mutation(
        "a trial replaces only what its writer saw",
        f"{SYNC}/judging.py",
        "facts.to_plain(fact), supersedes, RECORDERS",
        "facts.to_plain(fact), supersedes or [str(row) for row in __import__('meets.models').models.LogRow.objects"
        ".filter(event=ground.event.pk, kind=kind, values__entry=values.get('entry')).values_list('pk', flat=True)],"
        " RECORDERS",
        f"{OF_SYNC}/test_gaps.py::test_a_dispute_stands_in_the_way",
        quick=True,
    ),
    Mutation(
        "nobody takes the place of a row that only others write",
        f"{SYNC}/rows.py",
        "            _refuse_what_is_for_others(sent, row)",
        "            pass",
        f"{OF_SYNC}/test_push.py::test_nobody_puts_an_end_to_what_only_others_write",
    ),
    Mutation(
        "a gauge operator takes back readings, and nothing else",
        f"{SYNC}/rows.py",
        "        return kind == WIND",
        "        return True",
        f"{OF_SYNC}/test_push.py::test_the_gauge_takes_back_winds_only",
    ),
    Mutation(
        "what was kept in memory of a log is not believed of an older copy of it",
        "meets/running/log_end.py",
        '(rows.values("pk"), rows.values("rev"), lives.values("epoch"))',
        '(rows.values("pk"), rows.values("pk"), rows.values("pk"))',
        f"{OF_PHONE}/test_older_copy.py::test_the_same_last_row_behind_as_many_others",
    ),
    Mutation(
        "a recorder takes back nothing but trials and winds of a referee",
        f"{SYNC}/rows.py",
        " and recorder not in DECIDING",
        "",
        f"{OF_SYNC}/test_push.py::test_a_recorder_takes_back_nothing_but_trials_and_winds_of_a_referee",
    ),
    Mutation(
        "a second recorder takes back no trial of the first record",
        f"{SYNC}/rows.py",
        "return role != Role.SECOND or recorder == SECOND or bool(replaced)",
        "return True",
        f"{OF_SYNC}/test_push.py::test_a_second_record_puts_right_its_own_trials_and_those_that_took_their_place",
    ),
    Mutation(
        "a decision is about a protest that is delivered after it",
        "scoring/protests.py",
        "zip(each, starts, [0, *starts[1:]], [*starts[1:], inf], strict=True)",
        "zip(each, starts, starts, [*starts[1:], inf], strict=True)",
        "tests/scoring/test_protests.py::test_two_records_and_a_decision_are_one_state_in_every_order",
    ),
    Mutation(
        "a protest that the same record lodges again after a decision has not been heard",
        "scoring/protests.py",
        "    if not any(start < log.first_rev(said) < now for said in decided):",
        "    if True:",
        "tests/scoring/test_protests.py::test_what_is_written_and_what_stands",
    ),
    Mutation(
        "a correction stands although what it corrects comes later",
        "scoring/log.py",
        "        stands = row.id not in superseded",
        "        stands = row.id not in {old for one in ordered if one.rev > row.rev for old in one.supersedes}",
        f"{OWN}::test_a_correction_of_somebody_else_may_come_first",
    ),
)
