"""Rules of the phone: saving what was confirmed, and sending it until the server has it."""

from tests.faults.mutations.mutation import OWN, on_the_phone

OUTBOX = "meets/static/pit/phone/outbox.js"
SENDING = "meets/static/pit/phone/sync.js"
STORE = "meets/static/pit/phone/store.js"
NO_ANSWER = "test_phone_outbox.py::test_what_is_no_answer_acknowledges_nothing"

SAVING = (
    on_the_phone(
        "a save is flushed to the disk before it is called saved",
        STORE,
        'durability: how === "strict" ? "strict" : "relaxed"',
        'durability: "relaxed"',
        "test_phone_store.py::test_a_save_waits_for_the_disk",
    ),
    on_the_phone(
        "saved is said when the transaction is complete, not when its requests succeeded",
        STORE,
        "(got) => (value = got),",
        "(got) => { value = got; resolve(got); },",
        "test_phone_store.py::test_a_transaction_that_ends_after_its_request_succeeded_is_no_save",
    ),
    on_the_phone(
        "a phone whose database is gone says so before anybody records on it",
        "meets/static/pit/phone/app.js",
        "void enter().catch(noStore);",
        "void enter();",
        "test_phone_store.py::test_a_database_that_goes_at_any_moment_of_coming_in_is_said",
    ),
    on_the_phone(
        "an entry gets its id when it is saved, not when the form is opened",
        OUTBOX,
        "    const id = newId();\n    const work",
        "    const id = (this.opened ??= newId());\n    const work",
        "test_phone_outbox.py::test_numbers_run_without_a_gap_and_go_out_in_order",
    ),
    on_the_phone(
        "what is saved is written into the second copy",
        OUTBOX,
        "void this.#journal.append([{ entry: kept.entry }]);",
        "",
        "test_phone_store.py::test_every_entry_has_its_line_in_the_second_copy",
    ),
    on_the_phone(
        "what cannot be stored is said to be not saved",
        OUTBOX,
        "      throw new NotSaved(problem);",
        "      kept = { id, epoch: '', seq: 0, waiting: 1, entry: /** @type {any} */ ({ id }), status: '', says: '',"
        " again: false };",
        "test_phone_store.py::test_one_that_stays_lost_is_said",
    ),
    on_the_phone(
        "nothing is deleted when it is acknowledged",
        OUTBOX,
        "for (const kept of after.values()) entries.put(kept);",
        "for (const kept of after.values()) kept.waiting ? entries.put(kept) : entries.delete(kept.id);",
        "test_phone_store.py::test_what_was_sent_stays_on_the_phone",
    ),
    on_the_phone(
        "what was not sent is never tidied away",
        OUTBOX,
        "({ waiting, entry }) => !waiting && over.has",
        "({ entry }) => over.has",
        "test_phone_store.py::test_only_what_was_sent_goes_after_30_days_when_the_meet_is_over[while it is not sent]",
    ),
    on_the_phone(
        "what was sent stays while the meet is open",
        "meets/static/pit/phone/app.js",
        "if (events.every((event) => event.closed)) await outbox.tidyUp",
        "await outbox.tidyUp",
        "test_phone_store.py::test_only_what_was_sent_goes_after_30_days_when_the_meet_is_over[while the meet is open]",
    ),
    on_the_phone(
        "what was sent for another meet stays when this one is over",
        OUTBOX,
        "!waiting && over.has(entry.meet) && entry",
        "!waiting && entry",
        f"{OWN}::test_entries_of_another_meet_are_not_tidied_away",
    ),
)

SENDING_RULES = (
    on_the_phone(
        "only an answer of type JSON acknowledges",
        SENDING,
        'if (!type.startsWith("application/json") || !isId(said?.server_epoch)',
        "if (!isId(said?.server_epoch)",
        f"{NO_ANSWER}[the right words as a page]",
    ),
    on_the_phone(
        "only status 200 acknowledges",
        SENDING,
        "    if (answer.status !== 200) {\n      const wait",
        "    if (!answer.ok) {\n      const wait",
        f"{NO_ANSWER}[another status]",
    ),
    on_the_phone(
        "an answer without the life of the server acknowledges nothing",
        SENDING,
        "|| !isId(said?.server_epoch) ||",
        "||",
        f"{NO_ANSWER}[another kind of server]",
    ),
    on_the_phone(
        "an answer that says not what the server has acknowledges nothing",
        SENDING,
        "|| !isHave(said?.have)) throw",
        ") throw",
        f"{NO_ANSWER}[one that says not what it has]",
    ),
    on_the_phone(
        "an answer that does not name the entries acknowledges nothing",
        SENDING,
        "const results = Array.isArray(said.results) ? said.results.filter("
        "(/** @type {any} */ one) => sent.has(one?.id)) : [];",
        'const results = [...sent].map((id) => ({ id, status: "stored", says: "" }));',
        f"{NO_ANSWER}[an answer that does not name it]",
    ),
    on_the_phone(
        "one tab sends at a time",
        "meets/static/pit/phone/lock.js",
        "await navigator.locks.request(NAME, { signal: AbortSignal.timeout(PATIENCE_MS) }, held);",
        "await held();",
        "test_phone_outbox.py::test_two_tabs_of_one_phone_number_and_send_each_entry_once",
    ),
    on_the_phone(
        "entries go out in the order of their numbers, not of the clock",
        STORE,
        '["waiting", "epoch", "seq"]',
        '["waiting", "epoch", "entry.wall"]',
        "test_phone_outbox.py::test_a_clock_that_jumps_changes_neither_order_nor_queue",
    ),
    on_the_phone(
        "an entry that the server cannot read does not hold up the others",
        SENDING,
        "    if (!foreign && !UNREADABLE.includes(status)) return false;",
        "    if (status !== 413) return false;",
        "test_phone_outbox.py::test_an_entry_too_large_or_unreadable_does_not_hold_up_the_others",
    ),
    on_the_phone(
        "too much at once is halved",
        SENDING,
        "const UNREADABLE = [400, 413, 422];",
        "const UNREADABLE = [400, 422];",
        "test_phone_outbox.py::test_too_much_at_once_is_sent_in_halves",
    ),
    on_the_phone(
        "another life of the server gets everything above what it has",
        OUTBOX,
        "const again = before.server_epoch !== serverEpoch || upto < before.upto;",
        "const again = upto < before.upto;",
        "test_phone_outbox.py::test_another_life_of_the_server_is_told_all_above_what_it_has",
    ),
    on_the_phone(
        "a server that has less than it had gets everything above that",
        OUTBOX,
        "const again = before.server_epoch !== serverEpoch || upto < before.upto;",
        "const again = before.server_epoch !== serverEpoch;",
        "test_phone_outbox.py::test_what_a_restored_server_has_forgotten_is_sent_again[from a copied file]",
    ),
    on_the_phone(
        "a phone says up to which number it has written",
        SENDING,
        "max_seq: this.#outbox.stream(epoch)?.seq ?? seq }",
        "max_seq: 0 }",
        f"{OWN}::test_a_contact_names_the_last_number",
    ),
)
