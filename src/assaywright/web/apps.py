"""The pages as an application of Django."""

from django.apps import AppConfig


class WebConfig(AppConfig):
    """The application."""

    name = "assaywright.web"
    label = "web"
    verbose_name = "pages"
