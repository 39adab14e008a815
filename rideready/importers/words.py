"""Column headings in ten languages.

English, German, French, Spanish, Norwegian, Swedish, Danish, Finnish, Dutch and Italian, spelt as people write
them; compared without case, accents and punctuation. Words are common practice in
exports and spreadsheets, gathered from the languages and not from a source.
"""

import re
import unicodedata
from functools import lru_cache
from typing import Final

#: Letters that do not fall apart into a base letter and an accent.
_LETTERS: Final = str.maketrans({"ø": "o", "æ": "ae", "œ": "oe", "ł": "l", "đ": "d", "µ": "u"})

#: What a column may mean: the channels of a session, and these.
STAMP, DATE, TIME, CLOCK, ELAPSED = "timestamp", "date", "time", "clock", "elapsed"
PACE, KIND, DEVICE, SESSION = "pace", "kind", "device", "session"

_PHRASES: Final[dict[str, str]] = {
    "hr_bpm": """heart rate, heartrate, hr, pulse, pulse rate, heart beat, heartbeat, beats per minute, bpm,
        Herzfrequenz, HF, Herzrate, Herzschlag, Pulsfrequenz, Puls, fréquence cardiaque, rythme cardiaque, FC,
        pouls, cardio, frecuencia cardíaca, ritmo cardíaco, pulso, pulsaciones, hjertefrekvens, hjerterytme,
        hjerterate, hjärtfrekvens, hjärtrytm, syke, sydämen syke, syketaajuus, hartslag,
        hartfrequentie, hartritme, polsslag, frequenza cardiaca, battito, battito cardiaco, polso""",
    "power_w": """power, watt, watts, power output, load, Leistung, puissance, potencia, effekt, kraft, teho,
        vermogen, potenza""",
    "cadence_rpm": """cadence, cad, rpm, spm, step rate, stroke rate, pedal rate, Trittfrequenz, Kadenz,
        Schrittfrequenz, Drehzahl, Schlagfrequenz, fréquence de pédalage, fréquence de pas, cadencia, kadens, kadence,
        tråkkfrekvens, stegfrekvens, trampfrekvens, pedalfrekvens, skridtfrekvens, kadenssi, poljinnopeus,
        poljentanopeus, askeltiheys, cadans, trapfrequentie, pasfrequentie, cadenza""",
    "speed_m_s": """speed, velocity, enhanced speed, ground speed, speed over ground, treadmill speed,
        Geschwindigkeit, vitesse, velocidad, hastighet, fart, hastighed, nopeus, vauhti, snelheid, velocità""",
    "distance_m": """distance, dist, cumulative distance, total distance, Distanz, Strecke, Entfernung, Weg,
        distancia, distanse, avstand, distans, sträcka, avstånd, afstand, matka, etäisyys, distanza""",
    "altitude_m": """altitude, alt, elevation, ele, height, enhanced altitude, Höhe, Höhe über Meer, Seehöhe,
        altitud, altura, elevación, élévation, hauteur, høyde, høyde over havet, höjd, höjd över havet, højde,
        korkeus, hoogte, altitudine, quota""",
    "temperature_c": """temperature, temp, air temperature, ambient temperature, Temperatur, Lufttemperatur,
        température, temperatura, lufttemperatur, lämpötila, temperatuur""",
    STAMP: """timestamp, time stamp, datetime, date time, date and time, utc time, time utc, utc, Zeitstempel,
        Datum Uhrzeit, Datum und Uhrzeit, Datum Zeit, horodatage, date heure, date et heure, fecha y hora,
        fecha hora, marca de tiempo, tidsstempel, dato og tid, dato tid, tidsstämpel, datum och tid, datum tid,
        dato og klokkeslæt, aikaleima, päivämäärä ja aika, tijdstempel, datum en tijd, datum tijd,
        data e ora, data ora, marca temporale, epoch, unix time, unixtime, unix timestamp""",
    DATE: """date, day, Datum, Tag, jour, fecha, día, dato, dag, datum, päivä, päivämäärä, pvm, data,
        giorno""",
    TIME: """time, t, Zeit, temps, tiempo, tid, tidspunkt, tidpunkt, aika, tijd, tijdstip, x""",
    CLOCK: """time of day, clock, clock time, local time, Uhrzeit, Ortszeit, heure, hora, klokkeslett, klokken,
        klockslag, klocka, klokkeslæt, kellonaika, kello, ora""",
    ELAPSED: """elapsed, elapsed time, time elapsed, duration, seconds, secs, sec, minutes, mins, relative time,
        running time, Dauer, Sekunden, Sek, Minuten, verstrichene Zeit, Laufzeit, abgelaufene Zeit, durée,
        secondes, temps écoulé, duración, segundos, minutos, tiempo transcurrido, varighet, sekunder,
        forløpt tid, minutter, varaktighet, förfluten tid, minuter, varighed, forløbet tid, kesto, sekunnit,
        kulunut aika, minuutit, duur, seconden, verstreken tijd, minuten, durata, secondi, tempo trascorso,
        minuti, millis, milliseconds, ms""",
    PACE: "pace, allure, ritmo, tahti, passo, andatura, tempo per km",
    # One word for two things: time in Italian, pace in German, Dutch and the Nordic languages.
    f"{TIME}|{PACE}": "tempo",
    KIND: """sport, activity, activity type, sport type, workout type, kind, Sportart, Aktivität, activité,
        deporte, actividad, aktivitet, idrett, laji, urheilulaji, activiteit, attività""",
    DEVICE: """device, recorder, Gerät, appareil, dispositivo, enhet, enhed, apparat, laite, apparaat""",
    SESSION: """id, session, session id, test, test id, trial, subject, participant, athlete, person, Sitzung,
        Proband, Versuch, séance, sujet, essai, sesión, sujeto, prueba, økt, forsøk, pass, försök, deltagare,
        harjoitus, testi, sessie, proefpersoon, sessione, soggetto, prova""",
}

