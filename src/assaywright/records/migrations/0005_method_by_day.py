"""Worksheets of a method by their day."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """Add an index."""

    dependencies = [
        ('records', '0004_lists'),
    ]

    operations = [
        migrations.AddIndex(
            model_name='assay',
            index=models.Index(fields=('method', 'performed', 'identity'), name='assay_method_day')),
    ]
