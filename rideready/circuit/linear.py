"""Write down a 0/1 programme row by row and have it solved to the proven optimum."""

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

#: What `scipy.optimize.milp` answers when the optimum is proven, and when nothing meets the rows.
_OPTIMAL, _INFEASIBLE = 0, 2


@dataclass(slots=True)
class LinearProgramme:
    """A programme that minimises cost, under construction.

    Variables are numbered in the order in which they are added. Equal programmes, built in the same
    order, get the same answer.
    """

    _costs: list[float] = field(default_factory=list)
    _most: list[float] = field(default_factory=list)
    _is_whole: list[int] = field(default_factory=list)
    _values: list[float] = field(default_factory=list)
    _rows: list[int] = field(default_factory=list)
    _columns: list[int] = field(default_factory=list)
    _low: list[float] = field(default_factory=list)
    _high: list[float] = field(default_factory=list)

    def whole(self, cost: float, most: float = 1.0) -> int:
        """Add a variable of whole numbers from 0 to ``most``; return its number."""
        return self._variable(cost, most, 1)

    def real(self, cost: float, most: float = np.inf) -> int:
        """Add a variable of real numbers from 0 to ``most``; return its number."""
        return self._variable(cost, most, 0)

    def _variable(self, cost: float, most: float, is_whole: int) -> int:
        self._costs.append(cost)
        self._most.append(most)
        self._is_whole.append(is_whole)
        return len(self._costs) - 1

    def row(self, entries: Iterable[tuple[int, float]], low: float, high: float) -> None:
        """Add ``low <= sum of coefficient times variable <= high``; variables occur once each."""
        for column, value in entries:
            self._rows.append(len(self._low))
            self._columns.append(column)
            self._values.append(value)
        self._low.append(low)
        self._high.append(high)

    def solve(self) -> list[float] | None:
        """Return the cheapest values, whole ones rounded; None if nothing meets the rows.

        References
        ----------
        Huangfu, Hall 2018, Math Program Comput 10:119-142 (HiGHS, through `scipy.optimize.milp`).
        """
        if not self._costs:  # the solver wants at least one variable
            is_met = all(low <= 0 <= high for low, high in zip(self._low, self._high, strict=True))
            return [] if is_met else None
        shape = (len(self._low), len(self._costs))
        matrix = csr_array((self._values, (self._rows, self._columns)), shape=shape)
        answer = milp(
            c=self._costs,
            constraints=LinearConstraint(matrix, self._low, self._high),
            integrality=np.array(self._is_whole),
            bounds=Bounds(0, self._most),
            options={"mip_rel_gap": 0.0},
        )
        if answer.status == _INFEASIBLE:
            return None
        if (
            answer.status != _OPTIMAL or answer.x is None
        ):  # there is no limit to run into, and nothing is unbounded
            raise RuntimeError(f"the solver gave up: {answer.message}")
        return [round(x) if whole else x for x, whole in zip(answer.x, self._is_whole, strict=True)]
