"""Special functions are those of scipy, and its package comes with none of the program's parts."""

import subprocess
import sys

from scipy import special as package

from ripenroom.science import compiled


def test_the_functions_are_scipys() -> None:
    for name in compiled.__all__:
        assert getattr(compiled, name) is getattr(package, name)


def test_the_package_is_not_imported_and_is_whole_once_it_is() -> None:
    program = """
import sys
import ripenroom.season.season
assert not {"scipy.special", "scipy.linalg", "scipy.stats", "pandas"} & set(sys.modules)
from ripenroom.science import compiled
import scipy.special, scipy.stats
assert scipy.special.ndtr is compiled.ndtr and scipy.special.gamma(4.0) == 6.0
"""
    subprocess.run([sys.executable, "-c", program], check=True, timeout=120)


def test_where_scipy_keeps_them_elsewhere_the_package_is_taken() -> None:
    program = """
import sys
sys.modules["scipy.special._ufuncs"] = None  # an import of it fails
from ripenroom.science import compiled
"""
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, timeout=120
    )
    # scipy's own package needs that module too: it is asked for, and says so.
    assert "scipy/special/__init__.py" in done.stderr.replace("\\", "/")
