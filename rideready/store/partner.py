"""What was shared with a riding partner and what came from one, as documents of each rider."""

import json
from enum import StrEnum
from typing import Any

from sqlalchemy import Connection, delete, insert, select

from rideready.store import schema


class PartnerKind(StrEnum):
    """What a document is."""

    ADOPTED = "adopted plan"
    PROGRESS = "partner's progress"
    SENT = "sent"  # what was last sent under a name, so that a re-sent one updates it


def put_partner_document(
    connection: Connection, rider_id: int, kind: PartnerKind, name: str, document: dict[str, Any]
) -> None:
    """Keep a document, in the place of one of the same kind and name."""
    table = schema.partner_document
    key = {"rider_id": rider_id, "kind": str(kind), "name": name}
    connection.execute(delete(table).where(*(table.c[column] == value for column, value in key.items())))
    text = json.dumps(document, ensure_ascii=False, sort_keys=True)
    connection.execute(insert(table).values({**key, "document": text}))


def partner_documents(connection: Connection, rider_id: int, kind: PartnerKind) -> dict[str, dict[str, Any]]:
    """Read a rider's documents of a kind by name, sorted by it."""
    table = schema.partner_document.c
    query = select(table.name, table.document).where(table.rider_id == rider_id, table.kind == str(kind))
    return {row.name: json.loads(row.document) for row in connection.execute(query.order_by(table.name))}


def partner_document(
    connection: Connection, rider_id: int, kind: PartnerKind, name: str
) -> dict[str, Any] | None:
    """Read one of a rider's documents; None if there is none of this name."""
    table = schema.partner_document.c
    query = select(table.document).where(
        table.rider_id == rider_id, table.kind == str(kind), table.name == name
    )
    text = connection.execute(query).scalar()
    found: dict[str, Any] | None = None if text is None else json.loads(text)
    return found


def drop_partner_documents(connection: Connection, rider_id: int, kind: PartnerKind) -> None:
    """Forget a rider's documents of a kind."""
    table = schema.partner_document
    connection.execute(delete(table).where(table.c.rider_id == rider_id, table.c.kind == str(kind)))
