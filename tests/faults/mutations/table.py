"""Rules that entries of phones rely on, each with the change that switches it off and the test that must notice.

The text to be replaced stands exactly once in its file, or the check says that the table is out of date.
"""

from dataclasses import dataclass

OUTBOX, SENDING = "meets/static/pit/phone/outbox.js", "meets/static/pit/phone/sync.js"
STORE = "meets/static/pit/phone/store.js"
SYNC = "meets/pit/sync"
IN_BROWSER = "tests/browser"
OF_SYNC, OF_PHONE = "tests/meets/pit/sync", "tests/meets/pit/phone"
OWN = "tests/faults/mutations/test_rules.py"


@dataclass(frozen=True, slots=True)
class Mutation:
    """`quick`: tried in the short run as well, which takes some of each kind.

    `postgresql`: the rule matters only with several connections.
    """

    rule: str
    file: str
    old: str
    new: str
    test: str
    quick: bool = False
    postgresql: bool = False


def _on_the_phone(rule: str, file: str, old: str, new: str, test: str) -> Mutation:
    """Tests in a browser take long."""
    return Mutation(rule, file, old, new, test if test.startswith("tests/") else f"{IN_BROWSER}/{test}")


NO_ANSWER = "test_phone_outbox.py::test_what_is_no_answer_acknowledges_nothing"

SAVING = (
    _on_the_phone(
        "a save is flushed to the disk before it is called saved",
        STORE,
        'durability: how === "strict" ? "strict" : "relaxed"',
        'durability: "relaxed"',
        "test_phone_store.py::test_a_save_waits_for_the_disk",
    ),
    _on_the_phone(
        "saved is said when the transaction is complete, not when its requests succeeded",
        STORE,
        "(got) => (value = got),",
        "(got) => { value = got; resolve(got); },",
        "test_phone_store.py::test_a_transaction_that_ends_after_its_request_succeeded_is_no_save",
    ),
    _on_the_phone(
        "a phone whose database is gone says so before anybody records on it",
        "meets/static/pit/phone/app.js",
        "void enter().catch(noStore);",
        "void enter();",
        "test_phone_store.py::test_a_database_that_goes_at_any_moment_of_coming_in_is_said",
    ),
    _on_the_phone(
        "an entry gets its id when it is saved, not when the form is opened",
        OUTBOX,
        "    const id = newId();\n    const work",
        "    const id = (this.opened ??= newId());\n    const work",
        "test_phone_outbox.py::test_numbers_run_without_a_gap_and_go_out_in_order",
    ),
    _on_the_phone(
        "what is saved is written into the second copy",
        OUTBOX,
        "void this.#journal.append([{ entry: kept.entry }]);",
        "",
        "test_phone_store.py::test_every_entry_has_its_line_in_the_second_copy",
    ),
    _on_the_phone(
        "what cannot be stored is said to be not saved",
        OUTBOX,
        "      throw new NotSaved(problem);",
        "      kept = { id, epoch: '', seq: 0, waiting: 1, entry: /** @type {any} */ ({ id }), status: '', says: '',"
        " again: false };",
        "test_phone_store.py::test_one_that_stays_lost_is_said",
    ),
    _on_the_phone(
        "nothing is deleted when it is acknowledged",
        OUTBOX,
        "for (const kept of after.values()) entries.put(kept);",
        "for (const kept of after.values()) kept.waiting ? entries.put(kept) : entries.delete(kept.id);",
        "test_phone_store.py::test_what_was_sent_stays_on_the_phone",
    ),
    _on_the_phone(
        "what was not sent is never tidied away",
        OUTBOX,
        "({ waiting, entry }) => !waiting && over.has",
        "({ entry }) => over.has",
        "test_phone_store.py::test_only_what_was_sent_goes_after_30_days_when_the_meet_is_over[while it is not sent]",
    ),
    _on_the_phone(
        "what was sent stays while the meet is open",
        "meets/static/pit/phone/app.js",
        "if (events.every((event) => event.closed)) await outbox.tidyUp",
        "await outbox.tidyUp",
        "test_phone_store.py::test_only_what_was_sent_goes_after_30_days_when_the_meet_is_over[while the meet is open]",
    ),
    _on_the_phone(
        "what was sent for another meet stays when this one is over",
        OUTBOX,
        "!waiting && over.has(entry.meet) && entry",
        "!waiting && entry",
        f"{OWN}::test_entries_of_another_meet_are_not_tidied_away",
    ),
)

