"""What customers ask."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """Add a table."""

    dependencies = [
        ('records', '0005_method_by_day'),
    ]

    operations = [
        migrations.CreateModel(
            name='Enquiry',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('identity', models.CharField(max_length=60, primary_key=True, serialize=False)),
                ('about', models.CharField(db_index=True, max_length=60)),
                ('certificate', models.CharField(blank=True, max_length=60)),
                ('asked_by', models.CharField(db_index=True, max_length=200)),
                ('received', models.CharField(max_length=10)),
                ('state', models.CharField(default='open', max_length=20)),
                ('answered', models.CharField(blank=True, default='', max_length=10)),
            ],
            options={
                'verbose_name_plural': 'enquiries',
                'indexes': [
                    models.Index(fields=['received', 'identity'], name='enquiry_received'),
                    models.Index(fields=['state', 'received', 'identity'], name='enquiry_state'),
                ],
            },
        ),
    ]
