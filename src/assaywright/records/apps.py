"""The records as an application of Django: after every migration the guards of the events are put back."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class RecordsConfig(AppConfig):
    """The application."""

    name = "assaywright.records"
    label = "records"
    verbose_name = "records"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Put the guards back whenever a migration may have dropped them with a table."""
        from assaywright.records.triggers import install_after_migration

        post_migrate.connect(install_after_migration, sender=self)