SENDING_RULES = (
    _on_the_phone(
        "only an answer of type JSON acknowledges",
        SENDING,
        'if (!type.startsWith("application/json") || !isId(said?.server_epoch)',
        "if (!isId(said?.server_epoch)",
        f"{NO_ANSWER}[the right words as a page]",
    ),
    _on_the_phone(
        "only status 200 acknowledges",
        SENDING,
        "    if (answer.status !== 200) {\n      const wait",
        "    if (!answer.ok) {\n      const wait",
        f"{NO_ANSWER}[another status]",
    ),
    _on_the_phone(
        "an answer without the life of the server acknowledges nothing",
        SENDING,
        "|| !isId(said?.server_epoch) ||",
        "||",
        f"{NO_ANSWER}[another kind of server]",
    ),
    _on_the_phone(
        "an answer that says not what the server has acknowledges nothing",
        SENDING,
        "|| !isHave(said?.have)) throw",
        ") throw",
        f"{NO_ANSWER}[one that says not what it has]",
    ),
    _on_the_phone(
        "an answer that does not name the entries acknowledges nothing",
        SENDING,
        "const results = Array.isArray(said.results) ? said.results.filter("
        "(/** @type {any} */ one) => sent.has(one?.id)) : [];",
        'const results = [...sent].map((id) => ({ id, status: "stored", says: "" }));',
        f"{NO_ANSWER}[an answer that does not name it]",
    ),
    _on_the_phone(
        "one tab sends at a time",
        "meets/static/pit/phone/lock.js",
        "await navigator.locks.request(NAME, { signal: AbortSignal.timeout(PATIENCE_MS) }, held);",
        "await held();",
        "test_phone_outbox.py::test_two_tabs_of_one_phone_number_and_send_each_entry_once",
    ),
    _on_the_phone(
        "entries go out in the order of their numbers, not of the clock",
        STORE,
        '["waiting", "epoch", "seq"]',
        '["waiting", "epoch", "entry.wall"]',
        "test_phone_outbox.py::test_a_clock_that_jumps_changes_neither_order_nor_queue",
    ),
    _on_the_phone(
        "an entry that the server cannot read does not hold up the others",
        SENDING,
        "    if (!foreign && !UNREADABLE.includes(status)) return false;",
        "    if (status !== 413) return false;",
        "test_phone_outbox.py::test_an_entry_too_large_or_unreadable_does_not_hold_up_the_others",
    ),
    _on_the_phone(
        "too much at once is halved",
        SENDING,
        "const UNREADABLE = [400, 413, 422];",
        "const UNREADABLE = [400, 422];",
        "test_phone_outbox.py::test_too_much_at_once_is_sent_in_halves",
    ),
    _on_the_phone(
        "another life of the server gets everything above what it has",
        OUTBOX,
        "const again = before.server_epoch !== serverEpoch || upto < before.upto;",
        "const again = upto < before.upto;",
        "test_phone_outbox.py::test_another_life_of_the_server_is_told_all_above_what_it_has",
    ),
    _on_the_phone(
        "a server that has less than it had gets everything above that",
        OUTBOX,
        "const again = before.server_epoch !== serverEpoch || upto < before.upto;",
        "const again = before.server_epoch !== serverEpoch;",
        "test_phone_outbox.py::test_what_a_restored_server_has_forgotten_is_sent_again[from a copied file]",
    ),
    _on_the_phone(
        "a phone says up to which number it has written",
        SENDING,
        "max_seq: this.#outbox.stream(epoch)?.seq ?? seq }",
        "max_seq: 0 }",
        f"{OWN}::test_a_contact_names_the_last_number",
    ),
)

