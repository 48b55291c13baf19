"""The solver; use the functions of thinquench."""

from typing import Any, Dict, List, Sequence, Tuple

__version__: str

class InputError(ValueError): ...
class SolverError(RuntimeError): ...
class Held: ...

class Result:
    def document(self) -> str: ...
    @property
    def stations(self) -> int: ...
    def arrays(self, station: int) -> Dict[str, Any]: ...

def compute(
    *,
    text: str,
    file: str,
    beside: str,
    materials: str,
    settings: Sequence[Tuple[str, str]],
    members: int,
    seed: int,
    risks: bool,
    threads: int,
) -> Result: ...
def record_keys(kind: str, materials: str) -> List[str]: ...
