"""Functions of ``scipy.special``, without what the rest of that package imports.

They are compiled, in one module. The package around it imports what other kinds of arrays would
need, numpy's own test tools among it, and reads the docstrings of them all: 0.15 s of the 0.25 s
that the window and every command would otherwise need for their numbers. So that module is imported
as if its package were there already, and the package is left for whoever asks for it.
"""

import sys
from importlib import import_module
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

import scipy

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
