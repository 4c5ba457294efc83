"""Products by edition: what is sold, at what nominal content, within what limits."""

from django.db import models

from assaywright.records.models.kept import MadeFromEvents


class Product(MadeFromEvents):
    """A product as it stands now; its editions tell what it was."""

    name = models.CharField(max_length=120, primary_key=True)
    edition = models.IntegerField(default=1)

    def __str__(self) -> str:
        return self.name


class ProductEdition(MadeFromEvents):
    """A product's definition as of one event; ``version`` is that event."""

    id = models.BigIntegerField(primary_key=True)
    product = models.CharField(max_length=120, db_index=True)
    edition = models.IntegerField()
    since = models.CharField(max_length=27)

    def __str__(self) -> str:
        return f"{self.product}, edition {self.edition}"