RECEIVING = (
    Mutation(
        "what came before is known again, not stored twice",
        f"{SYNC}/actions.py",
        "there = by_id.get(sent.id) or by_seq.get(sent.seq)",
        "there = None",
        f"{OF_SYNC}/test_push.py::test_the_same_batch_again_changes_nothing_and_says_so",
        quick=True,
    ),
    Mutation(
        "another entry under the same number is set aside, it does not overwrite",
        f"{SYNC}/actions.py",
        "            aside.append((sent, sent.broken or there.id))\n"
        '            results[place] = Result(sent.id, QUARANTINED, _("Kept apart: it clashes with another entry."))',
        "            Delivery.objects.filter(pk=there.id).update(body=sent.text, hash=sent.hash)\n"
        "            results[place] = Result(sent.id, DUPLICATE)",
        f"{OF_SYNC}/test_push.py::test_two_entries_under_one_id_or_number_are_both_kept[seq]",
        quick=True,
    ),
    Mutation(
        "another entry under the same id is no duplicate",
        f"{SYNC}/actions.py",
        "(there.id, there.stream, there.seq, there.hash) == (\n            sent.id, stream.pk, sent.seq, sent.hash,",
        "(there.id, there.stream) == (\n            sent.id, stream.pk,",
        f"{OF_SYNC}/test_push.py::test_two_entries_under_one_id_or_number_are_both_kept[id]",
    ),
    Mutation(
        "an entry changed on its way is noticed by its hash",
        f"{SYNC}/message.py",
        '"" if said.get("hash", content) == content else "hash"',
        '""',
        f"{OF_SYNC}/test_push.py::test_a_hash_that_does_not_fit_sets_the_entry_aside",
    ),
    Mutation(
        "an entry in doubt is kept, not refused",
        f"{SYNC}/actions.py",
        "            status, says = NEEDS_REVIEW, str(doubt)[:200]",
        "            raise NoSuchStream(str(doubt)) from doubt",
        f"{OF_SYNC}/test_push.py::test_poison_waits_and_blocks_nothing[nobody]",
        quick=True,
    ),
    Mutation(
        "an entry in doubt does not block those behind it",
        f"{SYNC}/actions.py",
        "    for sent in sorted(fresh, key=lambda sent: sent.seq):\n        ground",
        "    for sent in sorted(fresh, key=lambda sent: sent.seq):\n"
        "        if any(result.status == NEEDS_REVIEW for result in results.values()):\n"
        "            results[sent.id] = Result(sent.id, NEEDS_REVIEW)\n"
        "            deliveries.append(NewDelivery(sent.id, sent.seq, None, sent.text, sent.hash, NEEDS_REVIEW))\n"
        "            continue\n"
        "        ground",
        f"{OF_SYNC}/test_push.py::test_poison_waits_and_blocks_nothing[a seventh trial]",
        quick=True,
    ),
    Mutation(
        "what waits is answered as waiting each time",
        f"{SYNC}/actions.py",
        "if known.status == Delivery.Status.NEEDS_REVIEW:",
        "if False:",
        f"{OF_SYNC}/test_push.py::test_poison_waits_and_blocks_nothing[a seventh trial]",
    ),
    Mutation(
        "a batch is stored whole or not at all",
        f"{SYNC}/actions.py",
        "transaction.atomic(durable=True), connection.cursor()",
        "connection.cursor()",
        f"{OF_SYNC}/test_commits.py::test_a_batch_is_whole_or_not_there",
        quick=True,
    ),
    Mutation(
        "nothing is answered inside a transaction of somebody else",
        f"{SYNC}/actions.py",
        "transaction.atomic(durable=True)",
        "transaction.atomic()",
        f"{OWN}::test_a_batch_is_not_received_inside_another_transaction",
        quick=True,
    ),
    Mutation(
        "what is answered is committed",
        f"{SYNC}/actions.py",
        "            with one_writer(), transaction.atomic(durable=True), connection.cursor() as cursor:\n",
        "            with one_writer(), connection.cursor() as cursor:\n"
        "                connection.set_autocommit(False)\n",
        f"{OWN}::test_what_is_answered_is_committed",
        quick=True,
    ),
    Mutation(
        "what was answered survives a power cut",
        "meets/settings.py",
        "PRAGMA synchronous=FULL",
        "PRAGMA synchronous=NORMAL",
        "tests/meets/field/test_journal.py::test_every_connection_is_as_safe_as_it_can_be",
        quick=True,
    ),
    Mutation(
        "what the database cannot do is no answer",
        "meets/pit/problems.py",
        "answer = problem_answer(Problem(503, says, retry_after_s=5))",
        "answer = HttpResponse('{}', content_type='application/json')",
        f"{OF_SYNC}/test_http.py::test_what_the_database_cannot_do_is_no_answer",
    ),
    Mutation(
        "one process writes at a time",
        "meets/running/write_lock.py",
        "        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)",
        "        pass",
        f"{OF_SYNC}/test_commits.py::test_who_waits_too_long_to_write_is_told",
        quick=True,
    ),
    Mutation(
        "one writes at a time",
        "meets/running/write_lock.py",
        '    if path is None or getattr(_held, "depth", 0):',
        "    if True:",
        f"{OF_SYNC}/test_commits.py::test_one_thread_writes_at_a_time",
    ),
    Mutation(
        "the place in the log is taken behind the lock of the event",
        f"{SYNC}/ground.py",
        ' WHERE e.id = %s" + locks("e")',
        ' WHERE e.id = %s"',
        f"{OWN}::test_the_place_in_the_log_is_taken_behind_the_lock",
        postgresql=True,
    ),
    Mutation(
        "the log is read behind the lock, not before it",
        f"{SYNC}/ground.py",
        "last_rev),\n        )\n\n    def answered(self, cursor, events: list[tuple], rows: list[tuple])",
        "last_rev),\n        )[::-1]\n\n    def answered(self, cursor, rows: list[tuple], events: list[tuple])",
        f"{OWN}::test_the_place_in_the_log_is_taken_behind_the_lock",
        postgresql=True,
    ),
    Mutation(
        "the numbers of a stream are read behind its lock",
        f"{SYNC}/tables.py",
        's.device_id = %s AND s.epoch = %s" + locks("s")',
        's.device_id = %s AND s.epoch = %s"',
        f"{OWN}::test_a_stream_is_received_by_one_at_a_time",
        postgresql=True,
    ),
    Mutation(
        "entries brought by another phone are judged by the key of their own",
        f"{SYNC}/actions.py",
        "    if batch.device == bringer.device:",
        "    if True:",
        f"{OF_SYNC}/test_push.py::test_another_phone_may_bring_them",
    ),
    Mutation(
        "after a restore another life begins",
        "meets/field/backups.py",
        "        epoch = new_epoch(now)",
        "        epoch = ''",
        "tests/meets/management/test_backup_restore.py::test_what_is_put_back_replaces_what_was_there_which_is_kept",
    ),
    Mutation(
        "the newest life of the database is told",
        f"{SYNC}/tables.py",
        "ORDER BY begun_at DESC LIMIT 1",
        "ORDER BY begun_at LIMIT 1",
        f"{OF_SYNC}/test_gaps.py::test_a_new_life_of_the_database_is_told",
        quick=True,
    ),
    Mutation(
        "an older database knows a phone by its token",
        "meets/pit/keys/tokens.py",
        "    return _known(claims) or _made_again(claims)",
        "    known = _known(claims)\n    if known is None:\n        raise BadToken\n    return known",
        "tests/meets/pit/keys/test_access.py::test_an_older_database_knows_a_phone_by_its_token[phone]",
    ),
)

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
        " and recorder not in DECIDED",
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

