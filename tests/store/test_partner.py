"""Documents of riding partners, kept for each rider apart."""

from pathlib import Path

from rideready.store.connect import open_store
from rideready.store.partner import (
    PartnerKind,
    drop_partner_documents,
    partner_documents,
    put_partner_document,
)
from rideready.store.riders import add_rider


def test_a_document_takes_the_place_of_the_one_before_and_of_no_other_riders(place: Path | str) -> None:
    store = open_store(place)
    with store.writing() as connection:
        runa, tam = add_rider(connection, "Runa"), add_rider(connection, "Tam")
        put_partner_document(connection, runa, PartnerKind.SENT, "plan", {"revision": 1})
        put_partner_document(connection, tam, PartnerKind.SENT, "plan", {"revision": 7})
        put_partner_document(connection, runa, PartnerKind.SENT, "plan", {"revision": 2})
        put_partner_document(connection, runa, PartnerKind.ADOPTED, "plan", {"revision": 9})
    with store.reading() as connection:
        found = partner_documents(connection, runa, PartnerKind.SENT)
    store.close()
    assert found == {"plan": {"revision": 2}}


def test_documents_of_one_kind_are_forgotten_and_the_others_stay(place: Path | str) -> None:
    store = open_store(place)
    with store.writing() as connection:
        runa = add_rider(connection, "Runa")
        put_partner_document(connection, runa, PartnerKind.ADOPTED, "plan", {})
        put_partner_document(connection, runa, PartnerKind.PROGRESS, "Tam", {"weeks": []})
        drop_partner_documents(connection, runa, PartnerKind.ADOPTED)
        left = [partner_documents(connection, runa, kind) for kind in PartnerKind]
    store.close()
    assert left == [{}, {"Tam": {"weeks": []}}, {}]
