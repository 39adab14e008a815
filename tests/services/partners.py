"""A store of two invented riders, the giver's full of things that must not travel."""

import datetime as dt
import functools
import sqlite3
import tempfile
from contextlib import closing
from dataclasses import replace
from pathlib import Path

from sqlalchemy import update

from rideready.model.exercise import Equipment, Joint, Level
from rideready.services.context import Context, open_context
from rideready.services.diary import write_entry
from rideready.services.importing import import_paths
from rideready.services.riders import add_rider, update_rider
from rideready.services.sharing import CalendarWishes
from rideready.services.training import update_training
from rideready.share.calendar_events import StartTimes
from rideready.simulate.scenario import RUNA, TAM
from rideready.store import schema
from tests.support.csv_writer import english_csv
from tests.support.stores import a_ride

TODAY = dt.date(2026, 10, 12)
WISHES = CalendarWishes(StartTimes(), "Europe/Oslo", 30, dt.datetime(2026, 10, 12, 12, tzinfo=dt.UTC))
#: Planted in the giver's store; none may be found in anything that is shared.
MARKERS = {
    "position": ("68.437251", "17.913862"),
    "serial": ("SN-QX774411",),
    "heart rate": ("186.5", "52.25", "bpm"),
    "note": ("MARKNOTE",),
    "health": ("fever", "shoulder", "soreness-MARKHEALTH"),
    "path": ("MARKFOLDER", "MARKFILE", "store.sqlite"),
    "name": ("Runa", "Vell"),
}


def riders(folder: Path) -> tuple[Context, Context]:
    """Return the giver with a recording, notes and complaints, and the partner, who has a mat and a band."""
    store = folder / "store.sqlite"
    store.write_bytes(_made_once())
    return tuple(open_context(store, rider=rider.name, today=TODAY) for rider in (RUNA, TAM))  # type: ignore[return-value]


@functools.cache
def _made_once() -> bytes:
    """Make the store in a folder of its own and return its bytes; importing takes longer than a test should."""
    with tempfile.TemporaryDirectory() as name:
        store = Path(name) / "store.sqlite"
        _fill(Path(name), store)
        with closing(sqlite3.connect(store)) as connection:
            connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        return store.read_bytes()


def _fill(folder: Path, store: Path) -> None:
    giver = open_context(store, rider=RUNA.name, today=TODAY)
    update_rider(giver, max_hr_bpm=186.5, resting_hr_bpm=52.25, age_years=41.0)
    exports = folder / "MARKFOLDER"
    exports.mkdir()
    head, *rows = english_csv(a_ride(days=30)).decode().splitlines()
    lines = [f"{head},latitude,longitude", *(f"{row},68.437251,17.913862" for row in rows)]
    (exports / "MARKFILE.csv").write_text("\n".join(lines), encoding="utf-8")
    report = import_paths(giver, [exports])
    assert report.stored == 1
    with giver.store.writing() as connection:
        connection.execute(
            update(schema.session).values(device="strap SN-QX774411", notes="MARKNOTE", zone="Europe/Oslo")
        )
    write_entry(
        replace(giver, today=dt.date(2026, 10, 2)), "illness", tags=("fever",), notes="soreness-MARKHEALTH"
    )
    write_entry(replace(giver, today=dt.date(2026, 10, 6)), "well")
    write_entry(giver, "sore", tags=("shoulder",), notes="MARKNOTE")
    update_training(
        giver,
        equipment=(Equipment.BOX, Equipment.KETTLEBELL, Equipment.BAND, Equipment.MAT),
        avoid_joints=(Joint.KNEE,),
        usual_min=200.0,
        earliest=dt.date(2026, 12, 5),
        likely=dt.date(2026, 12, 19),
    )
    add_rider(store, TAM.name)
    partner = open_context(store, rider=TAM.name, today=TODAY)
    update_rider(partner, max_hr_bpm=TAM.max_hr_bpm, resting_hr_bpm=TAM.resting_hr_bpm)
    update_training(
        partner,
        equipment=(Equipment.MAT, Equipment.BAND),
        level=Level.BEGINNER,
        minutes_by_weekday=(45, 0, 45, 0, 45, 60, 0),
    )
    for ctx in (giver, partner):
        ctx.store.close()


def leaks(content: str | bytes, *, besides: tuple[str, ...] = ()) -> list[str]:
    """Name every planted marker that stands in a shared file; folded calendar lines are joined first."""
    text = content.decode("utf-8") if isinstance(content, bytes) else content
    text = text.replace("\r\n ", "")
    planted = [marker for kind, markers in MARKERS.items() if kind not in besides for marker in markers]
    return [marker for marker in planted if marker.lower() in text.lower()]
