"""The tables as they are now, for queries; how they came about stands in ``migrations``.

Times are kept in UTC as ISO 8601 text of one length, so that they sort as text; days are local.
"""

from sqlalchemy import BigInteger, Column, Float, ForeignKey, Integer, LargeBinary, MetaData, Table, Text

metadata = MetaData()

schema_version = Table(
    "schema_version",
    metadata,
    Column("version", Integer, primary_key=True),
    Column("name", Text, nullable=False),
    Column("applied_utc", Text, nullable=False),
)

setting = Table(
    "setting",
    metadata,
    Column("name", Text, primary_key=True),
    Column("value", Text, nullable=False),
)

rider = Table(
    "rider",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", Text, nullable=False, unique=True),
)

# A rider's numbers are only ever added to: the newest of a field counts, older ones stay with their day.
rider_number = Table(
    "rider_number",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("rider_id", ForeignKey("rider.id"), nullable=False),
    Column("field", Text, nullable=False),
    Column("value", Text, nullable=False),  # JSON
    Column("day", Text, nullable=False),
)

resting_pulse = Table(
    "resting_pulse",
    metadata,
    Column("rider_id", ForeignKey("rider.id"), primary_key=True),
    Column("day", Text, primary_key=True),
    Column("bpm", Float, nullable=False),
)

log_entry = Table(
    "log_entry",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("rider_id", ForeignKey("rider.id"), nullable=False),
    Column("day", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("minutes", Float),
    Column("rpe", Float),
    Column("tags", Text, nullable=False),  # JSON list: soreness, illness, travel
    Column("notes", Text, nullable=False),
)

circuit = Table(
    "circuit",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("rider_id", ForeignKey("rider.id"), nullable=False),
    Column("day", Text, nullable=False),
    Column("document", Text, nullable=False),  # JSON: exercises, top count, rounds done, RPE, weights
)

# What was prescribed: one circuit a day, the one asked for last; a recording is matched to it.
written_circuit = Table(
    "written_circuit",
    metadata,
    Column("rider_id", ForeignKey("rider.id"), primary_key=True),
    Column("day", Text, primary_key=True),
    Column("document", Text, nullable=False),  # JSON
)

circuit_match = Table(
    "circuit_match",
    metadata,
    Column("session_id", ForeignKey("session.id"), primary_key=True),
    Column("made_for", Text, nullable=False),  # by which version, for which numbers and which circuit
    Column("document", Text, nullable=False),  # JSON
)

# Plans as the rider saw them: the first plan's day, the season seen last, weeks as they were placed.
kept_plan = Table(
    "kept_plan",
    metadata,
    Column("rider_id", ForeignKey("rider.id"), primary_key=True),
    Column("kind", Text, primary_key=True),
    Column("day", Text, primary_key=True),
    Column("document", Text, nullable=False),  # JSON
)

field_test = Table(
    "field_test",
    metadata,
    Column("rider_id", ForeignKey("rider.id"), primary_key=True),
    Column("day", Text, primary_key=True),
    Column("test", Text, primary_key=True),
    Column("session_id", ForeignKey("session.id")),
    Column("device", Text),
    Column("document", Text, nullable=False),  # JSON: figures, bands, counts, bursts, stages, reasons
)

partner_document = Table(
    "partner_document",
    metadata,
    Column("rider_id", ForeignKey("rider.id"), primary_key=True),
    Column(
        "kind", Text, primary_key=True
    ),  # what it is: an adopted plan, a partner's progress, what was sent
    Column("name", Text, primary_key=True),
    Column("document", Text, nullable=False),  # JSON
)

session = Table(
    "session",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("rider_id", ForeignKey("rider.id"), nullable=False),
    # As recorded
    Column("start_utc", Text),
    Column("zone", Text),
    Column("local_day", Text),
    Column("kind", Text, nullable=False),
    Column("device", Text),
    Column("duration_s", Float, nullable=False),
    Column("n_samples", Integer, nullable=False),
    Column("has_heart_rate", Integer, nullable=False),
    Column("pauses", Text, nullable=False),  # JSON list of [start_s, end_s]
    Column("warnings", Text, nullable=False),  # JSON list
    Column("fingerprint", Text, nullable=False),
    # As the rider tells
    Column("posture", Text),
    Column("rpe", Float),
    Column("notes", Text, nullable=False),
    # As analysed, by which version and for which numbers of the rider
    Column("analysis_version", Integer, nullable=False),
    Column("analysed_for", Text, nullable=False),
    Column("mean_hr_bpm", Float),
    Column("peak_hr_bpm", Float),
    Column("clean_share", Float, nullable=False),
    Column("flagged_s", Text, nullable=False),  # JSON object, number of the flag to seconds
    Column("class_minutes", Text),  # JSON list
    Column("maximum_is_predicted", Integer, nullable=False),
    Column("trimp", Float),
    Column("n_recoveries", Integer, nullable=False),
    Column("n_trusted", Integer, nullable=False),
    Column("median_hrr60_bpm", Float),
    # When the rider deleted it; it can be brought back until it is deleted for good
    Column("deleted_utc", Text),
    # The highest and lowest pulse it held, JSON; NULL until it was looked for
    Column("held_pulse", Text),
)

# Apart from the summary, so that listing sessions never drags samples off the disk.
samples = Table(
    "samples",
    metadata,
    Column("session_id", ForeignKey("session.id"), primary_key=True),
    Column("data", LargeBinary, nullable=False),
)

recovery = Table(
    "recovery",
    metadata,
    Column("session_id", ForeignKey("session.id"), primary_key=True),
    Column("position", Integer, primary_key=True),
    Column("end_of_effort_s", Float, nullable=False),
    Column("peak_bpm", Float),
    Column("peak_reserve", Float),
    Column("window_s", Float),
    Column("clean_share", Float),
    Column("spacing_s", Float),
    Column("hrr30_bpm", Float),
    Column("hrr30_se_bpm", Float),
    Column("hrr60_bpm", Float),
    Column("hrr60_se_bpm", Float),
    Column("hrr120_bpm", Float),
    Column("hrr120_se_bpm", Float),
    Column("t30_s", Float),
    Column("settle_s", Float),
    Column("settle_is_extrapolated", Integer, nullable=False),
    Column("settle_is_censored", Integer, nullable=False),
    Column("tau_s", Float),
    Column("tau_low_s", Float),
    Column("tau_high_s", Float),
    Column("fit", Text),  # JSON object
    Column("mode", Text, nullable=False),
    Column("evidence", Text, nullable=False),
    Column("cut_by", Text, nullable=False),
    Column("grade", Text, nullable=False),
    Column("reasons", Text, nullable=False),  # JSON list of [code, values]
    Column("altitude_m", Float),
    Column("temperature_c", Float),
)

source_file = Table(
    "source_file",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("rider_id", ForeignKey("rider.id"), nullable=False),
    Column("sha256", Text, nullable=False),
    Column("path", Text, nullable=False),
    Column("size", BigInteger, nullable=False),
    Column("modified_utc", Text, nullable=False),
    Column("reader_version", Integer, nullable=False),
    Column("unreadable_because", Text),
)

source_session = Table(
    "source_session",
    metadata,
    Column("source_id", ForeignKey("source_file.id"), primary_key=True),
    Column("session_id", ForeignKey("session.id"), primary_key=True),
)

column_mapping = Table(
    "column_mapping",
    metadata,
    Column("shape", Text, primary_key=True),
    Column("mapping", Text, nullable=False),  # JSON object
)
