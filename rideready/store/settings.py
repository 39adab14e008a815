"""What holds for the whole store."""

from sqlalchemy import Connection, delete, insert, select

from rideready.store import schema

#: Name of the setting that marks a store of simulated sessions.
IS_SIMULATED = "is_simulated"


def get_setting(connection: Connection, name: str) -> str | None:
    """Return a setting; None if it was never set."""
    query = select(schema.setting.c.value).where(schema.setting.c.name == name)
    found = connection.execute(query).scalar_one_or_none()
    return None if found is None else str(found)


def set_setting(connection: Connection, name: str, value: str) -> None:
    """Set a setting in the place of what it was."""
    connection.execute(delete(schema.setting).where(schema.setting.c.name == name))
    connection.execute(insert(schema.setting).values(name=name, value=value))
