"""The pages for a server: nothing is answered while the events stand unguarded."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "assaywright.web.settings")
application = get_wsgi_application()


def _demand_guards() -> None:
    from django.db import connection

    from assaywright.records import triggers

    triggers.demand(connection)
    connection.close()


_demand_guards()
