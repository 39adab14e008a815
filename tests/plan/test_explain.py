"""Every sentence of the room is used, and every reason the room gives has its sentence."""

import re
from pathlib import Path

from rideready.model.sentences.season import SEASON_SENTENCES

ROOM = Path(__file__).resolve().parents[2] / "rideready" / "plan"
SOURCE = "\n".join(path.read_text(encoding="utf-8") for path in sorted(ROOM.glob("*.py")))
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
