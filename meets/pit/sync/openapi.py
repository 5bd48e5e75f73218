"""The addresses for phones in OpenAPI 3.1, written by hand; a test compares every answer with it."""

from meets.models import Role
from meets.pit.keys.roles import MAY_WRITE
from meets.pit.problems import TYPE
from meets.pit.sync.message import LARGEST, MOST_BYTES, MOST_ENTRIES

Schema = dict[str, object]

UUID_FORM = "^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$"
ID: Schema = {"type": "string", "pattern": UUID_FORM}
NUMBER: Schema = {"type": "integer", "minimum": 0, "maximum": LARGEST}
SEQ: Schema = {"type": "integer", "minimum": 1, "maximum": LARGEST}
MS: Schema = {"type": "integer", "description": "Milliseconds since 1970, UTC."}
KINDS = sorted(set().union(*MAY_WRITE.values()))

HAVE = {
    "type": "object",
    "description": "Every number up to `upto` has come; the ranges in `holes`, up to the highest given, have not.",
    "required": ["upto", "holes"],
    "properties": {
        "upto": NUMBER,
        "holes": {"type": "array", "items": {"type": "array", "items": SEQ, "minItems": 2, "maxItems": 2}},
    },
}
ENTRY = {
    "type": "object",
    "description": "Immutable from the moment it is saved on the phone. `hash` is the SHA-256 of the rest in canonical "
    "form: keys sorted at every level, no blanks, UTF-8; the server makes it where it is missing.",
    "required": [
        "v", "id", "device", "epoch", "seq", "meet", "session", "event", "role", "kind", "values", "official", "wall",
        "offset",
    ],
    "properties": {
        "v": {"const": 1},
        "id": ID,
        "device": ID,
        "epoch": ID,
        "seq": SEQ,
        "meet": NUMBER,
        "session": NUMBER,
        "event": NUMBER,
        "role": {"enum": list(Role.values)},
        "kind": {"enum": KINDS},
        "values": {"type": "object", "description": "What the row says, in the plain form of its kind."},
        "named": {"$ref": "#/components/schemas/Named"},
        "supersedes": {"type": "array", "items": ID},
        "reason": {"type": "string"},
        "official": {"type": "string"},
        "wall": {**MS, "description": "The phone's own clock."},
        "offset": {"type": "integer", "description": "What the server's clock was ahead, in ms."},
        "app": {"type": "string"},
        "hash": {"type": "string", "pattern": "^[0-9a-f]{64}$"},
    },
}  # fmt: skip
NAMED = {
    "type": "object",
    "description": "Only with kind `added`: somebody who is on no list. `values.entry` is `new-` and an id.",
    "required": ["name"],
    "properties": {
        "name": {"type": "string", "minLength": 1, "maxLength": 120},
        "school": {"type": "string", "maxLength": 80},
        "bib": {"type": "string", "maxLength": 8},
        "year": {"type": ["string", "integer"]},
    },
}
RESULT = {
    "type": "object",
    "required": ["id", "status"],
    "properties": {
        "id": {"type": "string"},
        "status": {"enum": ["stored", "duplicate", "needs_review", "quarantined"]},
        "says": {"type": "string", "description": "A sentence for the official."},
    },
}
PUSHED = {
    "type": "object",
    "required": ["server_epoch", "now", "results", "have"],
    "properties": {
        "server_epoch": ID,
        "now": MS,
        "results": {"type": "array", "items": {"$ref": "#/components/schemas/Result"}},
        "have": {"$ref": "#/components/schemas/Have"},
    },
}
BATCH = {
    "type": "object",
    "description": f"At most {MOST_BYTES // 1024} KiB.",
    "required": ["device", "epoch", "max_seq", "entries"],
    "properties": {
        "device": ID,
        "epoch": ID,
        "max_seq": NUMBER,
        "server_epoch": {"type": ["string", "null"]},
        "entries": {"type": "array", "maxItems": MOST_ENTRIES, "items": {"$ref": "#/components/schemas/Entry"}},
    },
}
CONTACT = {
    "type": "object",
    "required": ["device", "epoch", "max_seq", "unsent"],
    "properties": {
        "device": ID,
        "epoch": ID,
        "max_seq": NUMBER,
        "unsent": NUMBER,
        "clock_off_ms": {"type": "integer"},
        "app_version": {"type": "string", "maxLength": 40},
        "official": {"type": "string", "maxLength": 80},
    },
}
CONTACTED = {
    "type": "object",
    "required": ["server_epoch", "now", "have", "versions"],
    "properties": {
        "server_epoch": ID,
        "now": MS,
        "have": {"$ref": "#/components/schemas/Have"},
        "versions": {
            "type": "object",
            "description": "Session id -> a text that changes whenever something in the session does.",
            "additionalProperties": {"type": "string"},
        },
    },
}
JOIN = {
    "type": "object",
    "required": ["key", "official"],
    "properties": {
        "key": {"type": "string", "minLength": 1, "maxLength": 200},
        "official": {"type": "string", "minLength": 1, "maxLength": 80},
        "app_version": {"type": "string", "maxLength": 40},
    },
}
JOINED = {
    "type": "object",
    "required": ["device", "number", "token", "official", "meet", "roles", "sessions", "server_epoch", "now"],
    "properties": {
        "device": ID,
        "number": SEQ,
        "token": {"type": "string"},
        "official": {"type": "string"},
        "meet": {
            "type": "object",
            "required": ["id", "name", "time_zone"],
            "properties": {"id": SEQ, "name": {"type": "string"}, "time_zone": {"type": "string"}},
        },
        "roles": {"type": "array", "items": {"enum": list(Role.values)}},
        "sessions": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["id", "name", "pit"],
                "properties": {"id": SEQ, "name": {"type": "string"}, "pit": {"type": "string"}},
            },
        },
        "server_epoch": ID,
        "now": MS,
    },
}
STATE = {
    "type": "object",
    "description": "A session as a role sees it, worked out and worded; more keys than these may be there.",
    "required": ["v", "version", "server_epoch", "now", "role", "included", "meet", "session"],
    "properties": {
        "v": {"const": 1},
        "version": {"type": "string"},
        "server_epoch": ID,
        "now": MS,
        "role": {"enum": list(Role.values)},
        "included": {"type": "object", "additionalProperties": NUMBER},
        "meet": {"type": "object"},
        "session": {"type": "object"},
    },
}
CLOCK = {
    "type": "object",
    "required": ["turn", "started", "seconds"],
    "properties": {
        "turn": {"type": "string", "maxLength": 40},
        "started": {"type": ["integer", "null"]},
        "seconds": {"type": "integer", "minimum": 1, "maximum": 3600},
    },
}
PROBLEM = {
    "type": "object",
    "description": "Problem details, RFC 9457.",
    "required": ["type", "title", "status", "detail"],
    "properties": {
        "type": {"type": "string"},
        "title": {"type": "string"},
        "status": {"type": "integer", "minimum": 400, "maximum": 599},
        "detail": {"type": "string"},
    },
}
SCHEMAS = {
    "Have": HAVE, "Entry": ENTRY, "Named": NAMED, "Result": RESULT, "Batch": BATCH, "Pushed": PUSHED,
    "Contact": CONTACT, "Contacted": CONTACTED, "Join": JOIN, "Joined": JOINED, "State": STATE, "Clock": CLOCK,
    "Problem": PROBLEM,
}  # fmt: skip

