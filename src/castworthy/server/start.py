"""Making ready and serving; the command line's ``serve`` and ``demo`` call these."""

import os
import signal
import sys
from types import FrameType

from castworthy.server.place import make_data_folder


def prepare() -> None:
    """Make the data folder and its key, load Django and bring the tables up to date.

    Raises
    ------
    castworthy.server.place.PlaceError
        If the data folder cannot be written.
    django.db.utils.OperationalError
        If the database cannot be reached.

    """
    import django
    from django.core.management import call_command

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "castworthy.server.settings")
    make_data_folder()
    django.setup()
    call_command("migrate", interactive=False, verbosity=0)


def serve(*, host: str = "127.0.0.1", port: int = 8000, threads_count: int = 8) -> None:
    """Prepare, then answer on ``host`` and ``port`` until stopped (Ctrl-C, or a polite kill).

    Raises
    ------
    OSError
        If the port is taken.

    """
    import waitress  # type: ignore[import-untyped]

    prepare()
    from castworthy.server.wsgi import application

    signal.signal(signal.SIGTERM, _leave)
    waitress.serve(
        application,
        host=host,
        port=port,
        threads=threads_count,
        ident="castworthy",
        max_request_body_size=64 * 1024 * 1024,
        clear_untrusted_proxy_headers=True,
        **_proxy(),
    )


def _leave(_signal: int, _frame: FrameType | None) -> None:
    sys.exit(0)


def _proxy() -> dict[str, object]:
    """Behind https, believe the proxy on this machine about scheme and address."""
    from django.conf import settings

    if not settings.HTTPS:
        return {}
    return {
        "trusted_proxy": os.environ.get("CASTWORTHY_PROXY", "127.0.0.1"),
        "trusted_proxy_headers": {"x-forwarded-for", "x-forwarded-proto"},
        "url_scheme": "https",
    }
