"""Logs: rotating files in the folder of the records. No form, password, link or cookie is ever written into them."""

from pathlib import Path
from typing import Any

MOST_BYTES = 2_000_000
KEPT = 9
REFUSED = "refused.log"
TURNED = "logging.handlers.RotatingFileHandler"


def logs(folder: Path) -> dict[str, Any]:
    """Return Django's description of the logs: what went wrong, who signed in, and which acts were refused."""
    folder.mkdir(parents=True, exist_ok=True)
    files = {name: _file(folder / f"{name}.log", "told") for name in ("program", "sign-in")}
    files["refused"] = _file(folder / REFUSED, "bare")
    return {
        "version": 1, "disable_existing_loggers": False,
        "formatters": {
            "told": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"},
            "bare": {"format": "%(message)s"},
        },
        "handlers": files,
        "root": {"handlers": ["program"], "level": "WARNING"},
        "loggers": {
            "django": {"handlers": [], "level": "WARNING", "propagate": True},
            "django.server": {"handlers": [], "level": "WARNING", "propagate": True},
            "axes": {"handlers": ["sign-in"], "level": "WARNING", "propagate": False},
            "assaywright.sign-in": {"handlers": ["sign-in"], "level": "INFO", "propagate": False},
            "assaywright.refused": {"handlers": ["refused"], "level": "INFO", "propagate": False},
        },
    }


def _file(path: Path, form: str) -> dict[str, Any]:
    return {"class": TURNED, "filename": path, "maxBytes": MOST_BYTES, "backupCount": KEPT, "encoding": "utf-8",
            "delay": True, "formatter": form}
