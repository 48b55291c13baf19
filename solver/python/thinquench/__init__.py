"""Heat treatment of thin knife blades, computed on their cross-section.

>>> import thinquench
>>> answer = thinquench.compute("cases/drop_point_o1.toml", {"blade.station.1.spine": "3.5 mm"})
>>> answer["quench"]["verdict"]
'pass'

The answer has the keys of the JSON document that ``thinquench harden --json`` prints; solver/output/FORMAT.md
says what each means and in which unit. The solver runs without the interpreter's lock, so threads compute side
by side, and nothing is shared between calls, so processes and clusters of them do as well.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any, Dict, List, Mapping, Optional, Sequence, Union

from . import _engine
from ._engine import InputError, SolverError, __version__

__all__ = ["compute", "records", "InputError", "SolverError", "Value", "__version__"]

Value = Union[str, bool, int, float, Sequence[Any]]
"""What a key of a case may be set to: a text with its unit ("3.2 mm"), a number, a flag, or a list of them."""


def _toml(value: Value) -> str:
    """The value as TOML."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return repr(float(value))
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(_toml(v) for v in value) + "]"
    if hasattr(value, "tolist"):  # numbers and arrays of numpy
        return _toml(value.tolist())
    raise TypeError(f"a key of a case is set to a text, a number, a flag or a list, not to {type(value).__name__}")


def _materials(asked: Union[str, "os.PathLike[str]", None]) -> str:
    """The folder of the records as the solver is told it; empty: it looks itself."""
    if asked is not None:
        return os.fspath(asked)
    if os.environ.get("THINQUENCH_MATERIALS"):
        return ""
    for prefix in Path(__file__).resolve().parents:
        if (prefix / "share/thinquench/materials").is_dir():
            return str(prefix / "share/thinquench/materials")
    return ""


def compute(
    case: Union[str, "os.PathLike[str]"],
    settings: Optional[Mapping[str, Value]] = None,
    /,
    *,
    members: int = 0,
    seed: int = 1,
    risks: bool = True,
    threads: int = 1,
    arrays: bool = False,
    materials: Union[str, "os.PathLike[str]", None] = None,
    **more: Value,
) -> Dict[str, Any]:
    """Computes a case and returns its answers.

    :param case: path of a case file; a text with a line break in it is the case itself.
    :param settings: values that replace those of the case, by key: ``{"blade.station.1.spine": "3.5 mm"}``. The same may
        be given by name with two underscores for the dot: ``blade__station__1__spine="3.5 mm"``.
    :param members: draws for bands and verdicts (32 or more); 0: as stated only.
    :param seed: of the draws; same seed and members, same bands.
    :param risks: estimate the bow and look for what invites cracks.
    :param threads: on which draws and margins are computed; 0: all cores. With several processes or threads of
        your own leave it at one.
    :param arrays: adds the key ``arrays``: for each station its traces, grid and fields as numpy arrays. They
        look into the solver's memory, without a copy, are read-only and keep it alive.
    :param materials: folder of the records; else THINQUENCH_MATERIALS, else those installed beside the package.
    :return: the JSON document of ``thinquench harden --json`` as dict. SI units and degC; a figure that does
        not exist is None.
    :raises InputError: the case cannot be read; a line for each thing that is wrong. It is a ValueError.
    :raises SolverError: the solver gave up. It is a RuntimeError.
    :raises KeyboardInterrupt: Ctrl-C, within about 50 ms.
    """
    given = os.fspath(case)
    if "\n" in given:
        text, name, beside = given, "case", "."
    else:
        path = Path(given)
        try:
            text = path.read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError) as error:
            raise InputError(f"{given}: cannot be read: {error}") from None
        name, beside = given, str(path.parent)
    named = {key.replace("__", "."): value for key, value in more.items()}
    laid_on = [(key, _toml(value)) for key, value in {**(settings or {}), **named}.items()]
    result = _engine.compute(
        text=text,
        file=name,
        beside=beside,
        materials=_materials(materials),
        settings=laid_on,
        members=members,
        seed=seed,
        risks=risks,
        threads=threads,
    )
    answer: Dict[str, Any] = json.loads(result.document())
    if arrays:
        answer["arrays"] = [result.arrays(station) for station in range(result.stations)]
    return answer


def records(kind: str, *, materials: Union[str, "os.PathLike[str]", None] = None) -> List[str]:
    """Keys of the shipped records of a kind: "steel", "coolant", "foil" or "solid"."""
    return _engine.record_keys(kind, _materials(materials))
