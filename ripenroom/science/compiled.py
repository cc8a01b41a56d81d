"""Compiled functions of scipy, without what the packages around them import.

``scipy.sparse`` and ``scipy.special`` import what other kinds of arrays would need, numpy's own
test tools among it, and read the docstrings of them all; ``scipy.optimize`` all of its methods:
0.15 s and more each, for one sum, one solver and eight functions of the 0.25 s that the window and
every command would otherwise need for their numbers. The modules that do the work need none of it,
so these are imported as if their package were there already, and the package is left for whoever
asks for it.
"""

import sys
from importlib import import_module
from importlib.machinery import PathFinder
from importlib.util import module_from_spec
from pathlib import Path
from threading import Lock
from types import ModuleType
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
import scipy

_Floats = npt.NDArray[np.float64]
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


def sums_of_runs(weight: _Floats, ends: npt.NDArray[np.intp], values: _Floats) -> _Floats:
    """``values`` (lines, n) times ``weight`` (lines,) summed over each run of lines, (runs, n); the
    runs go from one of the ``ends`` (runs + 1,) up to the next.

    It is what a sparse table times another one is, and is done by the kernel beneath
    ``scipy.sparse``: ``numpy.add.reduceat`` takes thirteen times as long.
    """
    lines, columns = values.shape
    found = np.zeros((ends.size - 1, columns))
    own = np.ascontiguousarray(values, dtype=float).ravel()
    table = ends.astype(np.intp), np.arange(lines), weight.astype(float)
    compiled("scipy.sparse._sparsetools").csr_matvecs(
        found.shape[0], lines, columns, *table, own, found.ravel()
    )
    return found


if TYPE_CHECKING:
    from scipy.special import (
        expit,
        gammaln,
        log_ndtr,
        logit,
        ndtr,
        ndtri,
        stdtr,
        stdtrit,
    )

__all__ = ["expit", "gammaln", "log_ndtr", "logit", "ndtr", "ndtri", "stdtr", "stdtrit"]

_PACKAGE, _COMPILED = "scipy.special", "scipy.special._ufuncs"


def _compiled() -> ModuleType:
    """The module that has the functions; the whole package where it is there already, or where
    this scipy keeps them elsewhere."""
    if _PACKAGE in sys.modules:
        return sys.modules[_PACKAGE]
    stands_in = ModuleType(_PACKAGE)
    stands_in.__path__ = [str(Path(scipy.__file__).with_name("special"))]
    sys.modules[_PACKAGE] = stands_in
    try:
        found = import_module(_COMPILED)
    except ImportError:
        found = stands_in
    finally:
        del sys.modules[_PACKAGE]
        vars(scipy).pop("special", None)
    return found if all(hasattr(found, name) for name in __all__) else import_module(_PACKAGE)


if not TYPE_CHECKING:
    _found = _compiled()
    expit, gammaln, log_ndtr, logit = (
        getattr(_found, name) for name in ("expit", "gammaln", "log_ndtr", "logit")
    )
    ndtr, ndtri, stdtr, stdtrit = (
        getattr(_found, name) for name in ("ndtr", "ndtri", "stdtr", "stdtrit")
    )
