"""Sweeps: the cases of a plan by batches, for engines that hand work out (threads, processes, Dask ...).

>>> plan = Plan("cases/sweep_o1_thickness_oil.toml")
>>> with_rows = Store(plan, "oils.rows")          # what is there already stays and is not computed again
>>> for first, end in with_rows.missing():
...     with_rows.add(plan.rows(first, end))
>>> with_rows.write("oils.h5")                    # the file that ``thinquench sweep`` writes

Places count the cases in the order in which neighbours share most of the treatment; batches of places that follow
one another are quickest. Each row is to the last bit what its case gives alone, however batches are cut.
"""

from __future__ import annotations

import functools
import os
from typing import Any, Dict, Iterator, List, NamedTuple, Optional, Tuple, Union

from . import _engine, _materials
from ._engine import WriteError

__all__ = ["Plan", "Rows", "Store", "Batches", "rows_of", "WriteError"]

Path = Union[str, "os.PathLike[str]"]


class Rows(NamedTuple):
    """Computed cases; it travels between processes."""

    plan_sha256: str  #: of the plan with its case, tables and records
    numbers: Any  #: of the cases in the plan, integers [case]
    values: Any  #: SI units and degC [case, column]; NaN in cases that failed
    failures: List[str]  #: why a case failed; empty when it did not


class Plan:
    """A plan of a sweep, read with its base case, tables and records; raises InputError."""

    def __init__(self, path: Path, *, materials: Optional[Path] = None) -> None:
        self._plan = _engine.Plan(os.fspath(path), _materials(materials))

    def __len__(self) -> int:
        return self._plan.cases

    @property
    def title(self) -> str:
        return self._plan.title

    @property
    def sha256(self) -> str:
        """Of all that makes the rows what they are."""
        return self._plan.sha256

    @property
    def together(self) -> int:
        """So many places, counted from 0, share all before the tempers: cheapest when one batch has them."""
        return self._plan.together

    @property
    def columns(self) -> List[str]:
        """Figures and verdicts; one of zones or stations has several values in a row."""
        return self._plan.columns

    def settings(self, number: int) -> Dict[str, str]:
        """What is laid on the base case to make the case of that number."""
        return dict(self._plan.settings(number))

    def rows(self, first: int, end: int) -> Rows:
        """Computes the cases at the places from ``first`` to before ``end``, without the interpreter's lock."""
        return Rows(self.sha256, *self._plan.rows(first, end))


class Store:
    """The file of rows of a plan: it only grows, and whoever is killed loses at most what was not added yet."""

    def __init__(self, plan: Plan, path: Path) -> None:
        self._store = _engine.Store(plan._plan, os.fspath(path))

    def __len__(self) -> int:
        return self._store.rows

    def missing(self) -> List[Tuple[int, int]]:
        """Places of which no row is there, as ranges: first and the one behind the last."""
        return self._store.missing()

    def add(self, rows: Rows) -> None:
        """Adds rows; those that are there already are passed over. Raises InputError for rows of another plan."""
        self._store.add(*rows)

    def write(self, result: Path) -> None:
        """Writes the HDF5 file once every case is there."""
        self._store.write(os.fspath(result))


class Batches:
    """Cuts the missing places into batches that take about ``seconds`` each.

    The first batches are small; each that comes back corrects what a case is thought to take. Towards the end they
    become small again, so that all ``hands`` end together. Batches end where ``together`` (of the plan) says that
    little is shared, as far as they are that long.
    """

    def __init__(
        self,
        missing: List[Tuple[int, int]],
        hands: int,
        *,
        together: int = 1,
        seconds: float = 2.0,
        most: int = 4096,
    ) -> None:
        self._ranges = [(first, end) for first, end in missing if first < end][::-1]
        self._left = sum(end - first for first, end in self._ranges)
        self._hands = max(1, hands)
        self._together = max(1, together)
        self._seconds = seconds
        self._most = most
        self._each: Optional[float] = None  # seconds that a case takes

    def measured(self, cases: int, seconds: float) -> None:
        """A batch of so many cases took so long."""
        each = seconds / max(1, cases)
        self._each = each if self._each is None else 0.7 * self._each + 0.3 * each

    def __iter__(self) -> Iterator[Tuple[int, int]]:
        while self._ranges:
            first, end = self._ranges.pop()
            if self._each is None:  # nothing is known yet
                size = max(4, min(self._together, 64))
            else:
                size = int(self._seconds / max(self._each, 1e-6))
            size = max(1, min(size, self._most, -(-self._left // (2 * self._hands)), end - first))
            if size >= self._together:
                size = max(1, size - (first + size) % self._together)
            if first + size < end:
                self._ranges.append((first + size, end))
            self._left -= size
            yield first, first + size


@functools.lru_cache(maxsize=4)
def _plan_here(path: str, materials: Optional[str]) -> Plan:
    return Plan(path, materials=materials)


def rows_of(path: str, materials: Optional[str], first: int, end: int) -> Rows:
    """For workers in processes of their own: reads the plan once, then computes the places asked for."""
    return _plan_here(path, materials).rows(first, end)
