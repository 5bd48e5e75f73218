"""What a published file looks like, as JSON Schema (draft 2020-12), and a reader for the words of it that are used.

The reader tells people where a file is not as it should be; tests hold it against a complete one.
"""

import re
from collections.abc import Iterator, Mapping

DRAFT = "https://json-schema.org/draft/2020-12/schema"
LONGEST_TEXT, MOST_LINES, LARGEST = 2000, 5000, 2**53 - 1

TEXT = {"type": "string", "maxLength": LONGEST_TEXT}
WORD = {"type": "string", "maxLength": 200}
YES_NO = {"type": "boolean"}
COUNT = {"type": "integer", "minimum": 0, "maximum": LARGEST}
ROUND = {"type": "integer", "minimum": 0, "maximum": 100}
MOMENT = {"type": "string", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}Z$"}
DAY = {"type": "string", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$"}
HASH = {"type": "string", "pattern": "^[0-9a-f]{64}$"}
POINTS = {"type": "string", "pattern": "^(-?[0-9]{1,6}( [0-9]{1,6}/[1-9][0-9]{0,5})?|-?[0-9]{1,6}/[1-9][0-9]{0,5})?$"}
STATUS = {"enum": ["provisional", "official", "amended"]}


def _list(items: object, most: int = MOST_LINES) -> dict[str, object]:
    return {"type": "array", "items": items, "maxItems": most}


def _or_null(schema: object) -> dict[str, object]:
    return {"anyOf": [schema, {"type": "null"}]}


def _object(**properties: object) -> dict[str, object]:
    """Every one of the properties, and no others."""
    return {"type": "object", "properties": properties, "required": [*properties], "additionalProperties": False}


def _map(values: object) -> dict[str, object]:
    return {"type": "object", "additionalProperties": values}


WIND = {
    "anyOf": [
        _object(tenths={"type": "integer", "minimum": -200, "maximum": 200}, shown=WORD, legal=YES_NO),
        _object(nwi={"const": True}, shown=WORD),
        _object(owed={"const": True}, shown=WORD),
        {"type": "null"},
    ]
}
MARK = {"type": "integer", "minimum": 1, "maximum": 20_000}
BEST = _or_null(_object(mark=MARK, shown=WORD, wind=WIND))
TRIAL = _object(
    round=ROUND,
    replacement=ROUND,
    result={"enum": ["mark", "fail", "pass", "retired", "not measured"]},
    mark=_or_null(MARK),
    shown=WORD,
    wind=WIND,
    board_cm=_or_null({"type": "integer", "minimum": 1, "maximum": 3000}),
    counts=YES_NO,
    held=YES_NO,
)
LINE = _object(
    entry=WORD,
    bib=WORD,
    name=WORD,
    school=_object(code=WORD, name=WORD),
    year=WORD,
    string=WORD,
    guest=YES_NO,
    klass=WORD,
    place=_or_null({"type": "integer", "minimum": 1, "maximum": MOST_LINES}),
    shared=YES_NO,
    status={"enum": ["", "NM", "DNS", "DQ"]},
    status_reason=TEXT,
    best=BEST,
    best_legal=BEST,
    series=_list(TRIAL, 500),
    points=POINTS,
    signs=_list(WORD, 10),
    sign_mark=WORD,
    standard=WORD,
    records=_list(WORD, 20),
    qualified={"enum": ["", "Q", "q"]},
)
MEET = _object(
    slug=WORD,
    name=WORD,
    date=DAY,
    venue=WORD,
    time_zone=WORD,
    unit={"enum": ["cm", "quarter-inch"]},
    paper={"enum": ["A4", "letter"]},
    schools_in_match={"type": "integer", "minimum": 0, "maximum": 1000},
)
VERSION = {
    "address": TEXT,
    "version": {"type": "integer", "minimum": 1, "maximum": LARGEST},
    "status": STATUS,
    "published_at": MOMENT,
    "published_by": WORD,
    "reason": TEXT,
    "supersedes": _or_null(_object(version={"type": "integer", "minimum": 1, "maximum": LARGEST}, sha256=HASH)),
    "changes": _list(_object(entry=WORD, bib=WORD, what=WORD, was=TEXT, now=TEXT, says=TEXT)),
}
RESULT = _object(
    kind={"const": "result"},
    format={"const": 1},
    meet=MEET,
    event=_object(number=COUNT, name=WORD, discipline={"enum": ["LJ", "TJ"]}, category=WORD, age_group=WORD),
    **VERSION,
    declared_by=WORD,
    protests_until=_or_null(MOMENT),
    log_version=COUNT,
    stage={"enum": ["finished", "abandoned", "closed"]},
    rounds=ROUND,
    counted_rounds=_or_null(ROUND),
    rules=_object(set=WORD, fields=_map(WORD)),
    cuts=_list(_object(after_round=ROUND, going_on=_list(WORD), under_protest=_list(WORD)), 20),
    lines=_list(LINE),
    notes=_object(
        ties=_list(TEXT),
        remarks=_list(TEXT),
        cuts=_list({"type": "array", "prefixItems": [COUNT, TEXT], "items": False, "minItems": 2}, 20),
        wind=TEXT,
        key=_list({"type": "array", "prefixItems": [WORD, TEXT], "items": False, "minItems": 2}, 50),
    ),
    officials=_list({"type": "array", "prefixItems": [WORD, WORD], "items": False, "minItems": 2}, 50),
)
STANDINGS = _object(
    kind={"const": "standings"},
    format={"const": 1},
    meet=MEET,
    **VERSION,
    equal_totals={"enum": ["stay equal", "most firsts"]},
    events=_list(
        _object(number=COUNT, name=WORD, version=COUNT, sha256=_or_null(HASH), status={"enum": ["", *STATUS["enum"]]})
    ),
    schools=_list(
        _object(
            code=WORD,
            name=WORD,
            place={"type": "integer", "minimum": 1, "maximum": MOST_LINES},
            shared=YES_NO,
            points=POINTS,
            by_event=_map(POINTS),
            penalties=_list(_object(points=POINTS, reason=TEXT)),
        )
    ),
    lines=_list(
        _object(
            event=COUNT,
            entry=WORD,
            bib=WORD,
            school=WORD,
            table={"enum": ["", "A", "B"]},
            position=_or_null(COUNT),
            points=POINTS,
        )
    ),
)  # fmt: skip


def schema_of(kind: str, address: str = "") -> dict[str, object]:
    """The schema of a whole file: the document and its hash. KeyError for a kind that there is not."""
    title, document = {
        "result": ("Published result of an event", RESULT),
        "standings": ("Published team standings of a meet", STANDINGS),
    }[kind]
    own = {"$id": address} if address else {}
    return {"$schema": DRAFT, **own, "title": title, **_object(document=document, sha256=HASH)}


def wrong_in(value: object, schema: Mapping[str, object], where: str = "") -> Iterator[str]:
    """Where a value is not as the schema says: the place of each, and what is expected there."""
    if "anyOf" in schema:
        tried = [list(wrong_in(value, choice, where)) for choice in schema["anyOf"]]
        if all(tried):
            yield from min(tried, key=len)
        return
    if "const" in schema and not _same(value, schema["const"]):
        yield f"{where or '/'}: expected {schema['const']!r}"
    elif "enum" in schema and not any(_same(value, choice) for choice in schema["enum"]):
        yield f"{where or '/'}: expected one of {', '.join(map(repr, schema['enum']))}"
    elif "type" in schema and not _is(value, schema["type"]):
        yield f"{where or '/'}: expected {schema['type']}"
    elif isinstance(value, dict):
        yield from _wrong_in_object(value, schema, where)
    elif isinstance(value, list):
        yield from _wrong_in_list(value, schema, where)
    else:
        yield from _wrong_in_plain(value, schema, where)


def _wrong_in_object(value: dict[str, object], schema: Mapping[str, object], where: str) -> Iterator[str]:
    properties, others = schema.get("properties", {}), schema.get("additionalProperties", True)
    for name in schema.get("required", ()):
        if name not in value:
            yield f"{where}/{name}: is missing"
    for name, inner in value.items():
        place = f"{where}/{name[:40]}"
        if name in properties:
            yield from wrong_in(inner, properties[name], place)
        elif others is False:
            yield f"{place}: is not expected"
        elif others is not True:
            yield from wrong_in(inner, others, place)


def _wrong_in_list(value: list[object], schema: Mapping[str, object], where: str) -> Iterator[str]:
    first, rest = schema.get("prefixItems", []), schema.get("items", True)
    most = schema.get("maxItems", len(first) if rest is False else len(value))
    if not schema.get("minItems", 0) <= len(value) <= most:
        yield f"{where}: expected {schema.get('minItems', 0)} to {most} items"
        return
    for number, inner in enumerate(value):
        yield from wrong_in(inner, first[number] if number < len(first) else rest, f"{where}/{number}")


def _wrong_in_plain(value: object, schema: Mapping[str, object], where: str) -> Iterator[str]:
    if isinstance(value, str):
        if len(value) > schema.get("maxLength", len(value)):
            yield f"{where}: longer than {schema['maxLength']} letters"
        elif "pattern" in schema and not re.fullmatch(schema["pattern"], value):
            yield f"{where}: not of the form {schema['pattern']}"
    elif isinstance(value, int) and not isinstance(value, bool):
        least, most = schema.get("minimum", value), schema.get("maximum", value)
        if not least <= value <= most:
            yield f"{where}: expected {least} to {most}"


_TYPES = {"string": str, "array": list, "object": dict, "boolean": bool, "null": type(None)}


def _is(value: object, name: str) -> bool:
    if name == "integer":
        return isinstance(value, int) and not isinstance(value, bool)
    return isinstance(value, _TYPES[name])


def _same(value: object, other: object) -> bool:
    return type(value) is type(other) and value == other
