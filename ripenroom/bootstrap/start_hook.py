"""What runs first in a bundle: the language it is started in, and what it hands to other programs.

Where no language is set, Python takes UTF-8 by itself. A bundled one cannot, as the packager's own
start comes before it, and Qt would complain. That start also has libraries looked for in the
bundle, where those of the system's programs are not.
"""

import os

if not any(os.environ.get(name) for name in ("LC_ALL", "LC_CTYPE", "LANG")):
    os.environ["LANG"] = "C.UTF-8"

if "LD_LIBRARY_PATH" in os.environ:
    before = os.environ.pop("LD_LIBRARY_PATH_ORIG", None)
    if before is None:
        del os.environ["LD_LIBRARY_PATH"]
    else:
        os.environ["LD_LIBRARY_PATH"] = before
