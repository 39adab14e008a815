"""A table of a figure's numbers to take away, without asking the server again."""

from urllib.parse import quote

import pandas as pd
from dash import html
from dash.development.base_component import Component

from dashboards.words import say


def csv_way(table: pd.DataFrame, *, name: str) -> Component:
    """Return a link that saves a table as CSV.

    Parameters
    ----------
    table
        What is saved: plain numbers and texts, its columns named with their units.
    name
        Of the file, without its ending.
    """
    text = table.to_csv(index=False, float_format="%.1f")
    return html.P(
        html.A(say("csv.save"), href=f"data:text/csv;charset=utf-8,{quote(text)}", download=f"{name}.csv")
    )
