"""Compiled modules of scipy, without the packages around them.

``scipy.sparse`` imports what other kinds of arrays would need, numpy's own test tools among it, and
``scipy.optimize`` all of its methods: 0.15 and 0.2 s for one sum and one solver. The modules that
do the work need neither.
"""

import sys
from importlib import import_module
from importlib.machinery import PathFinder
from importlib.util import module_from_spec
from pathlib import Path
from threading import Lock
from types import ModuleType

import scipy

_LOADING = Lock()


def compiled(name: str) -> ModuleType:
    """The module of that full name, alone; with the packages around it where it is not found
    otherwise. They may be imported later all the same. Raises ImportError."""
    with _LOADING:
        if name in sys.modules:
            return sys.modules[name]
        folder = Path(scipy.__file__).parent.joinpath(*name.split(".")[1:-1])
        spec = PathFinder.find_spec(name, [str(folder)])
        if spec is None or spec.loader is None:
            return import_module(name)
        found = module_from_spec(spec)
        sys.modules[name] = found
        try:
            spec.loader.exec_module(found)
        except BaseException:
            del sys.modules[name]
            raise
        return found
