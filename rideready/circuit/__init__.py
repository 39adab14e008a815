"""Descending-rep circuits, chosen exactly and explained."""
