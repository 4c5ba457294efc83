"""The first tables."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """Make every table."""

    initial = True

    dependencies = [
    ]

    operations = [
        migrations.CreateModel(
            name='Assay',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('identity', models.CharField(max_length=60, primary_key=True, serialize=False)),
                ('kind', models.CharField(max_length=20)),
                ('method', models.CharField(db_index=True, max_length=120)),
                ('about', models.CharField(db_index=True, max_length=60)),
                ('stage', models.CharField(db_index=True, default='titrating', max_length=20)),
                ('analyst', models.CharField(max_length=100)),
                ('performed', models.CharField(max_length=32)),
                ('rests_on', models.TextField(default='[]')),
                ('path', models.CharField(max_length=80, unique=True)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Attachment',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('id', models.BigIntegerField(primary_key=True, serialize=False)),
                ('subject', models.CharField(db_index=True, max_length=60)),
                ('name', models.CharField(max_length=200)),
                ('sha256', models.CharField(max_length=64)),
                ('size', models.BigIntegerField()),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Bottle',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('identity', models.CharField(max_length=60, primary_key=True, serialize=False)),
                ('lot', models.CharField(db_index=True, max_length=60)),
                ('opened', models.CharField(max_length=10)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Calibration',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('id', models.BigIntegerField(primary_key=True, serialize=False)),
                ('instrument', models.CharField(db_index=True, max_length=60)),
                ('certificate', models.CharField(blank=True, max_length=100)),
                ('issued', models.CharField(blank=True, max_length=10)),
                ('due', models.CharField(blank=True, max_length=10)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Certificate',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('number', models.CharField(max_length=60, primary_key=True, serialize=False)),
                ('lot', models.CharField(db_index=True, max_length=60)),
                ('pdf_sha256', models.CharField(max_length=64)),
                ('issued', models.CharField(max_length=27)),
                ('superseded_by', models.CharField(blank=True, max_length=60)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Determination',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('id', models.BigIntegerField(primary_key=True, serialize=False)),
                ('assay', models.CharField(db_index=True, max_length=60)),
                ('place', models.IntegerField()),
                ('excluded', models.TextField(blank=True)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='EnteredCharacteristic',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('id', models.BigIntegerField(primary_key=True, serialize=False)),
                ('lot', models.CharField(db_index=True, max_length=60)),
                ('name', models.CharField(max_length=120)),
                ('by', models.CharField(max_length=100)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Event',
            fields=[
                ('number', models.BigIntegerField(primary_key=True, serialize=False)),
                ('recorded_at', models.CharField(max_length=27)),
                ('schema', models.IntegerField()),
                ('kind', models.CharField(max_length=60)),
                ('subject', models.CharField(db_index=True, max_length=200)),
                ('by', models.CharField(db_index=True, max_length=100)),
                ('reason', models.TextField(blank=True)),
                ('act', models.CharField(max_length=36, unique=True)),
                ('payload', models.TextField()),
                ('previous', models.CharField(max_length=64)),
                ('digest', models.CharField(max_length=64)),
            ],
            options={
                'ordering': ('number',),
            },
        ),
        migrations.CreateModel(
            name='Head',
            fields=[
                ('id', models.SmallIntegerField(default=1, primary_key=True, serialize=False)),
                ('number', models.BigIntegerField(default=0)),
                ('digest', models.CharField(default='0000000000000000000000000000000000000000000000000000000000000000', max_length=64)),
            ],
        ),
        migrations.CreateModel(
            name='HistoricResult',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('id', models.CharField(max_length=40, primary_key=True, serialize=False)),
                ('source', models.CharField(max_length=200)),
                ('row', models.IntegerField()),
                ('lot', models.CharField(blank=True, db_index=True, max_length=60)),
                ('product', models.CharField(blank=True, max_length=120)),
                ('performed', models.CharField(blank=True, max_length=32)),
                ('value', models.CharField(max_length=40)),
                ('unit', models.CharField(max_length=20)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Instrument',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('identity', models.CharField(max_length=60, primary_key=True, serialize=False)),
                ('kind', models.CharField(db_index=True, max_length=40)),
                ('state', models.CharField(default='in use', max_length=20)),
                ('due', models.CharField(blank=True, max_length=10)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Investigation',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('id', models.BigIntegerField(primary_key=True, serialize=False)),
                ('lot', models.CharField(db_index=True, max_length=60)),
                ('stage', models.CharField(max_length=20)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Lot',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('identity', models.CharField(max_length=60, primary_key=True, serialize=False)),
                ('product', models.CharField(db_index=True, max_length=120)),
                ('state', models.CharField(default='made', max_length=20)),
                ('made', models.CharField(blank=True, max_length=10)),
                ('use_before', models.CharField(blank=True, max_length=10)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Material',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('identity', models.CharField(max_length=60, primary_key=True, serialize=False)),
                ('name', models.CharField(max_length=120)),
                ('use_before', models.CharField(blank=True, max_length=10)),
                ('state', models.CharField(default='in use', max_length=20)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='MethodEdition',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('id', models.BigIntegerField(primary_key=True, serialize=False)),
                ('name', models.CharField(db_index=True, max_length=120)),
                ('edition', models.CharField(max_length=20)),
                ('sha256', models.CharField(max_length=64)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Person',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('identity', models.CharField(max_length=60, primary_key=True, serialize=False)),
                ('name', models.CharField(max_length=100)),
                ('roles', models.CharField(max_length=200)),
                ('present', models.BooleanField(default=True)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Product',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('name', models.CharField(max_length=120, primary_key=True, serialize=False)),
                ('edition', models.IntegerField(default=1)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='ProductEdition',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('id', models.BigIntegerField(primary_key=True, serialize=False)),
                ('product', models.CharField(db_index=True, max_length=120)),
                ('edition', models.IntegerField()),
                ('since', models.CharField(max_length=27)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Result',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('id', models.BigIntegerField(primary_key=True, serialize=False)),
                ('assay', models.CharField(db_index=True, max_length=60)),
                ('measurand', models.CharField(max_length=200)),
                ('value', models.CharField(max_length=30)),
                ('unit', models.CharField(max_length=20)),
                ('standard_uncertainty', models.CharField(max_length=30)),
                ('expanded_uncertainty', models.CharField(max_length=30)),
                ('releasable', models.BooleanField()),
                ('worksheet_sha256', models.CharField(max_length=64)),
                ('software', models.CharField(max_length=20)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Sample',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('id', models.BigIntegerField(primary_key=True, serialize=False)),
                ('lot', models.CharField(db_index=True, max_length=60)),
                ('taken', models.CharField(max_length=10)),
                ('retained_until', models.CharField(blank=True, max_length=10)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Signature',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('id', models.BigIntegerField(primary_key=True, serialize=False)),
                ('subject', models.CharField(db_index=True, max_length=60)),
                ('by', models.CharField(max_length=100)),
                ('meaning', models.CharField(max_length=200)),
                ('sha256', models.CharField(max_length=64)),
                ('at', models.CharField(max_length=27)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Solution',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('identity', models.CharField(max_length=60, primary_key=True, serialize=False)),
                ('name', models.CharField(max_length=120)),
                ('formula', models.CharField(max_length=60)),
                ('nominal', models.CharField(max_length=40)),
                ('use_before', models.CharField(blank=True, max_length=10)),
                ('state', models.CharField(default='in use', max_length=20)),
            ],
            options={
                'abstract': False,
            },
        ),
    ]
