"""Results of field tests, one a day of each test."""

import datetime as dt
import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

from sqlalchemy import Connection, delete, insert, select

from rideready.model.fieldtest import (
    BandReading,
    Burst,
    Counting,
    FieldTest,
    FieldTestResult,
    Figure,
    Measure,
    PulseCount,
    Stage,
)
from rideready.model.fieldtest_history import DatedResult
from rideready.model.reason import SENTENCES, Reason
from rideready.store import schema


@dataclass(frozen=True, slots=True)
class KeptTest:
    """A result as it was kept.

    Parameters
    ----------
    dated
        The result with its day and its recorder.
    session_id
        The session it was read from; None by hand, or if the session is gone.
    """

    dated: DatedResult
    session_id: int | None = None


def put_test(connection: Connection, rider_id: int, kept: KeptTest) -> None:
    """Keep a result, in the place of one of the same test and day: whoever repeats it corrects it."""
    table, dated = schema.field_test, kept.dated
    key = {"rider_id": rider_id, "day": dated.day.isoformat(), "test": str(dated.result.test)}
    values = {
        **key,
        "session_id": kept.session_id,
        "device": dated.device,
        "document": json.dumps(asdict(dated.result), ensure_ascii=False),
    }
    connection.execute(delete(table).where(*(table.c[name] == value for name, value in key.items())))
    connection.execute(insert(table).values(values))


def kept_tests(connection: Connection, rider_id: int, *, test: FieldTest | None = None) -> list[KeptTest]:
    """Read a rider's results, oldest first; ``test`` None takes all kinds."""
    table = schema.field_test.c
    query = select(schema.field_test).where(table.rider_id == rider_id).order_by(table.day, table.test)
    if test is not None:
        query = query.where(table.test == str(test))
    return [
        KeptTest(
            DatedResult(dt.date.fromisoformat(row.day), _to_result(json.loads(row.document)), row.device),
            row.session_id,
        )
        for row in connection.execute(query)
    ]


def _to_result(document: dict[str, Any]) -> FieldTestResult:
    return FieldTestResult(
        test=FieldTest(document["test"]),
        counting=Counting(document["counting"]),
        figures=tuple(
            Figure(**{**figure, "measure": Measure(figure["measure"])}) for figure in document["figures"]
        ),
        bands=tuple(
            BandReading(**{**band, "could_be": tuple(band["could_be"]), "notes": _to_reasons(band["notes"])})
            for band in document["bands"]
        ),
        counts=tuple(PulseCount(**count) for count in document["counts"]),
        bursts=tuple(Burst(**burst) for burst in document["bursts"]),
        stages=tuple(Stage(**stage) for stage in document["stages"]),
        stop_s=document["stop_s"],
        was_by_protocol=document["was_by_protocol"],
        reasons=_to_reasons(document["reasons"]),
    )


def _to_reasons(found: Sequence[dict[str, Any]]) -> tuple[Reason, ...]:
    """Read reasons; one whose sentence a later version dropped is left out."""
    return tuple(
        Reason(reason["code"], tuple((name, value) for name, value in reason["values"]))
        for reason in found
        if reason["code"] in SENTENCES
    )
