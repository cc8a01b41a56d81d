"""Which season files were opened lately."""

from pathlib import Path

from PySide6.QtCore import QSettings

_KEPT = 8


class Recent:
    """Paths of season files, the latest first, kept in the settings."""

    def __init__(self, settings: QSettings) -> None:
        self._settings = settings

    def paths(self) -> list[Path]:
        """Files that were opened lately and are still there."""
        texts = as_list(self._settings.value("recent", []))
        return [path for path in map(Path, texts) if path.is_file()]

    def remember(self, path: Path) -> None:
        """Put ``path`` first."""
        path = path.resolve()
        others = [other for other in self.paths() if other != path]
        self._settings.setValue("recent", [str(p) for p in [path, *others][:_KEPT]])


def as_list(kept: object) -> list[str]:
    """A list of texts from the settings: one of one comes back from an INI file as a text."""
    if isinstance(kept, str):
        return [kept]
    return [str(text) for text in kept] if isinstance(kept, list) else []