#: A heading with one of these is no running value of the channel it names.
_OTHER_FIGURES: Final = """avg, average, mean, median, max, maximum, maximal, min, minimum, minimal, peak, zone,
    zones, target, limit, reserve, resting, rest, lap, laps, split, moving, percent, pct, %, variability, hrv,
    rr, delta, change, balance, vertical, oscillation, ratio, normalized, normalised, sd, std, error, quality,
    accuracy, status, source, gain, loss, ascent, descent, left, right, skin, core, body, start, end,
    remaining, recovery, drift, vo2, vco2, o2, kg, Durchschnitt, Mittel, Mittelwert, Schnitt, Ruhe, Runde, Ziel, Bereich, moyenne,
    moyen, repos, tour, promedio, media, medio, reposo, vuelta, gjennomsnitt, snitt, maks, hvile, runde, sone,
    genomsnitt, medel, vila, varv, zon, gennemsnit, hvile, omgang, keskiarvo, keskim, lepo, kierros, gemiddeld,
    gemiddelde, rust, ronde, massima, massimo, minima, riposo, giro, maxima, máxima"""

#: Words for what was done, in headings' sister cells; matched as whole words or as the start of one.
KIND_WORDS: Final[dict[str, str]] = {
    "bike": "bike, biking, cycl, rad, velo, cicl, bici, sykk, cykel, cykl, pyora, fiets, wielr, spinning",
    "run": "run, jog, lauf, laufen, course, correr, carrera, lop, lob, juoks, hardlop, corsa, treadmill",
    "walk": "walk, hik, wander, marche, randonn, camin, sender, ga, tur, vandr, kavel, camminat, escursion",
    "ski": "ski, esqui, sci, hiihto, langlauf, langrenn, langd",
    "row": "row, rowing, ruder, aviron, remo, roing, rodd, roning, soutu, roeien, canottaggio",
    "strength": "strength, kraft, weight, muscu, fuerza, styrke, styrka, voima, kracht, forza",
    "circuit": "circuit, zirkel, circuito, sirkel, cirkel, hiit, kierto",
    "riding": "snowmobil, motoneige, snoscooter, snoskoter, moottorikelk, motoslitt, motorcycl, enduro, atv, riding",
    "test": "test, step test",
}


@lru_cache(maxsize=4096)
def plain(text: str) -> str:
    """Bring a heading to the form in which headings are compared.

    Examples
    --------
    >>> plain("Fréquence_Cardiaque")
    'frequence cardiaque'
    >>> plain("HeartRate")
    'heart rate'
    """
    split = re.sub(r"(?<=[a-zà-ÿ])(?=[A-Z])", " ", text)
    bare = unicodedata.normalize("NFKD", split.casefold().translate(_LETTERS))
    bare = "".join(c for c in bare if not unicodedata.combining(c))
    return " ".join(re.sub(r"[^\w%]+|_", " ", bare).split())


def _listed(text: str) -> list[str]:
    return [plain(word) for word in text.split(",")]


#: Heading in plain form to what it may mean.
MEANINGS: Final[dict[str, tuple[str, ...]]] = {
    phrase: tuple(role.split("|")) for role, words in _PHRASES.items() for phrase in _listed(words)
}
OTHER_FIGURES: Final = frozenset(_listed(_OTHER_FIGURES))
KIND_STEMS: Final = {kind: tuple(_listed(words)) for kind, words in KIND_WORDS.items()}
