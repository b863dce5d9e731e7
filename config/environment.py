"""Typed readers of the environment that refuse nonsense with a sentence."""

import os
import secrets
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

TRUE, FALSE = {"1", "true", "yes", "on"}, {"0", "false", "no", "off", ""}


def env_bool(name: str, default: bool) -> bool:
    """A switch: 1/true/yes/on or 0/false/no/off."""
    text = os.environ.get(name)
    if text is None:
        return default
    if text.lower() in TRUE:
        return True
    if text.lower() in FALSE:
        return False
    raise ImproperlyConfigured(f"{name} must be 1 or 0, not {text!r}.")


def env_int(name: str, default: int) -> int:
    """A whole number of 0 or more."""
    text = os.environ.get(name)
    if text is None:
        return default
    if not text.isascii() or not text.isdigit():
        raise ImproperlyConfigured(f"{name} must be a whole number, not {text!r}.")
    return int(text)


def env_list(name: str, default: list[str]) -> list[str]:
    """A comma-separated list."""
    text = os.environ.get(name)
    return default if text is None else [part.strip() for part in text.split(",") if part.strip()]


def secret_key(production: bool, local: Path) -> str:
    """SECRET_KEY from the environment; outside production a key of this machine's own, kept in ``local``."""
    key = os.environ.get("SECRET_KEY", "")
    if key:
        return key
    if production:
        raise ImproperlyConfigured("Set SECRET_KEY to a long random text before starting in production.")
    path = local / "secret"
    if not path.exists():
        local.mkdir(parents=True, exist_ok=True)
        # Written under a name of its own and renamed, so that two starts at once agree on one key.
        draft = path.with_suffix(f".{secrets.token_hex(4)}")
        draft.write_text(secrets.token_urlsafe(50))
        draft.chmod(0o600)
        try:
            path.hardlink_to(draft)
        except FileExistsError:
            pass
        finally:
            draft.unlink()
    return path.read_text()
