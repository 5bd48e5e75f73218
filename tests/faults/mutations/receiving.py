"""Rules of the server that receives: what it stores, numbers and answers."""

from tests.faults.mutations.mutation import OF_SYNC, OWN, SYNC, Mutation

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