PROBLEMS = {
    400: "The body is no JSON object.",
    401: "No token, or one that no longer counts: scan the code again. Nothing on the phone is touched.",
    403: "The key of this phone does not cover what is asked for.",
    404: "There is no such thing.",
    410: "The key was revoked, or its meet is over.",
    413: "Too much at once: send half of it.",
    422: "A field is missing or not of the form described here; `field` names it.",
    429: "Too many wrong keys came from this address; `Retry-After` says for how long none is looked at.",
    503: "Nothing was stored: the database is locked, full or out of reach. Keep it and send it again.",
}


def _problems(*statuses: int) -> Schema:
    content = {TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}}
    return {str(status): {"description": PROBLEMS[status], "content": content} for status in statuses}


def _json(schema: str) -> Schema:
    return {"application/json": {"schema": {"$ref": f"#/components/schemas/{schema}"}}}


def _operation(name: str, summary: str, **more: object) -> Schema:
    return {"operationId": name, "summary": summary, **more}


def _takes(schema: str) -> Schema:
    return {"required": True, "content": _json(schema)}


def _gives(schema: str, description: str) -> Schema:
    return {"description": description, "content": _json(schema)}


SESSION = {"name": "session", "in": "path", "required": True, "schema": SEQ}
PATHS = {
    "/join": {
        "post": _operation(
            "join",
            "A phone comes in with a key",
            security=[],
            requestBody=_takes("Join"),
            responses={"201": _gives("Joined", "In; the token is for all other addresses."),
                       **_problems(400, 404, 410, 413, 422, 429, 503)},
        )
    },
    "/push": {
        "post": _operation(
            "push",
            "Entries of one stream, whoever brings them",
            description="Acknowledged is what is answered with status 200 and its own id. A batch is stored whole or "
            "not at all; sending it again changes nothing.",
            requestBody=_takes("Batch"),
            responses={"200": _gives("Pushed", "Stored."), **_problems(400, 401, 404, 413, 422, 503)},
        )
    },
    "/contact": {
        "post": _operation(
            "contact",
            "A phone says that it is there and what it holds",
            requestBody=_takes("Contact"),
            responses={"200": _gives("Contacted", "Noted."), **_problems(400, 401, 413, 422, 503)},
        )
    },
    "/state/{session}": {
        "get": _operation(
            "state",
            "A session as a role sees it",
            parameters=[
                SESSION,
                {"name": "role", "in": "query", "required": True, "schema": {"enum": list(Role.values)}},
                {"name": "If-None-Match", "in": "header", "schema": {"type": "string"}},
            ],
            responses={"200": _gives("State", "The state; its version is the ETag."),
                       "304": {"description": "Nothing has changed."},
                       **_problems(401, 403, 404, 422, 503)},
        )
    },
    "/clock/{session}": {
        "put": _operation(
            "clock",
            "The trial clock as it runs, for other screens",
            parameters=[SESSION],
            requestBody=_takes("Clock"),
            responses={"204": {"description": "Noted."}, **_problems(400, 401, 403, 404, 413, 422, 503)},
        )
    },
    "/openapi.json": {
        "get": _operation(
            "openapi",
            "This description",
            security=[],
            responses={"200": {"description": "OpenAPI 3.1.",
                               "content": {"application/vnd.oai.openapi+json": {"schema": {"type": "object"}}}}},
        )
    },
}  # fmt: skip


def description() -> Schema:
    """The whole description."""
    return {
        "openapi": "3.1.0",
        "info": {"title": "Nearest Break: recording on phones", "version": "1"},
        "servers": [{"url": "/sync/v1"}],
        "security": [{"token": []}],
        "paths": PATHS,
        "components": {
            "securitySchemes": {"token": {"type": "http", "scheme": "bearer"}},
            "schemas": SCHEMAS,
        },
    }
