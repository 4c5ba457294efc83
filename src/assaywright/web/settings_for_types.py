"""Settings by which the type checker knows the tables; nothing runs with them."""

from pathlib import Path

SECRET_KEY = "none, nothing is signed here"  # noqa: S105
INSTALLED_APPS = [
    "django.contrib.auth", "django.contrib.contenttypes", "django.contrib.sessions", "assaywright.records",
]
DEMONSTRATION = False
LABORATORY_ZONE = ""
DECIMAL_MARK = "."
DATA_FOLDER = Path()
AUTHORITY: Path | None = None
FILES_FOLDER = Path()
LOG_FOLDER = Path()
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
