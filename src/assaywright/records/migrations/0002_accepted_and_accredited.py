"""What was accepted of irregular results, what the accreditation covers, and certificates of titrants."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """Add two tables, and the standardisation that a titrant's certificate is of."""

    dependencies = [
        ('records', '0001_first'),
    ]

    operations = [
        migrations.CreateModel(
            name='AcceptedRemark',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('id', models.BigIntegerField(primary_key=True, serialize=False)),
                ('subject', models.CharField(db_index=True, max_length=60)),
                ('kind', models.CharField(max_length=60)),
                ('place', models.TextField()),
                ('what', models.TextField()),
                ('reason', models.TextField()),
                ('by', models.CharField(max_length=100)),
                ('at', models.CharField(max_length=27)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Accreditation',
            fields=[
                ('version', models.BigIntegerField()),
                ('body', models.TextField(default='{}')),
                ('id', models.BigIntegerField(primary_key=True, serialize=False)),
                ('number', models.CharField(blank=True, max_length=60)),
                ('since', models.CharField(max_length=10)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.AddField(
            model_name='certificate',
            name='worksheet',
            field=models.CharField(blank=True, default='', max_length=60),
        ),
    ]
