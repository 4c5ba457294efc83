"""What is typed at the bench, field by field, and the questions that were answered."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """Add two tables."""

    dependencies = [
        ('records', '0002_accepted_and_accredited'),
    ]

    operations = [
        migrations.CreateModel(
            name='Confirmed',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('id', models.BigIntegerField(primary_key=True, serialize=False)),
                ('assay', models.CharField(db_index=True, max_length=60)),
                ('place', models.IntegerField()),
                ('name', models.CharField(max_length=60)),
                ('text', models.TextField(blank=True)),
                ('code', models.CharField(max_length=60)),
                ('question', models.TextField()),
                ('by', models.CharField(max_length=100)),
                ('at', models.CharField(max_length=27)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='KeptReading',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('id', models.BigIntegerField(primary_key=True, serialize=False)),
                ('assay', models.CharField(max_length=60)),
                ('place', models.IntegerField()),
                ('name', models.CharField(max_length=60)),
                ('text', models.TextField(blank=True)),
                ('by', models.CharField(max_length=100)),
                ('at', models.CharField(max_length=27)),
            ],
            options={
                'constraints': [
                    models.UniqueConstraint(fields=('assay', 'place', 'name'), name='one_row_for_each_field')],
            },
        ),
    ]