SHOWING = (
    Mutation(
        "records that differ are a dispute, not settled by themselves",
        "scoring/turns.py",
        "        disputed = not agree(heads)",
        "        disputed = False",
        f"{OF_PHONE}/test_state.py::test_records_that_differ",
        quick=True,
    ),
    Mutation(
        "readings that differ are a dispute too",
        "scoring/turns.py",
        "wind_disputed=not agree(winds),",
        "wind_disputed=False,",
        f"{OF_PHONE}/test_state.py::test_records_that_differ",
    ),
    Mutation(
        "the public is not shown what is disputed",
        "scoring/turns.py",
        "held=open_protest or disputed,",
        "held=open_protest,",
        f"{OF_PHONE}/test_state.py::test_records_that_differ",
        quick=True,
    ),
    Mutation(
        "equal records confirm each other without a word",
        "scoring/log.py",
        "        return (fact.result, fact.mark, fact.under_protest)",
        "        return (fact,)",
        f"{OWN}::test_equal_values_are_no_dispute",
    ),
    Mutation(
        "which record leads is not chosen by arrival",
        "scoring/log.py",
        "several.sort(key=precedence)",
        "several.sort(key=lambda row: row.rev)",
        "tests/scoring/test_log.py::test_which_of_several_records_is_shown_does_not_depend_on_which_came_first",
        quick=True,
    ),
    Mutation(
        "what one phone wrote stands in the order of its numbers, however it arrived",
        "meets/running/row_order.py",
        "        if stream and seq < highest.get(stream, 0):",
        "        if False:",
        "tests/meets/running/test_row_order.py::test_away_and_back_are_away_and_back_in_any_order_of_arrival",
    ),
    Mutation(
        "no clock orders anything",
        "meets/running/row_order.py",
        "    for row in rows:\n        stream, seq",
        "    for row in sorted(rows, key=lambda row: row.at):\n        stream, seq",
        f"{OWN}::test_clocks_order_nothing",
        quick=True,
    ),
    Mutation(
        "the second recorder sees nothing of the first record",
        "meets/pit/phone/own.py",
        "{pk: alone(own, SECOND) for pk, own in rows.items()}",
        "dict(rows)",
        f"{OF_PHONE}/test_blind.py::test_the_second_has_a_queue_and_a_series_of_its_own",
        quick=True,
    ),
    Mutation(
        "the check tells the second recorder nothing before the round is written",
        "meets/pit/phone/check.py",
        "        if blank:\n",
        "        if False:\n",
        f"{OF_PHONE}/test_check.py::test_blanks_of_the_second_record",
    ),
)

