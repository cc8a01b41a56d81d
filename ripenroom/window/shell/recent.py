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
        kept = self._settings.value("recent", [])
        # A list of one comes back from an INI file as plain text.
        texts = [kept] if isinstance(kept, str) else list(kept or [])  # type: ignore[call-overload]
        return [path for path in map(Path, texts) if path.is_file()]

    def remember(self, path: Path) -> None:
        """Put ``path`` first."""
        path = path.resolve()
        others = [other for other in self.paths() if other != path]
        self._settings.setValue("recent", [str(p) for p in [path, *others][:_KEPT]])
