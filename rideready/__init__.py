"""rideready: how fast the heart comes back down, and what to do about it by opening day.

Every public name is loaded on first use, so that importing the package costs next to nothing.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rideready.circuit.solve import build_circuit as build_circuit
    from rideready.errors import RidereadyError as RidereadyError
    from rideready.importers.registry import read_session as read_session
    from rideready.importers.registry import read_sessions as read_sessions
    from rideready.model.circuit import Circuit as Circuit
    from rideready.model.circuit import CircuitRequest as CircuitRequest
    from rideready.model.recovery import Recovery as Recovery
    from rideready.model.recovery import RecoveryFit as RecoveryFit
    from rideready.model.rider import Rider as Rider
    from rideready.model.season import Season as Season
    from rideready.model.season import SeasonRequest as SeasonRequest
    from rideready.model.session import Session as Session
    from rideready.model.trend import Trend as Trend
    from rideready.plan.season import plan_season as plan_season
    from rideready.recovery.kinetics import fit_recovery as fit_recovery
    from rideready.recovery.measure import find_recoveries as find_recoveries
    from rideready.recovery.trend import recovery_trend as recovery_trend
else:
    _HOME = {
        "Circuit": "rideready.model.circuit",
        "CircuitRequest": "rideready.model.circuit",
        "Recovery": "rideready.model.recovery",
        "RecoveryFit": "rideready.model.recovery",
        "Rider": "rideready.model.rider",
        "RidereadyError": "rideready.errors",
        "Season": "rideready.model.season",
        "SeasonRequest": "rideready.model.season",
        "Session": "rideready.model.session",
        "Trend": "rideready.model.trend",
        "build_circuit": "rideready.circuit.solve",
        "find_recoveries": "rideready.recovery.measure",
        "fit_recovery": "rideready.recovery.kinetics",
        "plan_season": "rideready.plan.season",
        "read_session": "rideready.importers.registry",
        "read_sessions": "rideready.importers.registry",
        "recovery_trend": "rideready.recovery.trend",
    }

    def __getattr__(name: str) -> object:
        """Load a public name from its room; the annotated truth for checkers stands above."""
        if name not in _HOME:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        value = getattr(import_module(_HOME[name]), name)
        globals()[name] = value
        return value


__all__ = [
    "Circuit",
    "CircuitRequest",
    "Recovery",
    "RecoveryFit",
    "Rider",
    "RidereadyError",
    "Season",
    "SeasonRequest",
    "Session",
    "Trend",
    "build_circuit",
    "find_recoveries",
    "fit_recovery",
    "plan_season",
    "read_session",
    "read_sessions",
    "recovery_trend",
]