CLOSING = (
    Mutation(
        "numbers that have not come stand in the way of closing",
        f"{SYNC}/reads.py",
        "    gaps = missing(event)\n",
        "    gaps = ()\n",
        f"{OF_SYNC}/test_gaps.py::test_gaps_are_named_by_phone_and_number",
        quick=True,
    ),
    Mutation(
        "the highest number that a phone names counts, not the highest that came",
        f"{SYNC}/contacts.py",
        "        if said.max_seq > stream.max_seq:",
        "        if False:",
        f"{OF_SYNC}/test_gaps.py::test_what_a_wiped_phone_had_is_missing_until_somebody_brings_it",
        quick=True,
    ),
    Mutation(
        "a batch too names the highest number of its phone",
        f"{SYNC}/actions.py",
        "max(stream.max_seq, batch.max_seq, *came, 0)",
        "max(stream.max_seq, *came, 0)",
        f"{OF_SYNC}/test_push.py::test_what_has_come_is_said_with_its_holes",
    ),
    Mutation(
        "acknowledged is a prefix without gaps, never the last that came",
        f"{SYNC}/having.py",
        "        if seq > upto + 1:\n            break",
        "        if seq > upto + 1:\n            pass",
        f"{OF_SYNC}/test_push.py::test_what_has_come_is_said_with_its_holes",
        quick=True,
    ),
    Mutation(
        "a wiped phone's earlier entries stay missing",
        f"{SYNC}/reads.py",
        'for stream in device.streams.order_by("pk")\n',
        'for stream in device.streams.order_by("-pk")[:1]\n',
        f"{OF_SYNC}/test_gaps.py::test_what_a_wiped_phone_had_is_missing_until_somebody_brings_it",
    ),
    Mutation(
        "a phone that said it holds something stands in the way until it has sent",
        f"{SYNC}/reads.py",
        "*_unsent_says(event, {gap.device for gap in gaps}), ",
        "",
        f"{OF_SYNC}/test_gaps.py::test_a_phone_that_has_not_sent_anything_since_it_said_so",
        quick=True,
    ),
    Mutation(
        "what waits and what clashes stands in the way",
        f"{SYNC}/reads.py",
        ", *_waiting_says(event)]",
        "]",
        f"{OF_SYNC}/test_gaps.py::test_what_waits_and_what_clashes_stands_in_the_way",
    ),
    Mutation(
        "a dispute stands in the way",
        f"{SYNC}/reads.py",
        "    if state.disputes:",
        "    if False:",
        f"{OF_SYNC}/test_gaps.py::test_a_dispute_stands_in_the_way",
        quick=True,
    ),
    Mutation(
        "closing all the same needs a reason",
        "meets/pit/decisions/actions.py",
        "    if not proof.ok and not reason.strip():",
        "    if not proof.ok and not reason:",
        "tests/meets/desk/phones/test_closing.py::test_a_reason_of_blanks_is_none",
        quick=True,
    ),
)

MUTATIONS: tuple[Mutation, ...] = (*SAVING, *SENDING_RULES, *RECEIVING, *JUDGING, *SHOWING, *CLOSING)

LEFT_OUT = {
    "an entry is on the disk before it is answered, seen in the calls of the server": (
        "tests/faults/test_fsync.py tries the less safe setting itself; the setting of the product is in the table."
    ),
    "receiving holds the right to write (`one_writer` around a push)": (
        "on SQLite a transaction that begins as a writer waits inside the database instead, only longer: speed, not"
        " safety. That the lock itself holds is in the table."
    ),
}
"""Rules that are not switched off here, each with the reason."""
