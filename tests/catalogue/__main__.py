"""``python -m tests.catalogue``: write what is out of date."""

from tests.catalogue.template import LANGUAGES, ROOT, files


def main() -> None:
    """Write every file of the catalogue that is not up to date, and say which."""
    LANGUAGES.mkdir(parents=True, exist_ok=True)
    for path, content in files().items():
        if not path.exists() or path.read_bytes() != content:
            path.write_bytes(content)
            print(f"written: {path.relative_to(ROOT)}")


main()
