"""Every sentence about plans is used, by the room or the services, and every reason given has its sentence."""

import re
from pathlib import Path

from rideready.model.sentences.season import SEASON_SENTENCES

PACKAGE = Path(__file__).resolve().parents[2] / "rideready"
SOURCE = "\n".join(
    path.read_text(encoding="utf-8")
    for room in ("plan", "services", "cli")
    for path in sorted((PACKAGE / room).glob("*.py"))
)
#: Written with the intensity's name at run time.
BY_INTENSITY = {f"season.talk_{name}" for name in ("light", "moderate", "vigorous", "near_maximal")}


def test_every_sentence_is_used_and_every_code_has_a_sentence() -> None:
    used = set(re.findall(r'"(season\.[a-z0-9_]+)"', SOURCE)) | BY_INTENSITY
    assert used == set(SEASON_SENTENCES)


def test_sentences_are_sentences_without_cheering_or_blame() -> None:
    for code, sentence in SEASON_SENTENCES.items():
        assert sentence[0].isupper() or sentence[0] in "{1", code
        assert sentence.endswith((".", "{why}")), code
        assert "!" not in sentence, code
        assert not re.search(
            r"\b(great|awesome|well done|failed|lazy|should have)\b", sentence, re.IGNORECASE
        ), code
