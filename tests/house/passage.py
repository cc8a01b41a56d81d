"""What of the program runs between two moments, and by how many names one thing goes there."""

import sys
from dataclasses import dataclass
from inspect import CO_OPTIMIZED
from pathlib import Path
from types import CodeType, FrameType, TracebackType


@dataclass(frozen=True, slots=True, order=True)
class Name:
    """What holds a thing: a parameter or local of a function, or an attribute of an object."""

    file: str
    function: str
    name: str


class Passage:
    """Records, while entered, every function of the modules in ``root`` that this thread runs.

    ``things`` are classes. A name counts if an instance of one lies there when the function is
    called or returns; ``self`` is no name. That a module is imported is no function of it.
    """

    def __init__(self, root: Path, *things: type) -> None:
        self._root = f"{root.resolve()}/"
        self._things = things
        self._codes: set[CodeType] = set()
        self.names: set[Name] = set()

    @property
    def files(self) -> list[str]:
        """Files passed, relative to ``root``, sorted."""
        return sorted({self._file(code) for code in self._codes})

    @property
    def functions(self) -> list[tuple[str, str]]:
        """File and qualified name of functions passed, sorted."""
        return sorted((self._file(code), code.co_qualname) for code in self._codes)

    def __enter__(self) -> "Passage":
        sys.setprofile(self._on_event)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        sys.setprofile(None)

    def _on_event(self, frame: FrameType, event: str, _argument: object) -> None:
        code = frame.f_code
        if event not in ("call", "return") or not code.co_filename.startswith(self._root):
            return
        if not code.co_flags & CO_OPTIMIZED:  # the body of a module or a class
            return
        self._codes.add(code)
        held = dict(frame.f_locals)
        me = held.pop("self", None)
        for name, value in held.items():
            if isinstance(value, self._things):
                self.names.add(Name(self._file(code), code.co_qualname, name))
        # What has no __dict__ are records and columns, which hold no season.
        for name, value in getattr(me, "__dict__", {}).items():
            if isinstance(value, self._things):
                owner = type(me)
                self.names.add(Name(owner.__module__, owner.__qualname__, f"self.{name}"))

    def _file(self, code: CodeType) -> str:
        return Path(code.co_filename.removeprefix(self._root)).as_posix()
